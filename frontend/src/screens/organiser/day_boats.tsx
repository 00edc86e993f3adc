import { CheckField, List, Row, Section, SelectField } from "../parts/index.ts";
import type { DayTeamsAnswer } from "../words/answers_teams.ts";
import { count, names } from "../words/format.ts";
import { goes, goesWithout, nameRole, seat, seatsWords, toSeat, type ClubBoat, type DayBoat } from "./day_boats_words.ts";
import { ROLES } from "./teams_cover.tsx";
import type { TripHere } from "./use_trip.tsx";

interface BoatsProps {
  readonly here: TripHere;
  readonly boats: readonly ClubBoat[];
  readonly chosen: readonly DayBoat[];
  readonly onChange: (chosen: readonly DayBoat[]) => void;
}

/** Which boats go, where the club has more than one; who goes on which without a team, and who stays at the surface there. */
export function DayBoats(props: BoatsProps & { readonly found: DayTeamsAnswer | null }) {
  const { here, boats, chosen, onChange } = props;
  return (
    <Section title="Boats">
      {boats.map((boat) => (
        <CheckField
          key={boat.id}
          label={boat.name}
          hint={boat.most_persons === null ? "how many it may carry is not known: enter it where the trip’s boat is chosen" : `may carry ${count(boat.most_persons, "person", "people")}`}
          checked={chosen.some((one) => one.boat === boat.id)}
          onChange={(yes) => onChange(yes ? goes(chosen, boat.id) : goesWithout(chosen, boat.id))}
        />
      ))}
      {chosen.length < 2 ? <p>Tick two or more, and each is told who goes on it. Otherwise all go on {here.trip.boat?.name ?? "one boat"}.</p> : <Aboard {...props} />}
    </Section>
  );
}

/** Everyone takes a seat: those without a team are put on a boat by name. */
function Aboard(props: BoatsProps & { readonly found: DayTeamsAnswer | null }) {
  const { here, boats, chosen, onChange } = props;
  const going = boats.filter((boat) => chosen.some((one) => one.boat === boat.id));
  const places = [{ value: "", label: "not said yet" }, ...going.map((boat) => ({ value: boat.id, label: boat.name }))];
  const people = [{ value: "", label: "nobody named" }, ...here.trip.bookings.map((one) => ({ value: one.id, label: one.name }))];
  return (
    <>
      <p>They share one boat log. Each has its own deck, counts its own people and leaves when everyone on it is accounted for; the trip ends when everyone on all of them is.</p>
      {toSeat(here.trip, chosen, props.found).map((person) => (
        <SelectField
          key={person}
          label={`${here.nameOf(person)} goes on`}
          value={chosen.find((one) => one.aboard.includes(person))?.boat ?? ""}
          options={places}
          onChange={(boat) => onChange(seat(chosen, person, boat))}
        />
      ))}
      {going.map((boat) => {
        const cover = chosen.find((one) => one.boat === boat.id)?.surface_cover ?? [];
        return (
          <details key={boat.id} class="desk-panel">
            <summary>
              <h3>
                Stays out of the water on {boat.name}
                {cover.length > 0 ? ` (${cover.length})` : ""}
              </h3>
            </summary>
            {ROLES.map(([role, label]) => (
              <SelectField key={role} label={`${label}, ${boat.name}`} value={cover.find((one) => one.role === role)?.person ?? ""} options={people} onChange={(person) => onChange(nameRole(chosen, boat.id, role, person))} />
            ))}
          </details>
        );
      })}
    </>
  );
}

/** Who is on which boat, and how many seats that leaves. */
export function OnBoats(props: { readonly here: TripHere; readonly boats: readonly ClubBoat[]; readonly chosen: readonly DayBoat[]; readonly answer: DayTeamsAnswer }) {
  const { here, answer } = props;
  if ((answer.boats ?? []).length === 0) return null;
  return (
    <Section title="Who is on which boat">
      <List label="Who is on which boat">
        {(answer.boats ?? []).map((one) => {
          const on = [...new Set([...one.divers, ...(props.chosen.find((each) => each.boat === one.id)?.aboard ?? []), ...(props.chosen.find((each) => each.boat === one.id)?.surface_cover ?? []).map((each) => each.person)])];
          return <Row key={one.id} title={`${props.boats.find((boat) => boat.id === one.id)?.name ?? "Boat"}: ${seatsWords(one)}`} note={on.length === 0 ? "Nobody." : `${names(on.map(here.nameOf))}.`} />;
        })}
      </List>
    </Section>
  );
}
