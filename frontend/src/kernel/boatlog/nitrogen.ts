// Group, limits of the next dive and no-fly time from the boat log.
// The twin of boatlog/nitrogen.py.

import { wait } from "../physics/dive.ts";
import { Missing } from "../physics/known.ts";
import { groupNow, noStop, tableLeftS, tissueLeftS } from "../physics/nitrogen.ts";
import type { NoStop } from "../physics/nitrogen.ts";
import { NO_CLUB_WAITS, USUAL_ROAD_FT, type Way, noFly as noFlyRule } from "../physics/no_fly.ts";
import { Depth } from "../physics/units.ts";
import { facts } from "./facts.ts";
import type { Facts } from "./facts.ts";
import type { State } from "./fold.ts";
import { divePlan, nextDiveOf, plannedBottomTimeS, teamOn } from "./plan.ts";
import type { DivePlan } from "./plan.ts";
import type { DepthQuantity } from "./snapshot.ts";
import { mixOf, settingsOf, surfaced } from "./surfaced.ts";
import type { Surfaced } from "./surfaced.ts";

// The table knows no shorter interval: a descent within it goes on with the last dive.
export const LEAST_INTERVAL_MIN = 10;
export const FURTHEST_MIN = 48 * 60;

export interface NotKnown {
  readonly not_known: readonly string[];
}
type Limit = number | Missing | null;
type Shown<T> = T | NotKnown;

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

export interface BeforeAltitude {
  readonly until: Shown<number> | null;
  readonly wait_min: Shown<number> | null;
  readonly table_wait_min: Shown<number> | null;
  readonly rule: string;
  readonly to_altitude_ft: number;
  readonly assumptions: readonly string[];
}

export interface NoFlyTime extends BeforeAltitude {
  readonly road: BeforeAltitude;
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
  const waited = waitedS(state, safe, now);
  const limits = limitsThen(state, person, plan, safe, waited);
  const [limit, by] = governing(state, limits);
  const other = surfaced(state, person, known, false);
  const settled = other instanceof Missing ? null : governing(state, limitsThen(state, person, plan, other, waitedS(state, other, now)))[0];
  return {
    ...shown,
    interval_s: safe.at === null ? null : waited,
    group: json(groupNow(wait(safe.nitrogen, waited))),
    residual_nitrogen_time_min: json(limits.residualNitrogenTimeMin),
    table_limit_s: json(tableLeftS(limits)),
    tissue_limit_s: json(tissueLeftS(limits)),
    limit_s: json(limit),
    limited_by: by,
    if_settled_limit_s: typeof settled === "number" && settled !== limit ? settled : null,
    rises: by === "table" ? rises(state, person, plan, safe, waited) : null,
    ready_at: readyAt(state, person, plan, safe),
  };
}

/**
 * Until when (ms) the waiting time runs before going to the snapshot's altitude; null: no dive on this trip.
 * `road` is the same for a road over a pass of 1,000 m, the height named on every page.
 */
export function noFly(state: State, person: string): NoFlyTime | null {
  const known = facts(state);
  if ((known.attempts.get(person) ?? []).length === 0) return null;
  const safe = surfaced(state, person, known);
  const cabinFt = state.snapshot.settings.ascent_to_altitude_ft;
  return {
    ...beforeAltitude(state, safe, "flight", cabinFt),
    road: beforeAltitude(state, safe, "road", USUAL_ROAD_FT),
  };
}

function beforeAltitude(state: State, safe: Surfaced | Missing, by: Way, to_altitude_ft: number): BeforeAltitude {
  if (safe instanceof Missing || safe.at === null) {
    const unknown = safe instanceof Missing ? safe.asJson() : null;
    return { until: unknown, wait_min: unknown, table_wait_min: unknown, rule: "not known", to_altitude_ft, assumptions: [] };
  }
  const own = state.snapshot.settings;
  const club = {
    ...NO_CLUB_WAITS,
    alwaysMin: own.no_fly_wait_min ?? 0,
    beyondLimitMin: own.club_wait_beyond_limit_min ?? null,
    otherGasMin: own.club_wait_other_gas_min ?? null,
  };
  const more = { by, breathed: safe.breathed, symptoms: false };
  const found = noFlyRule(safe.nitrogen, settingsOf(state), to_altitude_ft, safe.dives, safe.days, club, more);
  const least = found.waitMin;
  return {
    until: least instanceof Missing ? least.asJson() : safe.at + least * 60_000,
    wait_min: json(least),
    table_wait_min: json(found.tableWaitMin),
    rule: found.rule,
    to_altitude_ft,
    assumptions: found.assumptions,
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

/** The plan of the dive asked for or of the next one, with the bottom time that the diver's team plans. */
export function planOf(state: State, person: string, dive: string | null, known: Facts): DivePlan | null {
  const done = new Set((known.attempts.get(person) ?? []).map((attempt) => attempt.dive));
  const next = dive === null ? nextDiveOf(state, person, done) : null;
  const plan = dive === null ? (next?.plan ?? null) : divePlan(state, dive);
  const team = dive === null ? (next?.team ?? null) : teamOn(state, person, dive);
  return plan === null ? null : { ...plan, bottom_time_s: plannedBottomTimeS(state, plan, team) };
}

/** Seconds at the surface by `now` (ms); from the trip's start for a diver without a dive on it. */
export function waitedS(state: State, who: Surfaced, now: number): number {
  return Math.max(0, Math.floor((now - (who.at ?? state.snapshot.starts_at)) / 1000));
}

/** Both methods' limits of the planned dive after that many seconds at the surface. */
export function limitsThen(state: State, person: string, plan: DivePlan, who: Surfaced, waitedS: number): NoStop {
  const depth = new Depth(plan.depth.hundredths, plan.depth.unit);
  const at = (who.at ?? state.snapshot.starts_at) + waitedS * 1000;
  return noStop(wait(who.nitrogen, waitedS), depth, mixOf(state, person, plan.dive, at), settingsOf(state));
}

/** The limit in seconds by the club's method, and which method gave it; of equal ones the table. */
export function governing(state: State, limits: NoStop): readonly [Limit, "table" | "tissue" | null] {
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
  const now = tableLeftS(limitsThen(state, person, plan, who, waitedS));
  if (who.at === null || typeof now !== "number") return null;
  const least = Math.max(Math.floor(waitedS / 60) + 1, LEAST_INTERVAL_MIN);
  const minute = leastMinute(least, Math.max(least, FURTHEST_MIN), (each) => {
    const table = tableLeftS(limitsThen(state, person, plan, who, each * 60));
    return table === null || (typeof table === "number" && table > now);
  });
  if (minute === null) return null;
  const then = limitsThen(state, person, plan, who, minute * 60);
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
    const [limit] = governing(state, limitsThen(state, person, plan, who, minute * 60));
    return limit === null || (typeof limit === "number" && limit >= plan.bottom_time_s);
  };
  const [atLast] = governing(state, limitsThen(state, person, plan, who, FURTHEST_MIN * 60));
  if (atLast instanceof Missing) return atLast.asJson();
  const least = Math.max(LEAST_INTERVAL_MIN, state.snapshot.settings.least_surface_interval_min ?? 0);
  const minute = leastMinute(least, FURTHEST_MIN, fits);
  return minute === null ? null : who.at + minute * 60_000;
}

function json<T>(value: T | Missing): Shown<T> {
  return value instanceof Missing ? value.asJson() : value;
}
