// One change at a time: what would buy a team time, what a deeper, longer or sooner dive would cost.
// The twin of physics/options.py.

import { type Cylinder, STEP } from "./cylinder.ts";
import { type Diver, type DiverLimits, HARD_WORK, type LimitKind, type TeamDive, type TeamSettings } from "./diver.ts";
import { diverLimits } from "./diver.ts";
import { isMissing } from "./known.ts";
import { JOIN_S } from "./nitrogen.ts";
import { Mix, mod } from "./oxygen.ts";
import { floorDiv, scaledNearest } from "./rounding.ts";
import { type Bound, type TeamLimits, teamLimits } from "./team.ts";
import { Depth } from "./units.ts";

export const LARGER = { l: [2, 5], cuft: [20, 40] } as const;
const DEPTH_STEP = { m: 300, ft: 1000 } as const;
const INTERVAL_STEP_S = 1800;
const LONGER_S = 300;
const RICHER_O2_E4 = [3200, 3600] as const;
const LEANER_O2_E4 = [3200, 2800, 2100] as const;
const EASY_KN = 0.5;
const WORTH_S = 120;
/** What people try against a limit, so that it is worth saying when it gains nothing. */
const TRIED: Readonly<Record<LimitKind, readonly string[]>> = {
  gas: ["larger_cylinder", "fuller_fill", "longer_interval", "other_gas"],
  table_no_stop: ["larger_cylinder", "fuller_fill", "easier_work", "fixed_line"],
  tissue_no_stop: ["larger_cylinder", "fuller_fill", "easier_work", "fixed_line"],
  oxygen: ["longer_interval"],
  certified_depth: [],
  planned: [],
};

/** One thing changed: which, whose (null: everyone's), by and to how much in `unit`, and the question with it. */
export interface Change {
  readonly code: string;
  readonly diver: string | null;
  readonly by: number | null;
  readonly to: number | null;
  readonly unit: string;
  readonly dive: TeamDive;
  readonly divers: readonly Diver[];
  /** Who dives in that diver's place. */
  readonly other?: string;
}

/** The team's limit after a change, and what it gained in seconds. */
export interface Outcome {
  readonly change: Change;
  readonly limit: Bound;
  readonly gainS: number;
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
  alternatives: readonly Diver[] = [],
): Outcome[] {
  if (isMissing(plan.limit) || plan.limit.limitedBy === "planned") return [];
  const found: Outcome[] = [];
  const tried = [...changes(dive, divers, settings, plan), ...partners(dive, divers, plan.limit, alternatives)];
  for (const change of tried) {
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
  const found = moreGas(dive, divers, settings, plan);
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
  if (HARD_WORK.includes(dive.work)) {
    const easier: TeamDive = { ...dive, work: "moderate" };
    found.push({ code: "easier_work", diver: null, by: null, to: null, unit: "", dive: easier, divers });
  }
  if (dive.currentKn > EASY_KN) {
    const pulling: TeamDive = { ...dive, currentKn: EASY_KN };
    found.push({ code: "fixed_line", diver: null, by: null, to: EASY_KN, unit: "kn", dive: pulling, divers });
  }
  return [...found, ...otherGases(dive, divers, settings, plan)];
}

/** Richer gas, or leaner where oxygen is what ends the dive, each analysed; none deeper than it may be taken. */
function otherGases(
  dive: TeamDive,
  divers: readonly Diver[],
  settings: TeamSettings,
  plan: TeamLimits,
): Change[] {
  const oxygen = !isMissing(plan.limit) && plan.limit.limitedBy === "oxygen";
  const found: Change[] = [];
  for (const o2E4 of oxygen ? LEANER_O2_E4 : RICHER_O2_E4) {
    const other = new Mix(o2E4, true);
    const deepest = mod(other, settings.maxPpo2Bar, dive.depth.unit);
    if (isMissing(deepest) || dive.depth.mswE7 > deepest.mswE7) continue;
    const team = divers.map((diver) => (oxygen ? leaner(diver, other) : richer(diver, other)));
    if (team.some((diver, i) => diver !== divers[i])) {
      const to = o2E4 / 10_000;
      found.push({ code: "other_gas", diver: null, by: null, to, unit: "o2_fraction", dive, divers: team });
    }
  }
  return found;
}

/** The diver on a richer gas, had they analysed it; unchanged on one that is as rich. */
function richer(diver: Diver, mix: Mix): Diver {
  if (diver.mix.o2E4 === null || diver.mix.o2E4 >= (mix.o2E4 ?? 0)) return diver;
  return { ...diver, mix, notAnalysed: null };
}

/** The diver on a leaner gas, had they analysed it; unchanged on one that is as lean. */
function leaner(diver: Diver, mix: Mix): Diver {
  if (diver.mix.o2E4 === null || diver.mix.o2E4 <= (mix.o2E4 ?? 0)) return diver;
  return { ...diver, mix, notAnalysed: null };
}

/** The team without the diver whose limit it is, where two are left, and with each who could dive in that place. */
function partners(
  dive: TeamDive,
  divers: readonly Diver[],
  limit: Bound,
  alternatives: readonly Diver[],
): Change[] {
  const others = divers.filter((diver) => diver.id !== limit.diver);
  if (others.length === divers.length) return [];
  const found: Change[] = [];
  const changed = { diver: limit.diver, by: null, to: null, unit: "", dive };
  if (others.length > 1) found.push({ ...changed, code: "without", divers: others });
  for (const other of alternatives) {
    const team = divers.map((diver) => (diver.id === limit.diver ? other : diver));
    found.push({ ...changed, code: "other_partner", divers: team, other: other.id });
  }
  return found;
}

/** For the diver whose gas ends first: a larger cylinder at the same pressure, a fill to the working pressure. */
function moreGas(
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
  const found: Change[] = LARGER[settings.volumeUnit].map((by) => {
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
  return [...found, ...fullerFill(dive, divers, who, cylinder, settings)];
}

/** A fill to the working pressure, of the same gas and as warm, where at least a step of the gauge is lacking. */
function fullerFill(
  dive: TeamDive,
  divers: readonly Diver[],
  who: number,
  cylinder: Cylinder,
  settings: TeamSettings,
): Change[] {
  const { working, filled } = cylinder;
  const unit = settings.pressureUnit;
  if (working === null || filled === null || working - filled < STEP[unit]) return [];
  const diver = divers[who] as Diver;
  const fuller: Diver = { ...diver, cylinder: { ...cylinder, start: cylinder.full, filled: working } };
  const team = divers.map((other, i) => (i === who ? fuller : other));
  const by = scaledNearest(working - filled, 10) / 10;
  return [{ code: "fuller_fill", diver: diver.id, by, to: working, unit, dive, divers: team }];
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
