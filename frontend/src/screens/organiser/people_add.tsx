import { useState } from "preact/hooks";
import { Button, Buttons, Empty, Form, List, Page, ProblemList, Row, Section, SelectField, TextField, useSend, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { server } from "../../sync/server.ts";
import type { RosterDiver } from "../words/answers.ts";
import { showCertified } from "../words/units.ts";
import { found, missingIn } from "./roster_words.ts";
import { WithTrip, type TripHere } from "./use_trip.tsx";

/** Adds divers from the roster, one press each, and anyone else by name. */
export default function PeopleAdd(props: ScreenProps) {
  return <WithTrip {...props}>{(here) => <AddPage {...here} />}</WithTrip>;
}

function AddPage(props: TripHere) {
  const { trip, again, system } = props;
  const { answer, again: rosterAgain } = useServer<{ divers: RosterDiver[] }>(`/api/clubs/${trip.club}/divers`);
  const [typed, setTyped] = useState("");
  const { sending, problem, send } = useSend();
  const booked = new Set(trip.bookings.map((booking) => booking.diver));
  const add = (diver: RosterDiver) =>
    send(async () => {
      await server.post(`/api/trips/${trip.id}/bookings`, { diver: diver.id, name: diver.name, role: diver.can_lead ? "leader" : "diver", dives: true, earlier_dives: null });
      again();
    });
  return (
    <Page title="Add people" back={`/organise/trips/${trip.id}/people`} backLabel="People on the trip">
      <ProblemList problem={problem} />
      <TextField label="Find a diver" type="search" value={typed} onChange={setTyped} />
      <Loaded answer={answer} again={rosterAgain}>
        {({ divers }) => {
          const free = found(
            divers.filter((diver) => !booked.has(diver.id)),
            typed,
          );
          if (divers.length === 0) return <Empty>The roster is empty: bring it first.</Empty>;
          if (free.length === 0) return <Empty>Nobody of that name who is not on the trip already.</Empty>;
          return (
            <List label="Roster">
              {free.slice(0, 60).map((diver) => (
                <Row
                  key={diver.id}
                  title={diver.name}
                  note={missingIn(diver).length > 0 ? `Missing: ${missingIn(diver).join(", ")}` : `${diver.certification ?? ""}`}
                  side={
                    <span class="desk-side">
                      {diver.certified_depth === null ? "" : showCertified(diver.certified_depth, system)}
                      <Button disabled={sending} label={`Add ${diver.name}`} onPress={() => add(diver)}>
                        Add
                      </Button>
                    </span>
                  }
                />
              ))}
            </List>
          );
        }}
      </Loaded>
      <Section title="Crew or a guest">
        <Other trip={trip.id} again={again} />
      </Section>
    </Page>
  );
}

/** Crew and guests: a name is enough to be counted. Who dives needs a record on the roster. */
function Other(props: { readonly trip: string; readonly again: () => void }) {
  const [name, setName] = useState("");
  const [role, setRole] = useState("crew");
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const add = () => {
    setAsked(true);
    if (name.trim() === "") return;
    send(async () => {
      await server.post(`/api/trips/${props.trip}/bookings`, { diver: null, name: name.trim(), role, dives: false, earlier_dives: null });
      setName("");
      setAsked(false);
      props.again();
    });
  };
  return (
    <Form label="Crew or a guest" onSubmit={add}>
      <ProblemList problem={problem} />
      <TextField label="Name" value={name} onChange={setName} error={asked && name.trim() === "" ? "Give the name that the roll call uses." : undefined} />
      <SelectField
        label="Comes as"
        value={role}
        options={[
          { value: "crew", label: "crew" },
          { value: "guest", label: "guest" },
        ]}
        onChange={setRole}
      />
      <Buttons>
        <Button submit disabled={sending}>
          Add
        </Button>
      </Buttons>
    </Form>
  );
}
