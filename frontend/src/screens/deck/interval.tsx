import { useMemo } from "preact/hooks";
import { nextDive, noFly, type NextDive } from "../../kernel/boatlog/nitrogen.ts";
import { divePlan } from "../../kernel/boatlog/plan.ts";
import { nextSteps, type NextStep } from "../../kernel/boatlog/waiting.ts";
import { BigNumber, Empty, LinkButton, Page, Reason, Section, type ScreenProps } from "../parts/index.ts";
import { clockTime, depth, minutes, names as joined, span } from "../words/format.ts";
import { roadAndPlane, waitingReason } from "../words/waiting.ts";
import { membersOf, numbered, OnTrip, siteOf, SyncStrip, type Names } from "./frame.tsx";
import { whatDiffers } from "./settle.ts";
import { Unsure, upEntries } from "./unsure.tsx";
import type { Deck } from "./use_trip.ts";

export function Interval({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <IntervalPage deck={deck} names={names} />}</OnTrip>;
}

/** Limits move by the minute: worked out again this often, and whenever an entry comes in. */
const AGAIN_MS = 15_000;

/** The next dive of each team with someone who has dived, as the wait grows: what it allows now and later, or which fact is missing. */
function IntervalPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view } = deck;
  const dives = numbered(deck)
    .map((dive) => ({ ...dive, teams: dive.teams.filter((team) => waits(deck, team.id)) }))
    .filter((dive) => dive.teams.length > 0);
  return (
    <>
      <SyncStrip deck={deck} />
      <Page wide title="Surface interval" back={`/trips/${log.trip}/deck`} backLabel="Deck" note="No number here replaces a diver's own computer: the shorter counts.">
        {dives.length === 0 && (
          <Empty>{Object.values(view.people).some((person) => person.surfaced_at !== null) ? "No further dive is planned for those who dived." : "Nobody has dived yet."}</Empty>
        )}
        {dives.map((dive) => {
          const plan = divePlan(log.state, dive.dive);
          const title = [`Next: dive ${dive.number}`, siteOf(deck, dive.dive), plan === null ? "" : depth(plan.depth)];
          return (
            <Section key={dive.dive} title={title.filter((text) => text !== "").join(" · ")}>
              <div class="cards">
                {dive.teams.map((team) => (
                  <TeamInterval key={team.id} deck={deck} names={names} dive={dive.dive} team={team.id} number={team.number} />
                ))}
              </div>
            </Section>
          );
        })}
        <Waits deck={deck} names={names} />
      </Page>
    </>
  );
}

/** Each diver who has dived: no mountain road before, no plane before, the reason one tap away. */
function Waits({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view } = deck;
  const dived = Object.keys(view.people).filter((person) => (view.people[person]?.dives_done.length ?? 0) > 0);
  const waits = useMemo(
    () =>
      dived.flatMap((person) => {
        const wait = noFly(log.state, person);
        return wait === null ? [] : [{ person, wait }];
      }),
    [log.state, dived.join(" ")],
  );
  if (waits.length === 0) return null;
  return (
    <Section title="Before a mountain road or a plane">
      {waits.map(({ person, wait }) => (
        <div key={person} data-waits={person}>
          <p>
            <b>{names.full(person)}</b>: {roadAndPlane(wait, deck.earliest, deck.zone)}.
          </p>
          <Reason>
            <p>Plane</p>
            <ul>{waitingReason(wait).map((text) => <li key={text}>{text}</li>)}</ul>
            <p>Road</p>
            <ul>{waitingReason(wait.road).map((text) => <li key={text}>{text}</li>)}</ul>
          </Reason>
        </div>
      ))}
    </Section>
  );
}

/** Whether this team has yet to go and counts an interval for someone. */
function waits(deck: Deck, team: string): boolean {
  const state = deck.view.teams[team];
  return state?.status === "ready" && state.members.some((person) => deck.view.people[person]?.surfaced_at != null);
}

interface Forecast {
  readonly person: string;
  readonly next: NextDive;
}

