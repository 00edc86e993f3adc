// One change at a time: what would buy a team time, what a deeper, longer or sooner dive would cost, how long to wait.
// The twin of physics/options.py.

import { noStop, stateBefore, wait } from "./dive.ts";
import { type Diver, type DiverLimits, HARD_WORK, type LimitKind, type TeamDive, type TeamSettings } from "./diver.ts";
import { diverLimits, nextLonger } from "./diver.ts";
import { type Missing, isMissing, merge } from "./known.ts";
import { JOIN_S, type NitrogenState, tableLeftS, tissueLeftS } from "./nitrogen.ts";
import { Mix, mod } from "./oxygen.ts";
import { floorDiv } from "./rounding.ts";
import { type Bound, LIMIT_NAMES, type TeamLimits, counted, teamLimits } from "./team.ts";
import { Depth } from "./units.ts";

const LARGER = { l: [2, 5], cuft: [20, 40] } as const;
const DEPTH_STEP = { m: 300, ft: 1000 } as const;
const INTERVAL_STEP_S = 1800;
const LONGER_S = 300;
const OTHER_O2_E4 = [3200, 3600] as const;
const EASY_KN = 0.5;
const WORTH_S = 120;
/** What people try against a limit, so that it is worth saying when it gains nothing. */
const TRIED: Readonly<Record<LimitKind, readonly string[]>> = {
  gas: ["larger_cylinder", "longer_interval", "other_gas"],
  table_no_stop: ["larger_cylinder", "easier_work"],
  tissue_no_stop: ["larger_cylinder", "easier_work"],
  oxygen: [],
  certified_depth: [],
  planned: [],
};
const LONGEST_WAIT_MIN = 3 * 1440;

/** One thing changed: which, whose (null: everyone's), by and to how much in `unit`, and the question with it. */
export interface Change {
  readonly code: string;
  readonly diver: string | null;
  readonly by: number | null;
  readonly to: number | null;
  readonly unit: string;
  readonly dive: TeamDive;
  readonly divers: readonly Diver[];
}

/** The team's limit after a change, and what it gained in seconds. */
export interface Outcome {
  readonly change: Change;
  readonly limit: Bound;
  readonly gainS: number;
}

/** The least surface interval in minutes, whose it is, and how many minutes more than was stated. */
export interface Interval {
  readonly kind: "interval";
  readonly min: number;
  readonly diver: string | null;
  readonly moreMin: number;
}

/** No interval makes the dive possible, and why. */
export interface Never {
  readonly kind: "never";
  readonly why: string;
}

/** Every diver's part, and the team. */
export function solve(
  dive: TeamDive,
  divers: readonly Diver[],
  settings: TeamSettings,
): [readonly DiverLimits[], TeamLimits] {
  const members = divers.map((diver) => diverLimits(dive, diver, settings));
  return [members, teamLimits(dive, members, settings)];
}

/** The diver with the coming dive that much later; no interval gets under the ten minutes that join dives. */
export function shifted(diver: Diver, seconds: number): Diver {
  if (diver.earlier === null || diver.earlier.length === 0) return diver;
  const last = Math.min(...diver.earlier.map((made) => made.surfacedS));
  const by = last + seconds >= JOIN_S ? seconds : Math.min(0, JOIN_S - last);
  return { ...diver, earlier: diver.earlier.map((made) => ({ ...made, surfacedS: made.surfacedS + by })) };
}

// --- what would buy time ---

/** The changes that give the team at least two minutes, and of those one would try, the ones that give none. */
export function buysTime(
  dive: TeamDive,
  divers: readonly Diver[],
  settings: TeamSettings,
  plan: TeamLimits,
): Outcome[] {
  if (isMissing(plan.limit) || plan.limit.limitedBy === "planned") return [];
  const found: Outcome[] = [];
  for (const change of changes(dive, divers, settings, plan)) {
    const [, changed] = solve(change.dive, change.divers, settings);
    if (isMissing(changed.limit)) continue;
    const gain = floorDiv(changed.limit.seconds, 6) - floorDiv(plan.limit.seconds, 6);
    const saidAlready = found.some((o) => o.change.code === change.code);
    const inVain = gain === 0 && TRIED[plan.limit.limitedBy].includes(change.code) && !saidAlready;
    if (gain * 6 >= WORTH_S || inVain) found.push({ change, limit: changed.limit, gainS: gain * 6 });
  }
  return found;
}

