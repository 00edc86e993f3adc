// The least surface interval for a planned dive: each diver's by both methods, and the team's.
// The twin of physics/interval.py.

import { noStop, wait } from "./dive.ts";
import { isState, stateBefore } from "./earlier.ts";
import { type Diver, type TeamDive, type TeamSettings, nextLonger } from "./diver.ts";
import { type Missing, isMissing, merge, missing } from "./known.ts";
import { BEYOND, JOIN_S, type NitrogenState, isBarred, tableLeftS, tissueLeftS } from "./nitrogen.ts";
import { floorDiv } from "./rounding.ts";
import { LIMIT_NAMES, type TeamLimits, counted } from "./team.ts";

export const LONGEST_WAIT_MIN = 3 * 1440;
export const LEAST_MIN = floorDiv(JOIN_S, 60);
export const NO_STOP_NAME = {
  shorter: "The no-stop limit",
  table: "The no-stop limit of the table",
  tissue: "The no-stop limit of the tissue model",
} as const;

type Kind = "table_no_stop" | "tissue_no_stop";
const NO_STOP_KINDS: readonly (readonly [Kind, AskedBy])[] = [
  ["table_no_stop", "table"],
  ["tissue_no_stop", "tissue"],
];

/** Least minutes; null: no wait is long enough. */
export type Minutes = number | Missing | null;
/** Which method or rule asks an interval; null: ten minutes, the least there is, are enough. */
export type AskedBy = "table" | "tissue" | "club";

/** One diver's least interval by the governing method and by each of the two; `min` 0: no dive before. */
export interface OwnInterval {
  readonly kind: "own";
  readonly diver: string;
  readonly min: number;
  readonly askedBy: AskedBy | null;
  readonly tableMin: Minutes;
  readonly tissueMin: Minutes;
}

/** A team's least interval: whose it is (the longest), which method asks it, and how much more than was stated. */
export interface Interval {
  readonly kind: "interval";
  readonly min: number;
  readonly diver: string | null;
  readonly moreMin: number;
  readonly askedBy: AskedBy | null;
  readonly tableMin: Minutes;
  readonly tissueMin: Minutes;
  readonly divers: readonly OwnInterval[];
}

/** No interval makes the dive possible, and why. */
export interface Never {
  readonly kind: "never";
  readonly why: string;
}

/** The least interval with which every diver may make the whole dive, never under `leastMin` (10 joins dives). */
export function leastInterval(
  dive: TeamDive,
  divers: readonly Diver[],
  settings: TeamSettings,
  plan: TeamLimits,
  leastMin: number,
): Interval | Never | Missing {
  const unknown = merge(plan.divers.flatMap((d) => counted(settings).map((kind) => d.limits[kind])));
  if (unknown !== null) return unknown;
  for (const own of plan.divers) {
    for (const kind of ["certified_depth", "oxygen", "gas"] as const) {
      const limit = own.limits[kind];
      if (!isMissing(limit) && limit.seconds !== null && limit.seconds < dive.bottomTimeS) {
        const minutes = floorDiv(limit.seconds, 60);
        const ever = kind === "oxygen" ? "what earlier dives used of it counts for 24 h" : "whatever the interval";
        return { kind: "never", why: `The ${LIMIT_NAMES[kind]} of diver ${own.id} gives ${minutes} min, ${ever}.` };
      }
    }
  }
  const found: OwnInterval[] = [];
  let more = 0;
  for (const diver of divers) {
    const state = stateBefore(diver.earlier, settings.dive);
    if (diver.earlier === null || diver.earlier.length === 0) {
      if (!lasts(dive, diver, settings, state)) return neverWithoutDive(diver, settings);
      found.push(noInterval(diver.id));
      continue;
    }
    const lastS = Math.min(...diver.earlier.map((made) => made.surfacedS));
    const arrived = sinceArrival(diver, state);
    if (arrived !== null) return arrived;
    const ownLeast = ownInterval(dive, diver, settings, { ...state, sinceS: 0 }, leastMin);
    if (isMissing(ownLeast) || ownLeast.kind === "never") return ownLeast;
    found.push(ownLeast);
    more = Math.max(more, ownLeast.min - floorDiv(lastS, 60));
  }
  return together(found, more);
}

/** Missing where a diver's state counts from coming to this altitude: no interval is counted from that. */
export function sinceArrival(diver: Diver, state: NitrogenState): Missing | null {
  const earlier = diver.earlier ?? [];
  if (!earlier.some(isState) || state.sinceS === Math.min(...earlier.map((made) => made.surfacedS))) return null;
  return missing(`an interval of diver ${diver.id} since coming to this altitude`);
}

export function neverWithoutDive(diver: Diver, settings: TeamSettings): Never {
  const name = NO_STOP_NAME[settings.dive.method];
  return { kind: "never", why: `${name} of diver ${diver.id} is shorter even with no dive before.` };
}

