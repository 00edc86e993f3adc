import { Empty, List, Reason, Row, Section } from "../parts/index.ts";
import type { PlanAnswer, TripDive } from "../words/answers.ts";
import { NOT_A_PLAN, pastText, plannedOverstay } from "../words/overstay.ts";
import { isUnknown, missingText } from "../words/plan.ts";
import { intervalSentence, outBySentence, whatIfPlain, withoutSentences } from "../words/plan_sentences.ts";
import { plain } from "../words/plain.ts";
import { showDepth } from "../words/units.ts";
import type { TripHere } from "./use_trip.tsx";

interface Props {
  readonly plan: PlanAnswer;
  readonly here: TripHere;
}

/** Deeper, longer, sooner: one sentence each, with its new limit. */
export function WhatIf({ plan, here }: Props) {
  const all = plan.what_if ?? [];
  if (all.length === 0) return <div />;
  return (
    <Section title="Deeper, longer, sooner">
      <List label="Deeper, longer, sooner">
        {all.map((one, n) => (
          <Row key={n} title={whatIfPlain(one, here.nameOf)} />
        ))}
      </List>
    </Section>
  );
}

/** What waiting before this dive wins, and what this dive costs the next one. */
export function Waiting({ plan, here }: Props) {
  const before = intervalSentence(plan.surface_interval, here.nameOf);
  const without = withoutSentences(plan.surface_interval, here.nameOf);
  const after = intervalSentence(plan.next_dive?.surface_interval, here.nameOf);
  const steps = plan.interval_steps;
  if (before === null && after === null && steps === undefined) return <div />;
  return (
    <Section title="Waiting">
      <List label="Waiting">
        {before !== null && (
          <Row title="Before this dive" note={before}>
            {without.length > 0 && (
              <Reason title="With others">
                <ul>
                  {without.map((line) => (
                    <li key={line}>{line}</li>
                  ))}
                </ul>
              </Reason>
            )}
          </Row>
        )}
        {steps !== undefined && (
          <Row title="What more waiting buys" note={isUnknown(steps) ? `Not known: ${missingText(steps.not_known, here.nameOf)}.` : plain(steps.message, here.nameOf)}>
            {!isUnknown(steps) && steps.steps.length > 1 && (
              <Reason title="Every step">
                <ul>
                  {steps.steps.map((step) => (
                    <li key={step.after_min}>{`${step.after_min} min later: ${Math.floor(step.limit_min)} min, ${step.gain_min} more`}</li>
                  ))}
                </ul>
              </Reason>
            )}
          </Row>
        )}
        {after !== null && <Row title="Before the next dive" note={after} />}
      </List>
    </Section>
  );
}

/** What staying too long would oblige: told before the dive, never a plan. */
export function Overstay({ plan, here }: Props) {
  const all = plan.overstay;
  if (all === undefined || (!isUnknown(all) && all.length === 0)) return <div />;
  return (
    <Section title="If a team stays too long">
      {isUnknown(all) ? (
        <Empty>{`Not known: ${missingText(all.not_known, here.nameOf)}.`}</Empty>
      ) : (
        <List label="If a team stays too long">
          {all.map((one) => (
            <Row key={one.past_min} title={pastText(one.past_min)} note={plannedOverstay(one, plan.depth_unit ?? "m", here.nameOf, (depth) => showDepth(depth, here.system))} />
          ))}
        </List>
      )}
      <p class="desk-caution">{NOT_A_PLAN}</p>
    </Section>
  );
}

/** By when each diver with a flight must be at the surface. */
export function Flights(props: Props & { readonly dive: TripDive }) {
  const { plan, here, dive } = props;
  const flying = plan.divers.filter((diver) => diver.flight !== undefined);
  if (flying.length === 0 || dive.planned_at === null) return <div />;
  const down = Date.parse(dive.planned_at);
  const zone = here.trip.time_zone;
  return (
    <Section title="Flights home">
      <List label="Flights home">
        {flying.map(({ id, flight }) => {
          if (flight === undefined) return null;
          const spare = flight.spare_min;
          return (
            <Row
              key={id}
              title={here.nameOf(id)}
              note={outBySentence(flight, down, zone, here.nameOf)}
              {...(isUnknown(spare) || spare < 0 ? { tone: "warn" as const } : {})}
            >
              <Reason>
                <p>{plain(flight.message, here.nameOf)}</p>
              </Reason>
            </Row>
          );
        })}
      </List>
    </Section>
  );
}

/** Whose limit is not known for want of one fact, and which. */
export function FactThatFrees({ plan, here }: Props) {
  const held = plan.divers.filter((diver) => diver.frees !== undefined);
  if (held.length === 0) return null;
  return (
    <Section title="What one fact would settle">
      {held.map((diver) => (
        <Empty key={diver.id}>{plain(diver.frees ?? "", here.nameOf)}</Empty>
      ))}
    </Section>
  );
}