function changes(dive: TeamDive, divers: readonly Diver[], settings: TeamSettings, plan: TeamLimits): Change[] {
  const { unit } = dive.depth;
  const step = DEPTH_STEP[unit];
  const found = largerCylinders(dive, divers, settings, plan);
  if (dive.depth.hundredths > step) {
    const shallower = new Depth(dive.depth.hundredths - step, unit);
    found.push({
      code: "shallower",
      diver: null,
      by: step / 100,
      to: shallower.number,
      unit,
      dive: { ...dive, depth: shallower },
      divers,
    });
  }
  if (divers.some((diver) => diver.earlier !== null && diver.earlier.length > 0)) {
    const later = divers.map((diver) => shifted(diver, INTERVAL_STEP_S));
    const by = INTERVAL_STEP_S / 60;
    found.push({ code: "longer_interval", diver: null, by, to: null, unit: "min", dive, divers: later });
  }
  if (HARD_WORK.includes(dive.work) || dive.currentKn > EASY_KN) {
    const easier: TeamDive = { ...dive, work: "moderate", currentKn: Math.min(dive.currentKn, EASY_KN) };
    found.push({ code: "easier_work", diver: null, by: null, to: null, unit: "", dive: easier, divers });
  }
  for (const o2E4 of OTHER_O2_E4) {
    const other = new Mix(o2E4, true);
    const deepest = mod(other, settings.maxPpo2Bar, unit);
    if (isMissing(deepest) || dive.depth.mswE7 > deepest.mswE7) continue;
    const richer = divers.map((diver) => on(diver, other));
    if (richer.some((diver, i) => diver !== divers[i])) {
      const to = o2E4 / 10_000;
      found.push({ code: "other_gas", diver: null, by: null, to, unit: "o2_fraction", dive, divers: richer });
    }
  }
  return found;
}

/** The diver on a richer gas, had they analysed it; unchanged on one that is as rich. */
function on(diver: Diver, mix: Mix): Diver {
  if (diver.mix.o2E4 === null || diver.mix.o2E4 >= (mix.o2E4 ?? 0)) return diver;
  return { ...diver, mix, notAnalysed: null };
}

/** A larger cylinder, at the same pressure, for the diver whose gas ends first. */
function largerCylinders(
  dive: TeamDive,
  divers: readonly Diver[],
  settings: TeamSettings,
  plan: TeamLimits,
): Change[] {
  let who = -1;
  let shortest = 0;
  plan.divers.forEach((own, i) => {
    const limit = own.limits.gas;
    if (!isMissing(limit) && limit.seconds !== null && (who < 0 || limit.seconds < shortest)) {
      who = i;
      shortest = limit.seconds;
    }
  });
  const diver = divers[who];
  if (diver === undefined || isMissing(diver.cylinder)) return [];
  const { cylinder } = diver;
  return LARGER[settings.volumeUnit].map((by) => {
    const to = cylinder.volume + by;
    const larger: Diver = { ...diver, cylinder: { ...cylinder, volume: to } };
    return {
      code: "larger_cylinder",
      diver: diver.id,
      by,
      to,
      unit: settings.volumeUnit,
      dive,
      divers: divers.map((other, i) => (i === who ? larger : other)),
    };
  });
}

// --- what if ---

