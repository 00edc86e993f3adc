// A cylinder's gauge: what it must show to bring two divers up, and where a team turns.
// The twin of physics/cylinder.py, which carries the sources.

import { AIR_O2_E4 } from "./oxygen.ts";
import { type Counting, cooled, counted, counting, leastGauge } from "./real_gas.ts";
import { type GaugeUnit, LITRES_PER_CUFT, PSI_PER_BAR } from "./units.ts";

export type VolumeUnit = "l" | "cuft";
export type TurnRule = "all_usable" | "halves" | "thirds";
export type Way = "same_point" | "free_ascent";

/** Minimum gas is rounded up to this many. */
export const STEP: Record<GaugeUnit, number> = { bar: 5, psi: 50 };
export const AIR_OXYGEN = AIR_O2_E4 / 10_000.0;
export const TURN_STEP: Record<GaugeUnit, number> = { bar: 10, psi: 100 };
/** How much of the usable gas goes on the way out and the way back; the rest of it is a reserve for delays. */
export const TURN_RULES: Readonly<Record<TurnRule, number>> = { all_usable: 1.0, halves: 1.0, thirds: 2.0 / 3.0 };
export const USUAL_TURN: Readonly<Record<Way, TurnRule>> = { same_point: "halves", free_ascent: "all_usable" };

/**
 * A diver's main cylinder: its volume as typed, litres at 1 bar for one of those and one of its gauge, the gauge.
 * `start` is what the gauge shows in the water, `filled` what was read before it cooled; `working` is the working
 * pressure and `full` what the gauge would show in the water after a fill to it; `fillC` and `oxygen` are how warm it
 * was filled, and the fraction it is counted with.
 */
export interface Cylinder {
  readonly id: string;
  readonly volume: number;
  readonly litresEach: number;
  readonly start: number | null;
  readonly rule: Counting;
  readonly filled: number | null;
  readonly working: number | null;
  readonly full: number | null;
  readonly fillC: number | null;
  readonly oxygen: number;
}

/** Litres at 1 bar for each bar or psi counted. */
export function litresPerUnit(cylinder: Cylinder): number {
  return cylinder.volume * cylinder.litresEach;
}

/** The cylinder as its gauge shows and counts in water of this temperature (null: not known, nothing cools). */
export function inWater(cylinder: Cylinder, waterC: number | null, unit: GaugeUnit): Cylinder {
  const { fillC, oxygen } = cylinder;
  const shows = (gauge: number | null): number | null =>
    gauge === null || fillC === null || waterC === null ? gauge : cooled(gauge, unit, fillC, waterC, oxygen);
  const rule = counting(cylinder.rule.law, unit, waterC, oxygen);
  return { ...cylinder, start: shows(cylinder.filled), full: shows(cylinder.working), rule };
}

/** Litres at 1 bar for each unit of volume and each bar or psi counted. */
export function litresEach(volumeUnit: VolumeUnit, workingPressure: number, pressureUnit: GaugeUnit): number {
  if (volumeUnit === "cuft") return LITRES_PER_CUFT / workingPressure;
  return pressureUnit === "bar" ? 1.0 : 1.0 / PSI_PER_BAR;
}

/** The counted pressure that holds `litres` above that at which a regulator stops giving. */
export function sharePressure(litres: number, cylinderLitresPerUnit: number, regulatorMinimum: number): number {
  return litres / cylinderLitresPerUnit + regulatorMinimum;
}

/** The gauge pressure that ends the dive, in whole steps of 5 bar or 50 psi, rounded up. */
export function minimumGas(
  sharedLitres: number,
  ownLitres: number,
  cylinder: Cylinder,
  regulatorMinimum: number,
  surfaceReserve: number,
  unit: GaugeUnit,
): number {
  const stops = counted(cylinder.rule, regulatorMinimum);
  const reserve = counted(cylinder.rule, surfaceReserve);
  const shared = sharePressure(sharedLitres, litresPerUnit(cylinder), stops);
  const own = ownLitres / litresPerUnit(cylinder) + reserve;
  const greatest = own > shared ? own : shared;
  return leastGauge(cylinder.rule, greatest > reserve ? greatest : reserve, STEP[unit]);
}

/** Litres at 1 bar between two gauge pressures; below zero where the start is below the other. */
export function usableLitres(cylinder: Cylinder, start: number, least: number): number {
  return (counted(cylinder.rule, start) - counted(cylinder.rule, least)) * litresPerUnit(cylinder);
}

/** Out and back along a current: with or against it first, and both speeds in knots. */
export interface Along {
  readonly first: "with" | "against";
  readonly swimKn: number;
  readonly currentKn: number;
}

/** The share of the usable gas that the way out may take; null where no way back is reckoned, 0 where there is none. */
export function shareOut(rule: TurnRule, along: Along | null): number | null {
  if (rule === "all_usable") return null;
  if (along !== null && along.currentKn >= along.swimKn) return 0.0;
  if (along === null) return TURN_RULES[rule] / 2.0;
  const slower = along.swimKn - along.currentKn;
  const madeGood = along.first === "with" ? slower : along.swimKn + along.currentKn;
  return (TURN_RULES[rule] * madeGood) / (2.0 * along.swimKn);
}

/** The gauge pressure at which this diver turns the team, rounded up; never below minimum gas. */
export function turnPressure(
  share: number | null,
  cylinder: Cylinder,
  start: number,
  minimum: number,
  leastUsableLitres: number,
  unit: GaugeUnit,
): number {
  if (share === null) return minimum;
  const out = leastUsableLitres > 0 ? leastUsableLitres * share : 0.0;
  const worth = counted(cylinder.rule, start) - out / litresPerUnit(cylinder);
  let turn = leastGauge(cylinder.rule, worth, TURN_STEP[unit]);
  if (turn > start) turn = Math.trunc(start);
  return turn > minimum ? turn : minimum;
}
