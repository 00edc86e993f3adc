import { Columns, Empty, Facts, Grid, List, NotKnown, Notice, Page, Reason, Row, Section, type ScreenProps } from "../parts/index.ts";
import { Caution, gaugeOf, LimitList, short, shortMod, shortLimit, TeamLimit, withUnits } from "../parts/plan_view.tsx";
import { useWide } from "../parts/use_wide.ts";
import type { AnnouncedTeam, PlanAnswer, TripDive } from "../words/answers.ts";
import { minutes, names } from "../words/format.ts";
import { limitLines, limitTitles, whoseLimit, wholeMinutes } from "../words/plan.ts";
import { bothMethods, breathes, buysTimeSentence, sourceLines, sourceOfLimits, turnsBy, turnsFirst } from "../words/plan_sentences.ts";
import { plain } from "../words/plain.ts";
import { showDepth } from "../words/units.ts";
import { FactThatFrees, Flights, Overstay, Waiting, WhatIf } from "./plan_backwards.tsx";
import { diveOf, diveTitle, WithTrip, type TripHere } from "./use_trip.tsx";

/** The plan of one team: how long, whose limit, what is behind it, each diver's own numbers, what would buy time. */
export default function Plan(props: ScreenProps) {
  return (
    <WithTrip {...props}>
      {(here) => {
        const dive = diveOf(here.trip, props.params["dive"]);
        const team = dive?.teams.find((one) => one.id === props.params["team"]);
        if (dive === undefined || team === undefined) {
          return (
            <Page title="Plan of a team" back={`/organise/trips/${here.trip.id}`} backLabel={here.trip.name}>
              <Empty>This team was announced anew: open it from the teams.</Empty>
            </Page>
          );
        }
        return <TeamPlan here={here} dive={dive} team={team} />;
      }}
    </WithTrip>
  );
}

