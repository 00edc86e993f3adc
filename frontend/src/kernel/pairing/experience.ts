// How many steps a diver takes at once on a dive, from the joint record of what was done.
// The twin of pairing/experience.py, which says what counts and where it comes from.

import { floorDiv } from "../physics/rounding.ts";
import type { DepthUnit } from "../physics/units.ts";
import { daysBetween, monthsLater } from "./days.ts";
import { type Demands, type Dimension, type Done, EQUIPMENT, type Experience, LAY_OFF, type Policy } from "./model.ts";
import { combinations, compareLists, dimensionsOf } from "./model.ts";

export const BAND_EDGES: Readonly<Record<DepthUnit, readonly number[]>> = {
  m: [900, 1800, 3000, 4000, 4600, 5800],
  ft: [3000, 6000, 10000, 13000, 15000, 19000],
};
const DEPTH_STEP: Readonly<Record<DepthUnit, number>> = { m: 300, ft: 1000 };
const CURRENT_STEP = 250;
const WATER_TEMP_STEP = 30;
const LAY_OFF_STEP_DAYS = 30;
export const MARGIN_CAP = 4;
export const QUARTERS = 4;
// Dimensions that have no steps beyond the demand, or none that an edge is judged by.
const UNGRADED: readonly Dimension[] = ["night", "site", LAY_OFF];

/** A past dive, what it lacks of the demand, and its weight in quarters. */
export interface Kept {
  readonly done: Done;
  readonly lacking: readonly Dimension[];
  readonly weight: number;
}

/** The past dive that lacks least, and what it lacks. */
export interface Nearest {
  readonly done: Done;
  readonly lacks: readonly Dimension[];
}

export type Kind = "none" | "new" | "not_recent" | "combination" | typeof LAY_OFF;

/** How a diver stands to one dive. */
export interface Standing {
  readonly stretches: number;
  readonly dimensions: readonly Dimension[];
  readonly anyOf: readonly Dimension[];
  readonly kind: Kind;
  readonly logKnown: boolean;
  readonly layOffKnown: boolean;
  readonly practised: boolean;
  readonly margins: readonly (readonly [Dimension, number])[];
  readonly atEdge: boolean;
  readonly daysSince: number | null;
  readonly nearest: Nearest | null;
}

/** The deep edge of the band a depth lies in; past the last band the depth itself. */
export function bandEdge(depth: number, unit: DepthUnit): number {
  return BAND_EDGES[unit].find((edge) => depth <= edge) ?? depth;
}

/** 0 is the worst; a value on an edge is of the clearer class. */
export function visibilityClass(centimetres: number, edges: readonly number[]): number {
  return edges.filter((edge) => centimetres >= edge).length;
}

/** What one dive of that day weighs on the day `on`: 4, 2, 1 or 0 quarters. */
export function quarters(doneOn: number, on: number, months: readonly [number, number, number]): number {
  const weights = [4, 2, 1];
  for (let at = 0; at < 3; at++) if (on < monthsLater(doneOn, months[at]!)) return weights[at]!;
  return 0;
}

/** The dimensions of the demand that this past dive does not cover. */
export function lacks(done: Done, demands: Demands, policy: Policy): readonly Dimension[] {
  return dimensionsOf(demands).filter((name) => !covers(name, done, demands, policy));
}

function covers(name: Dimension, done: Done, demands: Demands, policy: Policy): boolean {
  if (name === "depth") return bandEdge(done.depth, demands.unit) >= demands.depth;
  if (name === "current") return (done.current ?? 0) + policy.currentTolerance >= (demands.current ?? 0);
  if (name === "visibility") {
    const edges = policy.visibilityEdges;
    const had = done.visibility === null ? edges.length : visibilityClass(done.visibility, edges);
    return had - policy.visibilityTolerance <= visibilityClass(demands.visibility ?? 0, edges);
  }
  if (name === "cold") {
    return done.waterTemp !== null && done.waterTemp - policy.waterTempTolerance <= (demands.waterTemp ?? 0);
  }
  if (name === "night") return done.night;
  if (name === "site") return demands.site.every((kind) => done.site.includes(kind));
  const had = done.task;
  const asked = demands.task;
  return asked !== null && had !== null && had.kind === asked.kind && had.level >= asked.level;
}

/** How a diver with this record stands to this dive on the day `on`; new equipment is a dimension of its own. */
export function standing(
  experience: Experience | null,
  demands: Demands,
  on: number,
  policy: Policy,
  newEquipment = false,
): Standing {
  const names = dimensionsOf(demands);
  const done = experience === null ? null : experience.done;
  const [last, layOffKnown] = lastDive(experience, on, policy);
  const since = last === null ? null : daysBetween(last, on);
  const away = since !== null && since > policy.layOffDays;
  const record = recordOf(experience, demands, on, policy);
  const [struck, ways] = least(record, names, QUARTERS * policy.coveredWeight);
  const [leadStruck] = least(record, names, QUARTERS * policy.leadWeight);
  const own: Dimension[] = [...(newEquipment ? [EQUIPMENT] as const : []), ...(away ? [LAY_OFF] as const : [])];
  const stretches = struck.length + own.length;
  const practised = done !== null && layOffKnown && own.length === 0 && leadStruck.length === 0;
  const need = QUARTERS * (practised ? policy.leadWeight : policy.coveredWeight);
  const margins = marginsOf(record, names, demands, policy, need);
  if (since !== null) {
    const spare = floorDiv(policy.layOffDays - since, LAY_OFF_STEP_DAYS);
    margins.push([LAY_OFF, Math.min(MARGIN_CAP, Math.max(0, spare))]);
  }
  margins.push([EQUIPMENT, newEquipment ? 0 : MARGIN_CAP]);
  const touched = names.filter((name) => ways.some((way) => way.includes(name)));
  return {
    stretches,
    dimensions: [...struck, ...own],
    anyOf: [...touched, ...own],
    kind: kindOf(record, struck, own),
    logKnown: done !== null,
    layOffKnown,
    practised,
    margins,
    atEdge:
      stretches > 0 ||
      done === null ||
      margins.some(([name, steps]) => steps === 0 && !UNGRADED.includes(name)),
    daysSince: since,
    nearest: nearestOf(record),
  };
}