function TeamInterval(props: { readonly deck: Deck; readonly names: Names; readonly dive: string; readonly team: string; readonly number: number }) {
  const { deck, names, team } = props;
  const { log, view } = deck;
  const members = membersOf(deck, team);
  const bucket = Math.floor(deck.now / AGAIN_MS);
  const forecasts = useMemo<readonly Forecast[]>(
    () =>
      members.flatMap((person) => {
        const next = nextDive(log.state, person, deck.earliest, props.dive);
        return next === null ? [] : [{ person, next }];
      }),
    [log.state, bucket, members.join(" "), props.dive],
  );
  const unknown = forecasts.filter(({ next }) => next.limit_s !== null && typeof next.limit_s !== "number");
  const least = forecasts.reduce<Forecast | null>((best, one) => (best === null || limit(one) < limit(best) ? one : best), null);
  const steps = useMemo(() => nextSteps(log.state, members, props.dive, deck.earliest), [log.state, bucket, members.join(" "), props.dive]);
  const intervals = members.flatMap((person) => {
    const known = view.people[person];
    return known?.interval_s == null || known.surfaced_at === null ? [] : [Math.max(0, (deck.earliest - known.surfaced_at[1]) / 1000)];
  });
  const last = lastUp(deck, members);
  return (
    <article class="card" data-team={props.number}>
      <h3>
        <span class="team-number">{props.number}</span> {joined(members.map(names.short))}
      </h3>
      <p class="waited">
        {intervals.length === 0 ? "No dive yet today" : <>At the surface for <b>{span(Math.min(...intervals))}</b></>}
      </p>
      {last !== null && <Unsure deck={deck} label="Surface time" span={last.span} entries={last.entries} counts="shorter" />}
      {unknown.length > 0 || least === null ? (
        <NotKnownYet deck={deck} names={names} forecasts={unknown} />
      ) : (
        <Governing deck={deck} names={names} least={least} steps={steps} readyAt={readyAt(forecasts)} />
      )}
      <Reason title="Each diver, both methods">
        {forecasts.map((one) => (
          <DiverLine key={one.person} deck={deck} names={names} forecast={one} />
        ))}
      </Reason>
    </article>
  );
}

/** The surfacing that is in most doubt of all the members' last ones. */
function lastUp(deck: Deck, members: readonly string[]): { readonly span: readonly [number, number]; readonly entries: readonly string[] } | null {
  let found: { readonly span: readonly [number, number]; readonly entries: readonly string[] } | null = null;
  for (const person of members) {
    const known = deck.view.people[person];
    if (known?.surfaced_at == null) continue;
    const [low, high] = known.surfaced_at;
    if (found === null || high - low > found.span[1] - found.span[0]) found = { span: [low, high], entries: upEntries(deck, person) };
  }
  return found;
}

interface GoverningProps {
  readonly deck: Deck;
  readonly names: Names;
  readonly least: Forecast;
  readonly steps: readonly NextStep[];
  /** When the planned bottom time fits for the whole team; null: no wait is asked, or none is long enough. */
  readonly readyAt: number | null;
}

function Governing(props: GoverningProps) {
  const { deck, names, least, steps } = props;
  const { next, person } = least;
  const zone = deck.zone;
  const now = limit(least);
  if (now === Number.POSITIVE_INFINITY) return <BigNumber label="No-stop limit now" value="none" note="neither method ends this dive: gas and cold do" />;
  const enough = now >= next.planned_bottom_time_s;
  const [step, ...later] = steps;
  const wait = props.readyAt !== null && props.readyAt > deck.earliest ? props.readyAt : null;
  return (
    <>
      <BigNumber
        label="No-stop limit now, not more than"
        value={minutes(now)}
        unit="min"
        size="huge"
        note={`${names.short(person)}: ${next.limited_by === "table" ? "the table" : "the tissue model"}`}
        tone={enough ? "plain" : "warn"}
      />
      <p class="both">
        table <b>{text(next.table_limit_s)}</b> · tissue model <b>{text(next.tissue_limit_s)}</b>
      </p>
      {next.if_settled_limit_s !== null && minutes(next.if_settled_limit_s) !== minutes(now) && (
        <Settled deck={deck} person={person} limitS={next.if_settled_limit_s} />
      )}
      {step === undefined ? (
        <p>Waiting longer does not raise it.</p>
      ) : (
        <p class="next-step">
          <b>{minutesUntil(step.at, deck.earliest)} min</b> more {minutesUntil(step.at, deck.earliest) === 1 ? "buys" : "buy"} <b>{step.gain_min ?? "all"}</b>: at <b>{clockTime(step.at, zone)}</b> it rises from {minutes(now)} to {text(step.limit_s)}.
        </p>
      )}
      {enough && wait === null && <p>The planned {minutes(next.planned_bottom_time_s)} min fit now.</p>}
      {wait !== null && (
        <p>
          {enough ? "By the least surface interval, not before " : `The planned ${minutes(next.planned_bottom_time_s)} min fit from `}
          <b>{clockTime(wait, zone)}</b>.
        </p>
      )}
      {step !== undefined && (
        <Reason title="Why it rises">
          <p>{stepReason(step, names)}</p>
          {later.map((one) => (
            <p key={one.at}>
              At {clockTime(one.at, zone)}: {text(one.limit_s)}, {stepReason(one, names)}
            </p>
          ))}
        </Reason>
      )}
    </>
  );
}

