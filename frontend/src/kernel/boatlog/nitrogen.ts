// Group, limits of the next dive and no-fly time from the boat log: the one place that asks physics.
// The twin of boatlog/nitrogen.py: whatever is disputed takes the safe end.

import { after, stateBefore, unknownState, wait } from "../physics/dive.ts";
import { Missing } from "../physics/known.ts";
import { noFly as noFlyRule } from "../physics/no_fly.ts";
import { groupNow, noStop, tableLeftS, tissueLeftS } from "../physics/nitrogen.ts";
import type { NitrogenState, NoStop } from "../physics/nitrogen.ts";
import { Mix } from "../physics/oxygen.ts";
import { squareDive } from "../physics/profile.ts";
import type { Settings } from "../physics/profile.ts";
import { Depth } from "../physics/units.ts";
import { decided } from "./claims.ts";
import { bottomTimeS, downOf, surfacedOf } from "./dives.ts";
import { facts } from "./facts.ts";
import type { Facts } from "./facts.ts";
import type { State } from "./fold.ts";
import { greatest, told } from "./order.ts";
import { divePlan, nextDiveOf, plannedBottomTimeS, teamOn } from "./plan.ts";
import type { DivePlan } from "./plan.ts";
import type { DepthQuantity, Person } from "./snapshot.ts";

// The table knows no shorter interval: a descent within it goes on with the last dive.
export const LEAST_INTERVAL_MIN = 10;
export const FURTHEST_MIN = 48 * 60;
const DAY_MS = 24 * 3600 * 1000;

export interface NotKnown {
  readonly not_known: readonly string[];
}
type Limit = number | Missing | null;
type Shown<T> = T | NotKnown;

/** A diver at the surface: nitrogen then, when (ms; null: no dive on this trip), dives and days for flying. */
interface Surfaced {
  readonly nitrogen: NitrogenState;
  readonly at: number | null;
  readonly dives: number;
  readonly days: number | null;
}

export interface NextDive {
  readonly dive: string;
  readonly number: number;
  readonly depth: DepthQuantity;
  readonly planned_bottom_time_s: number;
  readonly interval_s: Shown<number> | null;
  readonly group: Shown<string> | null;
  readonly residual_nitrogen_time_min: Shown<number>;
  readonly table_limit_s: Shown<number> | null;
  readonly tissue_limit_s: Shown<number> | null;
  readonly limit_s: Shown<number> | null;
  readonly limited_by: "table" | "tissue" | null;
  readonly if_settled_limit_s: number | null;
  readonly rises: Rise | null;
  readonly ready_at: Shown<number> | null;
}

export interface Rise {
  readonly at: number;
  readonly limit_s: Shown<number> | null;
  readonly table_limit_s: Shown<number> | null;
  readonly tissue_limit_s: Shown<number> | null;
}

export interface NoFlyTime {
  readonly until: Shown<number> | null;
  readonly wait_min: Shown<number> | null;
  readonly rule: string;
}

/** The diver after all dives entered. `safe` false: the other end of what is disputed, never to act on. */
function surfaced(state: State, person: string, known: Facts, safe = true): Surfaced | Missing {
  const settings = settingsOf(state);
  const attempts = known.attempts.get(person) ?? [];
  const unseen = attempts.filter((attempt) => surfacedOf(attempt) === null);
  if (unseen.length > 0) return new Missing(unseen.map((attempt) => `surfacing from ${nameOf(state, attempt.dive)}`));
  if (known.held.get(person) === true) return new Missing(["release of a diver held from diving"]);
  const listed = state.snapshot.people.find((each) => each.id === person);
  const earlier = listed?.earlier_dives ?? null;
  const start = attempts.length > 0 ? downOf(attempts[0]!)[0] : state.snapshot.starts_at;
  let nitrogen = before(listed, start, settings);
  let dives = earlier?.length ?? 0;
  let last: number | null = null;
  for (const attempt of attempts) {
    const span = surfacedOf(attempt)!;
    const times = bottomTimeS(attempt)!;
    const downs = downOf(attempt);
    const down = safe ? downs[0] : downs[1];
    if (last !== null) nitrogen = wait(nitrogen, Math.max(0, Math.floor((down - last) / 1000)));
    last = safe ? span[1] : span[0];
    if (attempt.depth === null) {
      nitrogen = unknownState(`reported depth of ${nameOf(state, attempt.dive)}`);
      dives += 1;
      continue;
    }
    const depth = new Depth(attempt.depth.hundredths, attempt.depth.unit);
    const made = squareDive(depth, safe ? times[1] : times[0], mixOf(state, person, attempt.dive, downs[1]));
    const [answer, next] = after(nitrogen, made, settings);
    nitrogen = next;
    dives += answer.joined ? 0 : 1;
  }
  const oneDay = earlier !== null && earlier.length === 0 && attempts.length > 0 && (last ?? 0) - downOf(attempts[0]!)[0] < DAY_MS;
  return { nitrogen, at: last, dives, days: oneDay ? 1 : null };
}

