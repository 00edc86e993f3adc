// What an overstay obliges: the ascent with stops that the tissue model asks once its no-stop limit is passed. Never a
// plan. The twin of physics/ascent.py, which carries the rule and its source.

import { type Missing, isMissing, missing } from "./known.ts";
import { type NitrogenState, noStop, openBefore, tissuesNow } from "./nitrogen.ts";
import type { Mix } from "./oxygen.ts";
import { DAY_S, type Dive, type Settings, breathe, gfHigh, profile, squareDive, surfaceBar } from "./profile.ts";
import { floorDiv, minutesUp, scaledUp } from "./rounding.ts";
import * as tissues from "./tissues.ts";
import type { Tissues } from "./tissues.ts";
import { BAR_PER_MSW, Depth, type DepthUnit, FSW_IN_MSW, exactTravelS, travelS } from "./units.ts";

/** Distance of the stops in hundredths: 3 m or 10 ft. */
export const STEP: Record<DepthUnit, number> = { m: 300, ft: 1000 };

/** A stop at a depth for whole seconds. */
export interface Stop {
  readonly depth: Depth;
  readonly seconds: number;
}

/**
 * From leaving the bottom to the surface: the stops, deepest first (none: a straight ascent), and the way. `ceiling` is
 * that of the low factor on leaving the bottom, rounded up (deeper) to a hundredth.
 */
export interface Ascent {
  readonly stops: readonly Stop[];
  readonly travelS: number;
  readonly ceiling: Depth;
}

export function stopS(ascent: Ascent): number {
  return ascent.stops.reduce((total, stop) => total + stop.seconds, 0);
}

/** All stops as shown and kept: each in whole minutes, rounded up. */
export function stopMin(ascent: Ascent): number {
  return ascent.stops.reduce((total, stop) => total + minutesUp(stop.seconds), 0);
}

/** The whole ascent with its stops as shown. */
export function ascentMin(ascent: Ascent): number {
  return minutesUp(ascent.travelS) + stopMin(ascent);
}

/** How this ascent is made: on which gas, at which rate, between which factors. */
interface Way {
  readonly mix: Mix;
  readonly settings: Settings;
  readonly gfLow: number;
  readonly gfHigh: number;
}

function barAt(way: Way, at: Depth): number {
  return surfaceBar(way.settings) + at.bar;
}

/** Exactly at the rate: a second more for each step would add up. */
function secondsUp(way: Way, start: Depth, end: Depth): number {
  return exactTravelS(new Depth(start.hundredths - end.hundredths, start.unit), way.settings.ascent);
}

function goneUp(way: Way, state: Tissues, start: Depth, end: Depth, seconds: number): Tissues {
  return tissues.linear(state, barAt(way, start), barAt(way, end), way.mix.n2, seconds, way.mix.he);
}

/** Tensions after going up to a depth, null where they are above the ceiling there. */
function arrives(way: Way, state: Tissues, start: Depth, end: Depth, gf: number): Tissues | null {
  const moved = goneUp(way, state, start, end, secondsUp(way, start, end));
  return tissues.tolerates(moved, barAt(way, end), gf) ? moved : null;
}

function stays(way: Way, state: Tissues, at: Depth, seconds: number): Tissues {
  return tissues.constant(state, barAt(way, at), way.mix.n2, seconds, way.mix.he);
}

/** The ascent from `bottom` with these tensions on leaving it, on one gas; Missing where a stop is longer than a day. */
export function ascend(
  state: Tissues,
  bottom: Depth,
  mix: Mix,
  settings: Settings,
  caution = 0,
): Ascent | Missing {
  const high = gfHigh(settings, caution);
  const low = settings.gfLowPm / 1000;
  const way: Way = { mix, settings, gfLow: low < high ? low : high, gfHigh: high };
  const surface = new Depth(0, bottom.unit);
  const travel = travelS(bottom, settings.ascent, true);
  if (straight(way, state, bottom, surface, travel)) return { stops: [], travelS: travel, ceiling: surface };
  const ceiling = ceilingOf(way, state, bottom.unit);
  const levels = levelsAbove(bottom);
  let at = bottom;
  while (levels.length > 0) {
    const moved = arrives(way, state, at, levels[0]!, way.gfLow);
    if (moved === null) break;
    state = moved;
    at = levels.shift()!;
  }
  const first = at;
  const stops: Stop[] = [];
  for (const level of levels) {
    const gf = way.gfHigh + (way.gfLow - way.gfHigh) * (level.hundredths / first.hundredths);
    const seconds = waitS(way, state, at, level, gf);
    if (seconds === null) return missing("stops of less than a day");
    if (seconds > 0) stops.push({ depth: at, seconds });
    state = goneUp(way, stays(way, state, at, seconds), at, level, secondsUp(way, at, level));
    at = level;
  }
  return { stops, travelS: travel, ceiling };
}