export function noInterval(diver: string): OwnInterval {
  return { kind: "own", diver, min: 0, askedBy: null, tableMin: 0, tissueMin: 0 };
}

/** The least interval before `dive` of divers just surfaced; not known after a dive beyond its limit. */
export function intervalAfter(
  dive: TeamDive,
  surfaced: readonly (readonly [Diver, NitrogenState])[],
  settings: TeamSettings,
  leastMin: number,
): Interval | Never | Missing {
  const found: OwnInterval[] = [];
  for (const [diver, state] of surfaced) {
    if (isBarred(state)) return BEYOND;
    const own = ownInterval(dive, diver, settings, { ...state, sinceS: 0 }, leastMin);
    if (isMissing(own) || own.kind === "never") return own;
    found.push(own);
  }
  return together(found, 0);
}

/** The members' intervals as the team's: the longest, by each method too. */
export function together(found: readonly OwnInterval[], moreMin: number): Interval {
  let longest = noInterval("");
  for (const own of found) if (own.min > longest.min) longest = own;
  return {
    kind: "interval",
    min: longest.min,
    diver: longest.diver === "" ? null : longest.diver,
    moreMin,
    askedBy: longest.askedBy,
    tableMin: longestOf(found.map((own) => own.tableMin)),
    tissueMin: longestOf(found.map((own) => own.tissueMin)),
    divers: found,
  };
}

function longestOf(minutes: readonly Minutes[]): Minutes {
  const unknown = merge(minutes);
  if (unknown !== null) return unknown;
  let longest = 0;
  for (const each of minutes) {
    if (each === null) return null;
    if (!isMissing(each) && each > longest) longest = each;
  }
  return longest;
}

/** One diver's least interval after `surfaced`, a state of this moment's surfacing. */
export function ownInterval(
  dive: TeamDive,
  diver: Diver,
  settings: TeamSettings,
  surfaced: NitrogenState,
  leastMin: number,
): OwnInterval | Never | Missing {
  const low = Math.max(leastMin, LEAST_MIN);
  const tableMin = leastBy("table_no_stop", dive, diver, settings, surfaced, low);
  const tissueMin = leastBy("tissue_no_stop", dive, diver, settings, surfaced, low);
  const kinds = counted(settings);
  let min = low;
  let askedBy: AskedBy | null = leastMin > LEAST_MIN ? "club" : null;
  for (const [kind, name] of NO_STOP_KINDS) {
    if (!kinds.includes(kind)) continue;
    const minutes = kind === "table_no_stop" ? tableMin : tissueMin;
    if (isMissing(minutes)) return minutes;
    if (minutes === null) {
      const method = NO_STOP_NAME[settings.dive.method];
      const days = floorDiv(LONGEST_WAIT_MIN, 1440);
      return { kind: "never", why: `${method} of diver ${diver.id} is shorter even ${days} days later.` };
    }
    if (minutes > min) {
      min = minutes;
      askedBy = name;
    }
  }
  return { kind: "own", diver: diver.id, min, askedBy, tableMin, tissueMin };
}

function leastBy(
  kind: Kind,
  dive: TeamDive,
  diver: Diver,
  settings: TeamSettings,
  surfaced: NitrogenState,
  low: number,
): Minutes {
  const atLast = left(kind, dive, diver, settings, wait(surfaced, LONGEST_WAIT_MIN * 60));
  if (isMissing(atLast)) return atLast;
  const holds = (minutes: number): boolean =>
    covers(left(kind, dive, diver, settings, wait(surfaced, minutes * 60)), dive.bottomTimeS);
  return leastMinute(low, LONGEST_WAIT_MIN, holds);
}

/** The least whole minute from `low` to `high` at which `holds`, which stays true once it is; null: at none. */
export function leastMinute(low: number, high: number, holds: (minutes: number) => boolean): number | null {
  if (holds(low)) return low;
  if (!holds(high)) return null;
  while (high - low > 1) {
    const middle = floorDiv(low + high, 2);
    if (holds(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/** Whether the governing no-stop limits cover the dive from this state. */
export function lasts(dive: TeamDive, diver: Diver, settings: TeamSettings, state: NitrogenState): boolean {
  const kinds = counted(settings);
  return NO_STOP_KINDS.every(
    ([kind]) => !kinds.includes(kind) || covers(left(kind, dive, diver, settings, state), dive.bottomTimeS),
  );
}

function left(
  kind: Kind,
  dive: TeamDive,
  diver: Diver,
  settings: TeamSettings,
  state: NitrogenState,
): number | Missing | null {
  const found = noStop(state, dive.depth, diver.mix, settings.dive, diver.caution, nextLonger(dive));
  return kind === "table_no_stop" ? tableLeftS(found) : tissueLeftS(found);
}

function covers(leftS: number | Missing | null, seconds: number): boolean {
  return leftS === null || (!isMissing(leftS) && leftS >= seconds);
}
