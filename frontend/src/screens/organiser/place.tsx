import { SelectField, TextField, useServer } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import { whole } from "../words/units.ts";

interface Place {
  readonly id: string;
  readonly name: string;
  readonly most_persons?: number | null;
}
interface Places {
  readonly boats: readonly Place[];
  readonly sites: readonly Place[];
}

/** Which boat or site: none, one of the club's, or a new one by its name. */
export interface PlaceChoice {
  readonly id: string;
  readonly name: string;
  /** How many persons a boat may carry, as typed; not there while nobody has touched it. */
  readonly persons?: string;
}
export const NEW = "new";

export function PlaceField(props: { readonly club: string; readonly kind: "boat" | "site"; readonly value: PlaceChoice; readonly onChange: (value: PlaceChoice) => void; readonly error?: string | undefined }) {
  const { answer } = useServer<Places>(`/api/clubs/${props.club}/places`);
  const known = answer.state === "here" ? (props.kind === "boat" ? answer.data.boats : answer.data.sites) : [];
  const word = props.kind === "boat" ? "Boat" : "Site";
  return (
    <>
      <SelectField
        label={word}
        value={props.value.id}
        options={[{ value: "", label: "not said yet" }, ...known.map((place) => ({ value: place.id, label: place.name })), { value: NEW, label: `a new ${props.kind}` }]}
        onChange={(id) => props.onChange({ id, name: props.value.name })}
      />
      {props.kind === "boat" && props.value.id !== "" && (
        <TextField
          label="Persons it may carry"
          hint="By its certificate, crew and all. Left empty: not known, and seats are not counted."
          keys="numeric"
          value={props.value.persons ?? String(known.find((place) => place.id === props.value.id)?.most_persons ?? "")}
          onChange={(persons) => props.onChange({ ...props.value, persons })}
          error={wrongPersons(props.value)}
        />
      )}
      {props.value.id === NEW && <TextField label={`Name of the ${props.kind}`} value={props.value.name} onChange={(name) => props.onChange({ ...props.value, name })} error={props.error} />}
    </>
  );
}

/** The id to send; a new place is made first, unless the club has one of that name: a second try makes no second boat. */
export async function placeId(club: string, kind: "boat" | "site", value: PlaceChoice): Promise<string | null> {
  if (value.id === "") return null;
  const path = `/api/clubs/${club}/places`;
  const carries = kind === "boat" && value.persons !== undefined ? { most_persons: whole(value.persons) } : {};
  if (value.id !== NEW) {
    if ("most_persons" in carries) await server.patch(path, { boat: value.id, ...carries });
    return value.id;
  }
  const name = value.name.trim();
  const among = (places: Places) => (kind === "boat" ? places.boats : places.sites).find((place) => place.name.toLowerCase() === name.toLowerCase())?.id;
  return among(await server.get<Places>(path)) ?? among(await server.post<Places>(path, { kind, name, ...carries })) ?? null;
}

export function placeMistake(value: PlaceChoice): string | undefined {
  return value.id === NEW && value.name.trim() === "" ? "Give its name, or choose another." : wrongPersons(value);
}

function wrongPersons(value: PlaceChoice): string | undefined {
  const typed = value.persons?.trim() ?? "";
  const persons = whole(typed);
  return typed !== "" && (persons === null || persons < 1 || persons > 500) ? "Whole persons from 1 to 500, or leave it empty." : undefined;
}
