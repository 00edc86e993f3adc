import { useEffect, useState } from "preact/hooks";
import type { SnapshotRecord } from "../../store/records.ts";
import { namesHere, tripsHere } from "../../store/phone.ts";
import { Empty, LinkButton, List, Notice, Page, Row, Section, useServer, type ScreenProps } from "../parts/index.ts";
import { day } from "../words/format.ts";

interface Listed {
  readonly id: string;
  readonly name: string;
  readonly starts_at: string;
  readonly time_zone: string;
  readonly state: "planned" | "ready";
  readonly booked: number;
}

interface Here {
  readonly record: SnapshotRecord;
  readonly name: string;
}

/** What is on this phone comes first and needs nothing; what the server lists comes below. */
export function Home({ session }: ScreenProps) {
  const [here, setHere] = useState<readonly Here[] | null>(null);
  const [failed, setFailed] = useState(false);
  const { answer } = useServer<{ trips: readonly Listed[] }>(session === null ? null : "/api/trips");
  useEffect(() => {
    tripsHere()
      .then((records) => Promise.all(records.map(async (record) => ({ record, name: await nameOf(record.trip) }))))
      .then(
        (found) => setHere([...found].sort((a, b) => b.record.snapshot.starts_at - a.record.snapshot.starts_at)),
        () => setFailed(true),
      );
  }, []);
  const ids = new Set((here ?? []).map(({ record }) => record.trip));
  const others = answer.state === "here" ? answer.data.trips.filter((trip) => !ids.has(trip.id)) : [];
  return (
    <Page title="Trips">
      {failed && <Notice tone="stop">This phone cannot read what it keeps. Close this page and open it again.</Notice>}
      <Section title="On this phone">
        {here !== null && here.length === 0 && <Empty>None yet. Bring one here while there is a network: it then works without.</Empty>}
        <List label="Trips on this phone">
          {(here ?? []).map(({ record, name }) => (
            <Row
              key={record.trip}
              title={name}
              note={`${day(record.snapshot.starts_at, record.snapshot.time_zone)} · ${record.snapshot.people.length} people`}
              path={`/trips/${record.trip}`}
            />
          ))}
        </List>
      </Section>
      <Section>
        <LinkButton path="/read" size="large" wide>
          Read it off another phone
        </LinkButton>
      </Section>
      {session === null ? (
        <Section>
          <p>To bring a trip onto this phone, sign in once.</p>
          <LinkButton path="/sign-in" tone="act" size="large" wide>
            Sign in
          </LinkButton>
          <p>Or, with a leader beside you:</p>
          <LinkButton path="/join" size="large" wide>
            Join with a code
          </LinkButton>
        </Section>
      ) : (
        <Section title="Kept by your club">
          {answer.state === "unreachable" && <Empty>No network: the club's other trips cannot be listed now.</Empty>}
          {answer.state === "refused" && <Notice tone="warn">{answer.problem.message}</Notice>}
          {answer.state === "here" && others.length === 0 && <Empty>No other trips.</Empty>}
          <List label="Trips kept by your club">
            {others.map((trip) => (
              <Row
                key={trip.id}
                title={trip.name}
                note={`${day(Date.parse(trip.starts_at), trip.time_zone)} · ${trip.booked} booked`}
                side={trip.state === "ready" ? "ready" : "being planned"}
                path={trip.state === "ready" ? `/trips/${trip.id}/take` : `/organise/trips/${trip.id}`}
              />
            ))}
          </List>
        </Section>
      )}
    </Page>
  );
}

async function nameOf(trip: string): Promise<string> {
  const labels = (await namesHere(trip))?.labels;
  return typeof labels?.["trip"] === "string" ? labels["trip"] : "Trip";
}
