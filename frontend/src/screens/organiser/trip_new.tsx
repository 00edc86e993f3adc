import { useState } from "preact/hooks";
import { Button, Buttons, errorAt, Form, goInstead, Page, ProblemList, TextField, useSend, type ScreenProps } from "../parts/index.ts";
import { useDraft } from "../parts/use_draft.ts";
import { server } from "../../sync/server.ts";
import { clubsOf, type Trip } from "../words/answers.ts";
import { PlaceField, placeId, placeMistake } from "./place.tsx";
import { instantIn } from "./trip_words.ts";

/** A new trip needs a name and a start; everything else comes after. */
export default function TripNew(props: ScreenProps) {
  const club = clubsOf(props.session?.me).find((one) => one.id === props.params["club"]);
  const zone = club?.time_zone ?? "UTC";
  const [typed, setTyped, drop] = useDraft("new trip", { name: "", starts: "", boat: { id: "", name: "" } });
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const starts = instantIn(zone, typed.starts);
  const make = () => {
    setAsked(true);
    if (typed.name.trim() === "" || starts === null || club === undefined || placeMistake(typed.boat) !== undefined) return;
    send(async () => {
      const boat = await placeId(club.id, "boat", typed.boat);
      const trip = await server.post<Trip>("/api/trips", { club: club.id, name: typed.name.trim(), starts_at: starts, boat });
      drop();
      goInstead(`/organise/trips/${trip.id}`);
    });
  };
  return (
    <Page title="New trip" back="/organise" backLabel="Organise" note={club?.name}>
      <Form label="New trip" onSubmit={make}>
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
        {club !== undefined && <PlaceField club={club.id} kind="boat" value={typed.boat} onChange={(boat) => setTyped({ ...typed, boat })} error={asked ? placeMistake(typed.boat) : undefined} />}
        <Buttons>
          <Button tone="act" submit disabled={sending}>
            {sending ? "One moment …" : "Make the trip"}
          </Button>
        </Buttons>
      </Form>
    </Page>
  );
}