function TeamPlan(props: { readonly here: TripHere; readonly dive: TripDive; readonly team: AnnouncedTeam }) {
  const { here, dive, team } = props;
  const back = { back: `/organise/trips/${here.trip.id}/dives/${dive.id}/teams`, backLabel: `Teams of dive ${dive.number}` };
  const title = `Team ${team.number}: ${names(team.members.map(here.nameOf))}`;
  const note = `${diveTitle(dive)} · ${showDepth(dive.depth, here.system)}, ${minutes(dive.bottom_time_s)} min planned`;
  if (team.plan === null) {
    return (
      <Page title={title} note={note} {...back}>
        <NotKnown label="Plan" what={["it is worked out when the teams are announced"]} />
      </Page>
    );
  }
  const plan = withUnits(team.plan, dive.depth.unit, here.club?.units.pressure);
  return (
    <Page title={title} note={note} {...back} wide>
      <Columns>
        <Headline plan={plan} here={here} dive={dive} />
        <Section title="Every limit of the team">
          <LimitList label="Limits of the team" lines={limitLines(plan.team.limits)} binding={plan.team.limited_by} nameOf={here.nameOf} />
          <p>{bothMethods(plan, plan.method ?? here.club?.settings.method ?? "shorter", here.nameOf)}</p>
        </Section>
      </Columns>
      <Divers plan={plan} here={here} />
      <Columns>
        <div>
          <WhatIf plan={plan} here={here} />
          <Overstay plan={plan} here={here} />
        </div>
        <BuysTime plan={plan} here={here} />
      </Columns>
      <Columns>
        <Waiting plan={plan} here={here} />
        <Flights plan={plan} here={here} dive={dive} />
      </Columns>
      <FactThatFrees plan={plan} here={here} />
      <Section>
        {sourceOfLimits(plan.sources) !== null && <p>{sourceOfLimits(plan.sources)}</p>}
        <Caution />
        <Reason title="Where the numbers come from">
          <ul>
            {sourceLines(plan.sources).map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </Reason>
        {(plan.warnings?.length ?? 0) > 0 && (
          <Reason title="Remarks on this plan">
            <ul>
              {plan.warnings?.map((warning, n) => (
                <li key={n}>{plain(warning.message, here.nameOf)}</li>
              ))}
            </ul>
          </Reason>
        )}
      </Section>
    </Page>
  );
}

function Headline(props: { readonly plan: PlanAnswer; readonly here: TripHere; readonly dive: TripDive }) {
  const { plan, here, dive } = props;
  const { team } = plan;
  const next = team.next_limit;
  return (
    <Section>
      <TeamLimit plan={plan} nameOf={here.nameOf} size="huge" />
      {(plan.overrides ?? []).map((one) => (
        <Notice key={one.diver} tone="warn">
          <p>
            The certified depth of {here.nameOf(one.diver)} was set aside for this dive: {one.reason}
          </p>
        </Notice>
      ))}
      <Facts
        items={[
          ...(next?.min !== null && next?.min !== undefined ? [["Next limit behind it", `${wholeMinutes(next.min)} min, ${whoseLimit(next.limited_by, next.diver, here.nameOf)}`] as const] : []),
          ...(turnsBy(plan, dive) === null ? [] : [["Turning", turnsBy(plan, dive)] as const]),
          ...(turnsFirst(plan, here.nameOf) === null ? [] : [["First to turn", turnsFirst(plan, here.nameOf)] as const]),
          ...(typeof team.last_start_min === "number" ? [["Start nothing new after", `minute ${wholeMinutes(team.last_start_min)}`] as const] : []),
          ...(typeof team.run_time_min === "number" ? [["At the surface after", `${Math.ceil(team.run_time_min - 1e-9)} min`] as const] : []),
        ]}
      />
    </Section>
  );
}

function Divers(props: { readonly plan: PlanAnswer; readonly here: TripHere }) {
  const { plan, here } = props;
  const wide = useWide();
  const gauge = gaugeOf(plan, here.system);
  if (wide) {
    return (
      <Section title="Each diver">
        <Grid
          label="Each diver"
          head={["Diver", "Not more than", "Because of", "Minimum gas", "Turn at", "Gas not deeper than", "Group after"]}
          rows={plan.divers.map((diver) => ({
            key: diver.id,
            cells: [
              here.nameOf(diver.id),
              short(diver.limit_min, (min) => `${wholeMinutes(min)} min`),
              diver.limited_by === null ? "–" : (limitTitles[diver.limited_by] ?? diver.limited_by),
              short(diver.minimum_gas, gauge, here.nameOf),
              short(diver.turn_pressure, gauge, here.nameOf),
              shortMod(plan, diver, here.system),
              short(diver.group_after, String, here.nameOf),
            ],
            ...(diver.id === plan.team.limiting_diver ? { tone: "warn" as const } : {}),
          }))}
        />
      </Section>
    );
  }
  return (
    <Section title="Each diver">
      {plan.divers.map((diver) => (
        <div key={diver.id} class="desk-card">
          <h3>{here.nameOf(diver.id)}</h3>
          <p>{shortLimit(diver, here.nameOf)}</p>
          <Facts
            items={[
              ["Minimum gas", short(diver.minimum_gas, gauge, here.nameOf)],
              ["Turn at", short(diver.turn_pressure, gauge, here.nameOf)],
              ["Breathing counted", breathes(diver, here.nameOf) ?? "–"],
              ["Gas not deeper than", shortMod(plan, diver, here.system)],
              ["Group after", short(diver.group_after, String, here.nameOf)],
            ]}
          />
          <Reason title="Every limit">
            <LimitList label={`Limits of ${here.nameOf(diver.id)}`} lines={limitLines(diver.limits)} binding={diver.limited_by} nameOf={here.nameOf} />
          </Reason>
        </div>
      ))}
    </Section>
  );
}

function BuysTime(props: { readonly plan: PlanAnswer; readonly here: TripHere }) {
  const all = props.plan.team.buys_time ?? [];
  return (
    <Section title="What would buy time">
      {all.length === 0 ? (
        <Empty>Nothing of what was tried.</Empty>
      ) : (
        <List label="What would buy time">
          {all.map((one, n) => {
            const line = buysTimeSentence(one, props.plan.team.limit_min, props.here.nameOf);
            return <Row key={n} title={line.what} note={line.result} side={line.gain} />;
          })}
        </List>
      )}
    </Section>
  );
}
