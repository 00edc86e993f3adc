import { useEffect, useState } from "preact/hooks";
import { Empty, Notice, Page, Reason, Section, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import type { DiverStatus, TripStatus, TripSummary } from "../words/answers.ts";
import { dayAndTime } from "../words/format.ts";
import { questionText } from "../words/questions.ts";
import { ROAD } from "../words/waiting.ts";
import { groupText, nextDiveText, noFlyText, noRoadText } from "./status_words.ts";

/** My own status only: group, earliest next dive, no-fly time. */
export default function Status(_props: ScreenProps) {
  const { answer, again } = useServer<{ trips: TripSummary[] }>("/api/trips");
  return (
    <Page title="My status" back="/me" backLabel="Me">
      <Loaded answer={answer} again={again}>
        {(data) => {
          const mine = data.trips.filter((trip) => trip.me !== null && trip.state === "ready").sort((a, b) => Date.parse(b.starts_at) - Date.parse(a.starts_at));
          if (mine.length === 0) return <Empty>No trip of yours has left yet: your status comes from its boat log.</Empty>;
          return mine.slice(0, 3).map((trip) => <OfTrip key={trip.id} trip={trip} />);
        }}
      </Loaded>
    </Page>
  );
}

function OfTrip(props: { readonly trip: TripSummary }) {
  const { trip } = props;
  const { answer, again } = useServer<TripStatus>(`/api/trips/${trip.id}/status`);
  return (
    <Section title={trip.name}>
      <Loaded answer={answer} again={again}>
        {(data) => {
          const status = data.divers.find((one) => one.person === trip.me);
          if (status === undefined || (status.surfaced_at === null && (status.questions ?? []).length === 0)) return <Empty>No dive of yours has come in from the boat yet.</Empty>;
          return <Mine status={status} zone={trip.time_zone} asOf={data.as_of} />;
        }}
      </Loaded>
    </Section>
  );
}

function Mine(props: { readonly status: DiverStatus; readonly zone: string; readonly asOf: string }) {
  const { status, zone } = props;
  const now = useNow(Date.parse(props.asOf));
  return (
    <>
      <dl class="desk-big">
        <dt>Repetitive group</dt>
        <dd>{groupText(status)}</dd>
        <dt>{status.next_dive === null ? "Next dive" : `Dive ${status.next_dive.number}, earliest`}</dt>
        <dd>{nextDiveText(status, now, zone)}</dd>
        <dt>Flying</dt>
        <dd>{noFlyText(status, now, zone)}</dd>
        {status.no_road != null && (
          <>
            <dt>{`Road above ${ROAD}`}</dt>
            <dd>{noRoadText(status, now, zone)}</dd>
          </>
        )}
      </dl>
      <p>{`As of what the boat log had at ${dayAndTime(Date.parse(props.asOf), zone)}. Your own computer decides if it asks for longer. Feeling unwell after a dive? Say so now, to the leader or a doctor.`}</p>
      {(status.questions ?? []).length > 0 && (
        <Notice tone="warn">
          <strong>The boat log leaves this open about you. Tell the leader what you know; until it is settled the more careful reading counts.</strong>
          <ul>
            {[...new Set((status.questions ?? []).map((question) => questionText(question.code)))].map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </Notice>
      )}
      {status.why.length > 0 && (
        <Reason>
          <ul>
            {status.why.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </Reason>
      )}
    </>
  );
}

/** The server's time, counted on from its answer each half minute: a phone that runs fast must not end a wait early. */
function useNow(answered: number): number {
  const [now, setNow] = useState(answered);
  useEffect(() => {
    const since = performance.now();
    setNow(answered);
    const timer = setInterval(() => setNow(answered + performance.now() - since), 30_000);
    return () => clearInterval(timer);
  }, [answered]);
  return now;
}
