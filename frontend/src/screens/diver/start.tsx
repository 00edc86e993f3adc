import { Empty, List, Page, Row, Section, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { UnitChoice } from "../parts/use_system.tsx";
import { clubsOf, type Message, type TripSummary } from "../words/answers.ts";
import { count, dayAndTime } from "../words/format.ts";

/** A diver's first page: the next trip first, then status, inbox and record. */
export default function Start(props: ScreenProps) {
  const trips = useServer<{ trips: TripSummary[] }>("/api/trips");
  const inbox = useServer<{ unread: number; messages: Message[] }>("/api/inbox?unread=1");
  const records = clubsOf(props.session?.me).filter((club) => club.diver !== null);
  const unread = inbox.answer.state === "here" ? inbox.answer.data.unread : 0;
  return (
    <Page title="Me">
      <Section title="My trips">
        <Loaded answer={trips.answer} again={trips.again}>
          {(data) => <MyTrips trips={data.trips.filter((trip) => trip.me !== null)} />}
        </Loaded>
      </Section>
      <Section title="Mine alone">
        <List label="Mine alone">
          <Row path="/me/status" title="My status" note="group, earliest next dive, no-fly time" />
          <Row path="/me/inbox" title="Inbox" note={unread === 0 ? "nothing new" : `${unread} not read`} />
          <Row path="/me/password" title="Password" note={props.session?.email ?? "change it"} />
          {records.map((club) => (
            <Row key={club.id} path={`/me/record/${club.diver ?? ""}`} title="My record" note={club.name} />
          ))}
        </List>
      </Section>
      <Section title="On this device">
        <UnitChoice />
      </Section>
    </Page>
  );
}

function MyTrips(props: { readonly trips: readonly TripSummary[] }) {
  if (props.trips.length === 0) return <Empty>You are on no trip yet.</Empty>;
  return (
    <List label="My trips">
      {[...props.trips]
        .sort((a, b) => Date.parse(b.starts_at) - Date.parse(a.starts_at))
        .map((trip) => (
          <Row
            key={trip.id}
            path={`/me/trips/${trip.id}`}
            title={trip.name}
            note={`${dayAndTime(Date.parse(trip.starts_at), trip.time_zone)} · ${count(trip.dives, "dive")}`}
            side="my teams"
          />
        ))}
    </List>
  );
}
