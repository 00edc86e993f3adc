import { CheckField, Notice, Section, SelectField } from "../parts/index.ts";
import { count, names } from "../words/format.ts";
import type { DayTeamsAnswer } from "../words/answers_teams.ts";
import type { ClubBoat, DayBoat } from "./day_words.ts";
import type { TripHere } from "./use_trip.tsx";

/** Which boats go, where the club has more than one, and who handles each and so stays out of the water. */
export function DayBoats(props: { readonly here: TripHere; readonly boats: readonly ClubBoat[]; readonly chosen: readonly DayBoat[]; readonly onChange: (chosen: readonly DayBoat[]) => void }) {
  const { here, boats, chosen } = props;
  const people = [{ value: "", label: "nobody named" }, ...here.trip.bookings.map((one) => ({ value: one.id, label: one.name }))];
  return (
    <Section title="Boats">
      {boats.map((boat) => {
        const own = chosen.find((one) => one.boat === boat.id);
        const others = chosen.filter((one) => one.boat !== boat.id);
        return (
          <div key={boat.id}>
            <CheckField
              label={boat.name}
              hint={boat.most_persons === null ? "how many it carries is not known" : `carries ${count(boat.most_persons, "person", "people")}`}
              checked={own !== undefined}
              onChange={(goes) => props.onChange(goes ? [...others, { boat: boat.id, handler: "" }] : others)}
            />
            {own !== undefined && <SelectField label={`Handles ${boat.name}`} value={own.handler} options={people} onChange={(handler) => props.onChange([...others, { boat: boat.id, handler }])} />}
          </div>
        );
      })}
      {chosen.length === 0 && <p>None ticked: all dive from one boat.</p>}
    </Section>
  );
}

/** Who is on which boat. */
export function OnBoats(props: { readonly here: TripHere; readonly boats: readonly ClubBoat[]; readonly answer: DayTeamsAnswer }) {
  const { here, answer } = props;
  if ((answer.boats ?? []).length === 0) return null;
  return (
    <Section title="Who is on which boat">
      {(answer.boats ?? []).map((one) => (
        <Notice key={one.id}>
          <strong>{props.boats.find((boat) => boat.id === one.id)?.name ?? "Boat"}</strong>
          <p>
            {one.divers.length === 0 ? "No diver." : `${names(one.divers.map(here.nameOf))}.`} {count(one.seats_left, "seat")} left.
          </p>
        </Notice>
      ))}
      <p>Crew and guests count only where they are named: leave seats for the others. The boats of the day are not kept with the teams: tell each boat its people.</p>
    </Section>
  );
}
