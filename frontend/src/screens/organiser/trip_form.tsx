import { useState } from "preact/hooks";
import { Button, Buttons, errorAt, Form, ProblemList, TextField, useSend } from "../parts/index.ts";
import { useDraft } from "../parts/use_draft.ts";
import { PlaceField, placeId, placeMistake, type PlaceChoice } from "./place.tsx";
import { instantIn } from "./trip_words.ts";

export interface TypedTrip {
  readonly name: string;
  readonly starts: string;
  readonly boat: PlaceChoice;
}

/** What a trip is called, when it leaves and on which boat: the same form makes a trip and changes one. */
export function TripForm(props: {
  readonly label: string;
  readonly draft: string;
  readonly first: TypedTrip;
  readonly club: string;
  readonly zone: string;
  readonly button: string;
  readonly send: (body: { readonly name: string; readonly starts_at: string; readonly boat: string | null }) => Promise<void>;
}) {
  const { club, zone } = props;
  const [typed, setTyped, drop] = useDraft<TypedTrip>(props.draft, props.first);
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const starts = instantIn(zone, typed.starts);
  const save = () => {
    setAsked(true);
    if (typed.name.trim() === "" || starts === null || placeMistake(typed.boat) !== undefined) return;
    send(async () => {
      const boat = await placeId(club, "boat", typed.boat);
      await props.send({ name: typed.name.trim(), starts_at: starts, boat });
      drop();
    });
  };
  return (
    <Form label={props.label} onSubmit={save}>
      <ProblemList problem={problem} />
      <TextField
        label="Name"
        hint="As people know it, such as “Saturday, two dives”."
        value={typed.name}
        onChange={(name) => setTyped({ ...typed, name })}
        error={asked && typed.name.trim() === "" ? "Give the trip a name." : errorAt(problem, "/name")}
      />
      <TextField
        label="Leaves the dock"
        hint={`Time at ${zone.split("/").at(-1)?.replaceAll("_", " ") ?? zone}.`}
        type="datetime-local"
        value={typed.starts}
        onChange={(next) => setTyped({ ...typed, starts: next })}
        error={asked && starts === null ? "Give the day and the time." : errorAt(problem, "/starts_at")}
      />
      <PlaceField club={club} kind="boat" value={typed.boat} onChange={(boat) => setTyped({ ...typed, boat })} error={asked ? placeMistake(typed.boat) : undefined} />
      <Buttons>
        <Button tone="act" submit disabled={sending}>
          {sending ? "One moment …" : props.button}
        </Button>
      </Buttons>
    </Form>
  );
}