/** Deeper, longer, and a shorter interval where there are earlier dives. */
export function whatIf(dive: TeamDive, divers: readonly Diver[]): Change[] {
  const { unit } = dive.depth;
  const step = DEPTH_STEP[unit];
  const deeper: TeamDive = { ...dive, depth: new Depth(dive.depth.hundredths + step, unit) };
  const longer: TeamDive = { ...dive, bottomTimeS: dive.bottomTimeS + LONGER_S };
  const found: Change[] = [
    { code: "deeper", diver: null, by: step / 100, to: deeper.depth.number, unit, dive: deeper, divers },
    {
      code: "longer",
      diver: null,
      by: LONGER_S / 60,
      to: longer.bottomTimeS / 60,
      unit: "min",
      dive: longer,
      divers,
    },
  ];
  const sooner = divers.map((diver) => shifted(diver, -INTERVAL_STEP_S));
  let lessS = 0;
  divers.forEach((diver, i) => {
    const before = diver.earlier?.[0];
    const after = sooner[i]?.earlier?.[0];
    if (before !== undefined && after !== undefined) lessS = Math.max(lessS, before.surfacedS - after.surfacedS);
  });
  if (lessS > 0) {
    const by = floorDiv(lessS, 60);
    found.push({ code: "shorter_interval", diver: null, by, to: null, unit: "min", dive, divers: sooner });
  }
  return found;
}

// --- the least surface interval ---

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
  const name = NO_STOP_NAME[settings.dive.method];
  let min = 0;
  let whose: string | null = null;
  let moreMin = 0;
  for (const diver of divers) {
    if (diver.earlier === null || diver.earlier.length === 0) {
      if (!lasts(dive, diver, settings, stateBefore(diver.earlier, settings.dive))) {
        return { kind: "never", why: `${name} of diver ${diver.id} is shorter even with no dive before.` };
      }
      continue;
    }
    const found = ownLeast(dive, diver, settings, leastMin);
    if (found === null) {
      const days = floorDiv(LONGEST_WAIT_MIN, 1440);
      return { kind: "never", why: `${name} of diver ${diver.id} is shorter even ${days} days later.` };
    }
    const stated = floorDiv(Math.min(...diver.earlier.map((made) => made.surfacedS)), 60);
    moreMin = Math.max(moreMin, found - stated);
    if (found > min) {
      min = found;
      whose = diver.id;
    }
  }
  return { kind: "interval", min, diver: whose, moreMin };
}

const NO_STOP_NAME = {
  shorter: "The no-stop limit",
  table: "The no-stop limit of the table",
  tissue: "The no-stop limit of the tissue model",
} as const;

/** One diver's least interval in whole minutes by bisection (waiting never shortens a limit); null: never. */
function ownLeast(dive: TeamDive, diver: Diver, settings: TeamSettings, leastMin: number): number | null {
  const surfaced = { ...stateBefore(diver.earlier, settings.dive), sinceS: 0 };
  let low = leastMin * 60 > JOIN_S ? leastMin : floorDiv(JOIN_S, 60);
  if (lasts(dive, diver, settings, wait(surfaced, low * 60))) return low;
  let high = LONGEST_WAIT_MIN;
  if (!lasts(dive, diver, settings, wait(surfaced, high * 60))) return null;
  while (high - low > 1) {
    const middle = floorDiv(low + high, 2);
    if (lasts(dive, diver, settings, wait(surfaced, middle * 60))) high = middle;
    else low = middle;
  }
  return high;
}

/** Whether the governing no-stop limits cover the dive from this state. */
function lasts(dive: TeamDive, diver: Diver, settings: TeamSettings, state: NitrogenState): boolean {
  const found = noStop(state, dive.depth, diver.mix, settings.dive, diver.caution, nextLonger(dive));
  const kinds = counted(settings);
  const both = [
    ["table_no_stop", tableLeftS(found)],
    ["tissue_no_stop", tissueLeftS(found)],
  ] as const;
  for (const [kind, left] of both) {
    if (kinds.includes(kind) && (isMissing(left) || (left !== null && left < dive.bottomTimeS))) return false;
  }
  return true;
}
