import { BigNumber, Columns, Empty, List, Notice, Page, Row, Section, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import type { Pairability } from "../words/answers_teams.ts";
import { count, minutes, names } from "../words/format.ts";
import { plain } from "../words/plain.ts";
import { showDepth } from "../words/units.ts";
import { WhyNoPlace } from "./teams_not_placed.tsx";
import { bookingsThatHelp, hasDoneAll, stepLines } from "./pairability_words.ts";
import { diveOf, diveTitle, WithTrip } from "./use_trip.tsx";

/** Weeks before a dive: can the people booked be paired for it, and on whom does it hang? */
export default function PairabilityScreen(props: ScreenProps) {
  return (
    <WithTrip {...props}>
      {(here) => {
        const dive = diveOf(here.trip, props.params["dive"]);
        const back = dive === undefined ? { back: `/organise/trips/${here.trip.id}`, backLabel: here.trip.name } : { back: `/organise/trips/${here.trip.id}/dives/${dive.id}/teams`, backLabel: `Teams of dive ${dive.number}` };
        return (
          <Page title="Can this roster be paired?" {...back} {...(dive === undefined ? {} : { note: `${diveTitle(dive)}, ${showDepth(dive.depth, here.system)}, ${minutes(dive.bottom_time_s)} min planned` })} wide>
            {dive === undefined ? <Empty>This dive is not on the trip any more.</Empty> : <Roster trip={here.trip.id} dive={dive.id} />}
          </Page>
        );
      }}
    </WithTrip>
  );
}

function Roster(props: { readonly trip: string; readonly dive: string }) {
  const { answer, again } = useServer<Pairability>(`/api/trips/${props.trip}/dives/${props.dive}/pairability`);
  return (
    <Loaded answer={answer} again={again}>
      {(data) => (data.pairability === null ? <Empty>Book two divers or more: then it is worked out who could dive with whom.</Empty> : <Answer data={data} found={data.pairability} />)}
    </Loaded>
  );
}

function Answer(props: { readonly data: Pairability; readonly found: NonNullable<Pairability["pairability"]> }) {
  const { data, found } = props;
  const nameOf = (id: string) => data.names[id] ?? "someone";
  const all = found.placed === found.of;
  return (
    <>
      <BigNumber label="Would have a team" value={`${found.placed} of ${found.of}`} tone={all ? "plain" : "warn"} note={all ? "everybody booked can be paired for this dive" : `${count(found.of - found.placed, "diver")} would not`} />
      <Columns>
        <div>
          {data.not_placed.length > 0 && (
            <Section title="Without a team">
              <List label="Without a team">
                {data.not_placed.map((person) => (
                  <Row key={person.id} title={nameOf(person.id)} tone="warn">
                    <div class="desk-row">
                      <WhyNoPlace person={person} nameOf={nameOf} />
                    </div>
                  </Row>
                ))}
              </List>
            </Section>
          )}
          <Section title="If someone drops out">
            {found.critical.length === 0 ? (
              <p>Whoever drops out, everybody else still dives.</p>
            ) : (
              <List label="If someone drops out">
                {found.critical.map((one) => (
                  <Row key={one.diver} title={nameOf(one.diver)} note={`no dive then for ${names(one.loses.map(nameOf))}`} tone="warn" />
                ))}
              </List>
            )}
          </Section>
          <Helps data={data} found={found} nameOf={nameOf} />
        </div>
        <Steps found={found} nameOf={nameOf} />
      </Columns>
      <Assumed data={data} found={found} nameOf={nameOf} />
    </>
  );
}

interface Part {
  readonly data: Pairability;
  readonly found: NonNullable<Pairability["pairability"]>;
  readonly nameOf: (id: string) => string;
}

/** The one booking or cylinder that would place the most. */
function Helps({ found, nameOf }: Part) {
  const bookings = bookingsThatHelp(found.waiting_list);
  const none = found.one_more_leader === null && found.larger_cylinder === null && bookings.length === 0;
  return (
    <Section title="What would help most">
      {none ? (
        <p>{found.placed === found.of ? "Nothing is needed: nobody is left over." : "No single booking or cylinder would give anybody a place."}</p>
      ) : (
        <ul>
          {found.one_more_leader !== null && <li>{plain(found.one_more_leader.message, nameOf)}</li>}
          {bookings.map((one) => (
            <li key={one.diver}>Book {plain(one.message, nameOf, false)}</li>
          ))}
          {found.larger_cylinder !== null && <li>{plain(found.larger_cylinder.message, nameOf)}</li>}
        </ul>
      )}
    </Section>
  );
}

/** The dives that are one step away, for each member. */
function Steps({ found, nameOf }: Pick<Part, "found" | "nameOf">) {
  const done = found.next_steps.filter(hasDoneAll);
  const others = found.next_steps.filter((one) => !hasDoneAll(one));
  return (
    <div>
      <Section title="One step away">
        {done.length > 0 && <p>Nothing of this dive is new for {names(done.map((one) => nameOf(one.diver)))}.</p>}
        <List label="One step away">
          {others.map((one) => (
            <Row key={one.diver} title={nameOf(one.diver)}>
              <div class="desk-row">
                <ul>
                  {stepLines(one, nameOf).map((line) => (
                    <li key={line}>{line}</li>
                  ))}
                </ul>
              </div>
            </Row>
          ))}
        </List>
      </Section>
      {found.work_up.length > 0 && (
        <Section title="Dives that would bring the most people on">
          <ul>
            {found.work_up.map((one) => (
              <li key={one.message}>{plain(one.message, nameOf)}</li>
            ))}
          </ul>
        </Section>
      )}
    </div>
  );
}

/** What is known only on the day itself bars nobody here; it is said. */
function Assumed({ data, found, nameOf }: Part) {
  if (data.full.length === 0 && found.assumed.length === 0) return null;
  return (
    <Notice tone="info">
      <strong>Known only on the day</strong>
      <ul>
        {data.full.length > 0 && <li>Gas of {count(data.full.length, "diver")}: their usual cylinder is taken as full of air.</li>}
        {found.assumed.length > 0 && <li>Not known yet, and held against nobody here: {names(found.assumed.map((one) => nameOf(one.diver)))}.</li>}
      </ul>
    </Notice>
  );
}