/** Whether no stop is owed, by the rule of the no-stop limit: in whole seconds and exactly at the rate. */
function straight(way: Way, state: Tissues, bottom: Depth, surface: Depth, travel: number): boolean {
  if (arrives(way, state, bottom, surface, way.gfHigh) === null) return false;
  return tissues.tolerates(goneUp(way, state, bottom, surface, travel), surfaceBar(way.settings), way.gfHigh);
}

function ceilingOf(way: Way, state: Tissues, unit: DepthUnit): Depth {
  const gaugeBar = tissues.ceilingBar(state, way.gfLow) - surfaceBar(way.settings);
  const msw = gaugeBar > 0.0 ? gaugeBar / BAR_PER_MSW : 0.0;
  return new Depth(scaledUp(unit === "m" ? msw : msw / FSW_IN_MSW, 100), unit);
}

/** The steps above a depth, deepest first, the surface last. */
function levelsAbove(bottom: Depth): Depth[] {
  const step = STEP[bottom.unit];
  const levels: Depth[] = [];
  for (let n = floorDiv(bottom.hundredths - 1, step); n >= 0; n -= 1) levels.push(new Depth(n * step, bottom.unit));
  return levels;
}

/** Least whole seconds at a depth after which the next level is within `gf`. */
function waitS(way: Way, state: Tissues, at: Depth, level: Depth, gf: number): number | null {
  const leaves = (seconds: number): boolean => arrives(way, stays(way, state, at, seconds), at, level, gf) !== null;
  if (leaves(0)) return 0;
  if (!leaves(DAY_S)) return null;
  let low = 0;
  let high = DAY_S;
  while (high - low > 1) {
    const middle = floorDiv(low + high, 2);
    if (leaves(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/** The ascent that a dive from a state at the surface obliges at the end of its bottom time. */
export function owed(state: NitrogenState, dive: Dive, settings: Settings): Ascent | Missing {
  const before = openBefore(state, dive.mix);
  const now = tissuesNow(state, settings);
  if (isMissing(now)) return now;
  if (dive.mix.inert !== null) return dive.mix.inert;
  const caution = before === null ? dive.caution : Math.max(before.caution, dive.caution);
  const segments = profile(dive, settings);
  const last = dive.samples === null ? null : dive.samples[dive.samples.length - 1]![1];
  if (last !== null && last.hundredths === 0) return missing("stops of a profile that ends at the surface");
  const left = breathe(now, segments.slice(0, -1), dive.mix.n2, dive.mix.he);
  if (last !== null) {
    const from = segments[segments.length - 1]![0];
    if (before !== null || !tissues.tolerates(left, from, gfHigh(settings, caution))) {
      return missing("stops of a profile that is above its ceiling or part of another dive");
    }
    return ascend(left, last, dive.mix, settings, caution);
  }
  if (before === null) return ascend(left, dive.depth, dive.mix, settings, caution);
  if (isMissing(before.tissues)) return before.tissues;
  const limits = noStop(state, dive.depth, dive.mix, settings, dive.caution, dive.coldOrHard);
  const whole = squareDive(limits.depth, limits.spentS + dive.bottomTimeS, limits.mix);
  const one = breathe(before.tissues, profile(whole, settings).slice(0, -1), limits.mix.n2, limits.mix.he);
  const worse = left.map((a, i) => (a > one[i]! ? a : one[i]!));
  return ascend(worse, limits.depth, limits.mix, settings, caution);
}