/** Why the limit is less than it may be, and where two people settle it. */
function Settled({ deck, person, limitS }: { readonly deck: Deck; readonly person: string; readonly limitS: number }) {
  const { why, open } = whatDiffers(deck.log, deck.view, person);
  return (
    <>
      <p>
        Because {why}: once settled, it may be <b>{minutes(limitS)} min</b>.
      </p>
      {open && (
        <LinkButton path={`/trips/${deck.log.trip}/questions`} size="large">
          Settle it
        </LinkButton>
      )}
    </>
  );
}

/** The facts that are missing, and where to give them: a depth counts for the whole team that made the dive. */
function NotKnownYet(props: { readonly deck: Deck; readonly names: Names; readonly forecasts: readonly Forecast[] }) {
  const { deck, names } = props;
  const depths = new Map<string, string[]>();
  const times = new Map<string, string[]>();
  for (const { person, next } of props.forecasts) {
    const done = deck.view.people[person]?.dives_done.at(-1);
    if (done === undefined) continue;
    if (deck.view.people[person]?.held === true) continue;
    const into = missing(next).some((what) => what.includes("depth")) ? depths : done.left_bottom === null ? times : null;
    into?.set(done.team, [...(into.get(done.team) ?? []), names.short(person)]);
  }
  return (
    <div class="number unknown">
      <span class="number-label">No-stop limit</span>
      <span class="number-value">not known</span>
      {props.forecasts.map(({ person, next }) => (
        <span key={person} class="number-note">
          {names.short(person)}, missing: {missing(next).map(missingWords).join(", ")}
        </span>
      ))}
      {[...depths].map(([team, who]) => (
        <LinkButton key={team} path={`/trips/${deck.log.trip}/depth/${team}`} tone="act" size="large" wide>
          Report the depth of {joined(who)}
        </LinkButton>
      ))}
      {[...times].map(([team, who]) => (
        <LinkButton key={team} path={`/trips/${deck.log.trip}/bottom-time/${team}`} tone="act" size="large" wide>
          Report the bottom time of {joined(who)}: now the whole time counts
        </LinkButton>
      ))}
    </div>
  );
}

function DiverLine(props: { readonly deck: Deck; readonly names: Names; readonly forecast: Forecast }) {
  const { next, person } = props.forecast;
  const group = next.group;
  return (
    <p>
      <b>{props.names.full(person)}</b>: table {text(next.table_limit_s)}, tissue model {text(next.tissue_limit_s)}; repetitive group{" "}
      {group === null ? "none" : typeof group === "string" ? group : "not known"}
      {typeof next.residual_nitrogen_time_min === "number" && `, residual nitrogen time ${next.residual_nitrogen_time_min} min`}
    </p>
  );
}

/** The latest of the members' moments: a team goes when all its members may. */
function readyAt(forecasts: readonly Forecast[]): number | null {
  const never = forecasts.some(({ next }) => typeof next.limit_s === "number" && next.limit_s < next.planned_bottom_time_s && next.ready_at === null);
  if (never) return null;
  const known = forecasts.flatMap(({ next }) => (typeof next.ready_at === "number" ? [next.ready_at] : []));
  return known.length === 0 ? null : Math.max(...known);
}

/** Whose limit it is then, and by which method. */
function stepReason(step: NextStep, names: Names): string {
  if (step.person === null) return "neither method ends the dive then.";
  const method = step.limited_by === "table" ? "the air table, whose residual nitrogen falls in steps" : "the tissue model, which lets go a little every minute";
  return `${names.short(step.person)}, by ${method}.`;
}

/** Whole minutes from now to a moment, never one too few. */
function minutesUntil(at: number, now: number): number {
  return Math.max(1, Math.ceil((at - now) / 60_000));
}

function limit(forecast: Forecast): number {
  return typeof forecast.next.limit_s === "number" ? forecast.next.limit_s : Number.POSITIVE_INFINITY;
}

function text(seconds: NextDive["table_limit_s"]): string {
  if (typeof seconds === "number") return `${minutes(seconds)} min`;
  return seconds === null ? "no limit" : "not known";
}

function missing(next: NextDive): readonly string[] {
  for (const value of [next.limit_s, next.group, next.table_limit_s, next.tissue_limit_s]) {
    if (typeof value === "object" && value !== null) return value.not_known;
  }
  return [];
}

function missingWords(what: string): string {
  return what.replaceAll("_", " ");
}
