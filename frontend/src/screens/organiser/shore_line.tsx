import { List, Row, Section, useServer } from "../parts/index.ts";
import type { FloatPlan, Trip } from "../words/answers.ts";
import { dayAndTime } from "../words/format.ts";
import { headline, tone } from "./shore_words.ts";

/** Who ashore waits for the boat, in a line. */
export function AshoreLine({ trip }: { readonly trip: Trip }) {
  const { answer } = useServer<FloatPlan>(`/api/trips/${trip.id}/float-plan`);
  const plan = answer.state === "here" ? answer.data : null;
  const time = (at: string) => dayAndTime(Date.parse(at), trip.time_zone);
  const stands = plan === null ? undefined : tone(plan);
  return (
    <Section title="Ashore">
      <List label="Ashore">
        <Row
          path={`/organise/trips/${trip.id}/shore`}
          title={plan?.back_by == null ? "Float plan" : `Back by ${time(plan.back_by)}`}
          {...(plan === null ? {} : { note: headline(plan, trip, time) })}
          {...(stands === undefined ? {} : { tone: stands })}
        />
      </List>
    </Section>
  );
}