/** What the next dive (or the one named) allows this diver if it began at `now`; null: no such dive. */
export function nextDive(state: State, person: string, now: number, dive: string | null = null): NextDive | null {
  const known = facts(state);
  const plan = planOf(state, person, dive, known);
  if (plan === null) return null;
  const { number, depth, bottom_time_s } = plan;
  const shown = { dive: plan.dive, number, depth, planned_bottom_time_s: bottom_time_s };
  const safe = surfaced(state, person, known);
  if (safe instanceof Missing) {
    const unknown = safe.asJson();
    return {
      ...shown,
      interval_s: unknown,
      group: unknown,
      residual_nitrogen_time_min: unknown,
      table_limit_s: unknown,
      tissue_limit_s: unknown,
      limit_s: unknown,
      limited_by: null,
      if_settled_limit_s: null,
      rises: null,
      ready_at: unknown,
    };
  }
  const waitedS = waited(state, safe, now);
  const limits = limitsOf(state, person, plan, safe, waitedS);
  const [limit, by] = governing(state, limits);
  const other = surfaced(state, person, known, false);
  const settled = other instanceof Missing ? null : governing(state, limitsOf(state, person, plan, other, waited(state, other, now)))[0];
  return {
    ...shown,
    interval_s: safe.at === null ? null : waitedS,
    group: json(groupNow(wait(safe.nitrogen, waitedS))),
    residual_nitrogen_time_min: json(limits.residualNitrogenTimeMin),
    table_limit_s: json(tableLeftS(limits)),
    tissue_limit_s: json(tissueLeftS(limits)),
    limit_s: json(limit),
    limited_by: by,
    if_settled_limit_s: typeof settled === "number" && settled !== limit ? settled : null,
    rises: by === "table" ? rises(state, person, plan, safe, waitedS) : null,
    ready_at: readyAt(state, person, plan, safe),
  };
}

/** Until when (ms) the waiting time runs before going to the snapshot's altitude; null: no dive on this trip. */
export function noFly(state: State, person: string): NoFlyTime | null {
  const known = facts(state);
  if ((known.attempts.get(person) ?? []).length === 0) return null;
  const safe = surfaced(state, person, known);
  if (safe instanceof Missing || safe.at === null) {
    const unknown = safe instanceof Missing ? safe.asJson() : null;
    return { until: unknown, wait_min: unknown, rule: "not known" };
  }
  const rules = state.snapshot.settings;
  const found = noFlyRule(
    safe.nitrogen,
    settingsOf(state),
    rules.ascent_to_altitude_ft,
    safe.dives,
    safe.days,
    rules.no_fly_wait_min ?? 0,
  );
  const least = found.waitMin;
  return {
    until: least instanceof Missing ? least.asJson() : safe.at + least * 60_000,
    wait_min: json(least),
    rule: found.rule,
  };
}

/** The repetitive group on surfacing from the last dive of this trip, and that instant (ms); nulls: no dive yet. */
export function afterLastDive(state: State, person: string): { group: Shown<string> | null; surfaced_at: number | null } {
  const known = facts(state);
  if ((known.attempts.get(person) ?? []).length === 0) return { group: null, surfaced_at: null };
  const safe = surfaced(state, person, known);
  if (safe instanceof Missing) return { group: safe.asJson(), surfaced_at: null };
  return { group: json(safe.nitrogen.surfacedGroup), surfaced_at: safe.at };
}

function settingsOf(state: State): Settings {
  const rules = state.snapshot.settings;
  return {
    method: rules.method,
    gfLowPm: rules.gf_low_pm,
    gfHighPm: rules.gf_high_pm,
    descent: new Depth(rules.descent_cm_min, "m"),
    ascent: new Depth(rules.ascent_cm_min, "m"),
    altitudeFt: 0,
    atAltitudeS: null,
  };
}

/** The diver at the start of the first dive of this trip (ms), from the dives made before it. */
function before(listed: Person | undefined, start: number, settings: Settings): NitrogenState {
  const earlier = listed?.earlier_dives ?? null;
  if (earlier === null) return stateBefore(null, settings);
  const made = earlier.map((dive) => ({
    depth: new Depth(dive.depth.hundredths, dive.depth.unit),
    bottomTimeS: dive.bottom_time_s,
    mix: new Mix(dive.o2_pm * 10, true),
    surfacedS: Math.max(0, Math.floor((start - dive.surfaced_at) / 1000)),
  }));
  return stateBefore(made, settings);
}

