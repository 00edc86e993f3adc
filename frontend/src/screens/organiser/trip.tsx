import { Buttons, Columns, Empty, LinkButton, List, Notice, Page, Row, Section, useServer, type ScreenProps } from "../parts/index.ts";
import { boatsText, onEachBoat } from "../words/boats.ts";
import { count, dayAndTime, minutes } from "../words/format.ts";
import { showDepth } from "../words/units.ts";
import { chainsNote, type PhoneChain } from "./boat_log_words.ts";
import { dayTitle, oneDay } from "./day_words.ts";
import { DiveOrder } from "./dive_order.tsx";
import { AshoreLine } from "./shore_line.tsx";
import { nextStep } from "./trip_words.ts";
import { diveTitle, WithTrip, type TripHere } from "./use_trip.tsx";

/** A trip at the desk: what to do next, its dives, its people. */
export default function TripScreen(props: ScreenProps) {
  return <WithTrip {...props}>{(here) => <TripPage {...here} />}</WithTrip>;
}

function TripPage(props: TripHere) {
  const { trip } = props;
  const base = `/organise/trips/${trip.id}`;
  const next = nextStep(trip);
  const divers = trip.bookings.filter((booking) => booking.dives).length;
  return (
    <Page
      title={trip.name}
      back="/organise"
      backLabel="Organise"
      note={[dayAndTime(Date.parse(trip.starts_at), trip.time_zone), boatsText(trip)].filter(Boolean).join(" · ")}
      wide
    >
      {trip.ended_at != null && (
        <Notice>
          <p>{`This trip is over since ${dayAndTime(Date.parse(trip.ended_at), trip.time_zone)}, by its boat log: everyone is accounted for.`}</p>
        </Notice>
      )}
      {trip.state === "ready" && trip.ended_at == null && (
        <Notice>
          <p>This trip is ready: its plan no longer changes here. What changes now is said on the deck and stays in the boat log.</p>
        </Notice>
      )}
      <div class="desk-next">
        <LinkButton path={next.path} tone="act" size="large">
          {next.label}
        </LinkButton>
      </div>
      {trip.state === "planned" && (
        <Buttons>
          <LinkButton path={`${base}/change`}>Change name, start or boat</LinkButton>
        </Buttons>
      )}
      <Columns>
        <Section title="Dives">
          {trip.dives_planned.length === 0 ? (
            <Empty>No dive yet.</Empty>
          ) : (
            <List label="Dives">
              {trip.dives_planned.map((dive) => (
                <Row
                  key={dive.id}
                  path={`${base}/dives/${dive.id}/teams`}
                  title={diveTitle(dive)}
                  note={`${showDepth(dive.depth, props.system)}, ${minutes(dive.bottom_time_s)} min planned${dive.planned_at === null ? "" : ` · ${dayAndTime(Date.parse(dive.planned_at), trip.time_zone)}`}`}
                  side={dive.teams.length === 0 ? "no teams yet" : count(dive.teams.length, "team")}
                />
              ))}
            </List>
          )}
          {trip.state === "planned" && (
            <Buttons>
              <LinkButton path={`${base}/dives/new`}>Add a dive</LinkButton>
              {divers > 1 && oneDay(trip) && <LinkButton path={`${base}/teams`}>{dayTitle(trip.dives_planned.length)}</LinkButton>}
            </Buttons>
          )}
        </Section>
        <Section title="People">
          <List label="People">
            <Row path={`${base}/people`} title={count(trip.bookings.length, "person", "people")} note={[`${count(divers, "diver")} in the water, ${trip.bookings.length - divers} not diving`, onEachBoat(trip)].filter(Boolean).join(" · ")} />
            {trip.state === "planned" && divers > 1 && trip.dives_planned.map((dive) => <Row key={dive.id} path={`${base}/dives/${dive.id}/pairability`} title="Can this roster be paired?" note={diveTitle(dive)} />)}
          </List>
        </Section>
      </Columns>
      <AshoreLine trip={trip} />
      {trip.state === "ready" && <BoatLogLine trip={trip.id} />}
      <DiveOrder here={props} />
      {trip.state === "planned" && (
        <Section title="Before the boat">
          <List label="Before the boat">
            <Row
              path={`${base}/ready`}
              title="Make the trip ready"
              note={trip.not_ready.length === 0 ? "nothing is missing" : `${count(trip.not_ready.length, "thing")} still missing`}
              {...(trip.not_ready.length === 0 ? {} : { tone: "warn" as const })}
            />
          </List>
        </Section>
      )}
    </Page>
  );
}

/** Whether the phones' chains are whole, in a line. */
function BoatLogLine(props: { readonly trip: string }) {
  const { answer } = useServer<{ readonly phones: readonly PhoneChain[] }>(`/api/trips/${props.trip}/boat-log/chains`);
  const { note, warn } = answer.state === "here" ? chainsNote(answer.data.phones) : { note: "phones, their entries, the record", warn: false };
  return (
    <Section title="On the boat">
      <List label="On the boat">
        <Row path={`/organise/trips/${props.trip}/boat-log`} title="Boat log" note={note} {...(warn ? { tone: "stop" as const } : {})} />
      </List>
    </Section>
  );
}
