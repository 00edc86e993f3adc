import { SelectField, TextField, useServer } from "../parts/index.ts";
import { server } from "../../sync/server.ts";

interface Place {
  readonly id: string;
  readonly name: string;
}
interface Places {
  readonly boats: readonly Place[];
  readonly sites: readonly Place[];
}

/** Which boat or site: none, one of the club's, or a new one by its name. */
export interface PlaceChoice {
  readonly id: string;
  readonly name: string;
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
        onChange={(id) => props.onChange({ ...props.value, id })}
      />
      {props.value.id === NEW && <TextField label={`Name of the ${props.kind}`} value={props.value.name} onChange={(name) => props.onChange({ ...props.value, name })} error={props.error} />}
    </>
  );
}

/** The id to send; a new place is made first, unless the club has one of that name: a second try makes no second boat. */
export async function placeId(club: string, kind: "boat" | "site", value: PlaceChoice): Promise<string | null> {
  if (value.id === "") return null;
  if (value.id !== NEW) return value.id;
  const name = value.name.trim();
  const path = `/api/clubs/${club}/places`;
  const among = (places: Places) => (kind === "boat" ? places.boats : places.sites).find((place) => place.name.toLowerCase() === name.toLowerCase())?.id;
  return among(await server.get<Places>(path)) ?? among(await server.post<Places>(path, { kind, name })) ?? null;
}

export function placeMistake(value: PlaceChoice): string | undefined {
  return value.id === NEW && value.name.trim() === "" ? "Give its name, or choose another." : undefined;
}