/** The gas of a diver on a dive: the last cylinder checked before `beforeMs`, else the one planned. */
function mixOf(state: State, person: string, dive: string, beforeMs: number): Mix {
  const checks = decided(state, "gas_checked").filter((claim) => claim.entry.subject === person && claim.at <= beforeMs);
  const last = greatest(checks, (claim) => told(claim.at, claim.entry));
  if (last !== undefined) {
    const o2 = last.data["o2_pm"] as number | null;
    return new Mix(o2 === null ? null : o2 * 10, last.data["analysed_by"] === person);
  }
  for (const planned of state.snapshot.dives) {
    if (planned.id !== dive) continue;
    for (const team of planned.teams) {
      for (const diver of team.divers) if (diver.id === person && diver.o2_pm !== null) return new Mix(diver.o2_pm * 10, true);
    }
  }
  return new Mix(null, false);
}

/** The plan of the dive asked for or of the next one, with the bottom time that the diver's team plans. */
function planOf(state: State, person: string, dive: string | null, known: Facts): DivePlan | null {
  const done = new Set((known.attempts.get(person) ?? []).map((attempt) => attempt.dive));
  const next = dive === null ? nextDiveOf(state, person, done) : null;
  const plan = dive === null ? (next?.plan ?? null) : divePlan(state, dive);
  const team = dive === null ? (next?.team ?? null) : teamOn(state, person, dive);
  return plan === null ? null : { ...plan, bottom_time_s: plannedBottomTimeS(state, plan, team) };
}

function waited(state: State, who: Surfaced, now: number): number {
  return Math.max(0, Math.floor((now - (who.at ?? state.snapshot.starts_at)) / 1000));
}

function limitsOf(state: State, person: string, plan: DivePlan, who: Surfaced, waitedS: number): NoStop {
  const depth = new Depth(plan.depth.hundredths, plan.depth.unit);
  const at = (who.at ?? state.snapshot.starts_at) + waitedS * 1000;
  return noStop(wait(who.nitrogen, waitedS), depth, mixOf(state, person, plan.dive, at), settingsOf(state));
}

/** The limit in seconds by the club's method, and which method gave it; of equal ones the table. */
function governing(state: State, limits: NoStop): readonly [Limit, "table" | "tissue" | null] {
  const { method } = state.snapshot.settings;
  const table = tableLeftS(limits);
  const tissue = tissueLeftS(limits);
  if (method === "table") return [table, typeof table === "number" ? "table" : null];
  if (method === "tissue") return [tissue, typeof tissue === "number" ? "tissue" : null];
  for (const limit of [table, tissue]) if (limit instanceof Missing) return [limit, null];
  if (table === null || (typeof tissue === "number" && typeof table === "number" && tissue < table)) {
    return [tissue, typeof tissue === "number" ? "tissue" : null];
  }
  return [table, "table"];
}

/** The least whole minute in [low, high] at which `holds`, which stays true once it is; null: not even at `high`. */
function leastMinute(low: number, high: number, holds: (minute: number) => boolean): number | null {
  if (low > high || !holds(high)) return null;
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (holds(middle)) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** The next moment at which waiting lengthens the table's limit, and both limits then. */
function rises(state: State, person: string, plan: DivePlan, who: Surfaced, waitedS: number): Rise | null {
  const now = tableLeftS(limitsOf(state, person, plan, who, waitedS));
  if (who.at === null || typeof now !== "number") return null;
  const least = Math.max(Math.floor(waitedS / 60) + 1, LEAST_INTERVAL_MIN);
  const minute = leastMinute(least, Math.max(least, FURTHEST_MIN), (each) => {
    const table = tableLeftS(limitsOf(state, person, plan, who, each * 60));
    return table === null || (typeof table === "number" && table > now);
  });
  if (minute === null) return null;
  const then = limitsOf(state, person, plan, who, minute * 60);
  return {
    at: who.at + minute * 60_000,
    limit_s: json(governing(state, then)[0]),
    table_limit_s: json(tableLeftS(then)),
    tissue_limit_s: json(tissueLeftS(then)),
  };
}

/** When the planned bottom time of the next dive fits (ms); null: no wait is asked, or none is long enough. */
function readyAt(state: State, person: string, plan: DivePlan, who: Surfaced): Shown<number> | null {
  if (who.at === null) return null;
  const fits = (minute: number): boolean => {
    const [limit] = governing(state, limitsOf(state, person, plan, who, minute * 60));
    return limit === null || (typeof limit === "number" && limit >= plan.bottom_time_s);
  };
  const [atLast] = governing(state, limitsOf(state, person, plan, who, FURTHEST_MIN * 60));
  if (atLast instanceof Missing) return atLast.asJson();
  const least = Math.max(LEAST_INTERVAL_MIN, state.snapshot.settings.least_surface_interval_min ?? 0);
  const minute = leastMinute(least, FURTHEST_MIN, fits);
  return minute === null ? null : who.at + minute * 60_000;
}

function nameOf(state: State, dive: string): string {
  const planned = state.snapshot.dives.find((each) => each.id === dive);
  return planned === undefined ? "a dive that was not planned" : `dive ${planned.number}`;
}

function json<T>(value: T | Missing): Shown<T> {
  return value instanceof Missing ? value.asJson() : value;
}