/** Every past dive with what it lacks of this demand and what it weighs on that day. */
export function recordOf(experience: Experience | null, demands: Demands, on: number, policy: Policy): Kept[] {
  const done = experience === null ? null : experience.done;
  return (done ?? []).map((one) => ({
    done: one,
    lacking: lacks(one, demands, policy),
    weight: one.count * quarters(one.on, on, policy.freshMonths),
  }));
}

/** The day to count a lay-off from, and whether a lay-off can be judged. */
function lastDive(experience: Experience | null, on: number, policy: Policy): [number | null, boolean] {
  if (experience === null) return [null, false];
  if (experience.lastDive !== null) return [experience.lastDive, true];
  const days = (experience.done ?? []).map((one) => one.on);
  if (days.length > 0) {
    const logged = Math.max(...days);
    if (daysBetween(logged, on) <= policy.layOffDays) return [logged, true];
  }
  return [null, false];
}

type Way = readonly Dimension[];

/** The first of the least ways of striking, in the order of the dimensions, and all of that size. */
function least(record: readonly Kept[], names: Way, need: number): [Way, readonly Way[]] {
  for (let size = 0; size < names.length; size++) {
    const ways = combinations(names, size).filter(
      (way) =>
        record.reduce(
          (sum, one) => sum + (one.lacking.every((name) => way.includes(name)) ? one.weight : 0),
          0,
        ) >= need,
    );
    if (ways.length > 0) return [ways[0]!, ways];
  }
  return [names, [names]];
}

function kindOf(record: readonly Kept[], struck: Way, own: Way): Kind {
  if (struck.length === 0) return own.includes(EQUIPMENT) ? "new" : own.length > 0 ? LAY_OFF : "none";
  if (struck.some((name) => record.every((one) => one.lacking.includes(name)))) return "new";
  for (const name of struck) {
    const weight = record.reduce((sum, one) => sum + (one.lacking.includes(name) ? 0 : one.weight), 0);
    if (weight < QUARTERS) return "not_recent";
  }
  return "combination";
}

/** Steps by which one demand could be harder while the same joint dives still weigh enough. */
function marginsOf(
  record: readonly Kept[],
  names: Way,
  demands: Demands,
  policy: Policy,
  need: number,
): [Dimension, number][] {
  const covering = record.filter((one) => one.lacking.length === 0);
  return names.map((name) => {
    const scored = covering.map((one): [number, number] => [beyond(name, one.done, demands, policy), one.weight]);
    scored.sort((a, b) => b[0] - a[0] || b[1] - a[1]);
    let total = 0;
    for (const [steps, weight] of scored) {
      total += weight;
      if (total >= need) return [name, Math.min(MARGIN_CAP, Math.max(0, steps))];
    }
    return [name, 0];
  });
}

function beyond(name: Dimension, done: Done, demands: Demands, policy: Policy): number {
  if (name === "depth") return floorDiv(done.depth - demands.depth, DEPTH_STEP[demands.unit]);
  if (name === "current") return floorDiv((done.current ?? 0) - (demands.current ?? 0), CURRENT_STEP);
  if (name === "visibility") {
    const edges = policy.visibilityEdges;
    const had = done.visibility === null ? edges.length : visibilityClass(done.visibility, edges);
    return visibilityClass(demands.visibility ?? 0, edges) - had;
  }
  if (name === "cold" && done.waterTemp !== null) {
    return floorDiv((demands.waterTemp ?? 0) - done.waterTemp, WATER_TEMP_STEP);
  }
  if (name === "task" && done.task !== null && demands.task !== null) return done.task.level - demands.task.level;
  return 0;
}

function nearestOf(record: readonly Kept[]): Nearest | null {
  const best = nearestFirst(record)[0];
  return best === undefined ? null : { done: best.done, lacks: best.lacking };
}

/** The past dives that lack least first; of equal ones the heavier, later, deeper. */
export function nearestFirst(record: readonly Kept[]): Kept[] {
  return [...record].sort(compareKept);
}

function compareKept(a: Kept, b: Kept): number {
  return (
    a.lacking.length - b.lacking.length ||
    b.weight - a.weight ||
    b.done.on - a.done.on ||
    b.done.depth - a.done.depth ||
    compareLists(a.lacking, b.lacking, (x, y) => (x < y ? -1 : x > y ? 1 : 0))
  );
}
