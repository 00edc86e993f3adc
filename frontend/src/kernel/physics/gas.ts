// Gas: what a dive uses, what two divers need to come up together, how long a cylinder lasts.
// The twin of physics/gas.py, which carries the sources; the same operations in the same order.

import BREATHING from "@data/breathing.json" with { type: "json" };
import { UPPER_95, exponential, firstOf, naturalLog, shareLater } from "./chance.ts";
import { LITRES_PER_CUFT, PSI_PER_BAR } from "./units.ts";

export type GaugeUnit = "bar" | "psi";
export type VolumeUnit = "l" | "cuft";

/** Minimum gas is rounded up to this many. */
export const STEP: Record<GaugeUnit, number> = { bar: 5, psi: 50 };
export const TURN_STEP: Record<GaugeUnit, number> = { bar: 10, psi: 100 };

/** Minutes, and the mean depth over them. */
export type Segment = readonly [number, number];

/** Ambient pressure at a depth: bar from msw, atmospheres from fsw with 33. */
export function ambient(depth: number, depthPerBar = 10.0): number {
  return (depth + depthPerBar) / depthPerBar;
}

/** Surface volume breathed per minute at a depth, in the volume unit of `rmv`. */
export function consumption(rmv: number, depth: number, depthPerBar = 10.0): number {
  return ambient(depth, depthPerBar) * rmv;
}

/** The sum of minutes x ambient pressure: multiplied by an RMV it is the gas breathed. */
export function pressureMinutes(segments: readonly Segment[], depthPerBar = 10.0): number {
  let total = 0.0;
  for (const [minutes, meanDepth] of segments) total = total + minutes * ambient(meanDepth, depthPerBar);
  return total;
}

/** From leaving the surface to leaving the bottom; `minutes` is the bottom time, descent included. */
export function descentAndBottom(depth: number, minutes: number, descentRate: number): Segment[] {
  const down = depth / descentRate;
  if (minutes < down) return [[minutes, (minutes * descentRate) / 2.0]];
  return [
    [down, depth / 2.0],
    [minutes - down, depth],
  ];
}

/** From leaving the bottom to the surface, with one stop (at the deepest point if that is shallower). */
export function ascent(depth: number, ascentRate: number, stopDepth: number, stopMinutes: number): Segment[] {
  const stop = stopDepth < depth ? stopDepth : depth;
  return [
    [(depth - stop) / ascentRate, (depth + stop) / 2.0],
    [stopMinutes, stop],
    [stop / ascentRate, stop / 2.0],
  ];
}

/** The longest bottom time in whole seconds that uses no more than `litres`; 0 if they do not last to the bottom. */
export function gasLimitS(litres: number, rateLMin: number, depth: number, descentRate: number): number {
  const down = depth / descentRate;
  const left = litres / rateLMin - down * ambient(depth / 2.0);
  if (left < 0) return 0;
  return Math.trunc((down + left / ambient(depth)) * 60.0 + 1e-6);
}

// --- breathing rates ---

export type Work = keyof typeof BREATHING.work;

/** What hard work does to a diver's ordinary working mean. */
export function workMultiplier(work: Work): number {
  const [high, low] = BREATHING.work[work] as [number, number];
  return high / low;
}

/** What swimming at this speed does to a diver's ordinary working mean; null past the last figure known. */
export function currentMultiplier(currentKn: number): number | null {
  const rows = BREATHING.swimming as [number, number][];
  const [slowest, base] = rows[0] as [number, number];
  if (currentKn <= slowest) return 1.0;
  for (let i = 1; i < rows.length; i++) {
    const [kn0, rate0] = rows[i - 1] as [number, number];
    const [kn1, rate1] = rows[i] as [number, number];
    if (currentKn <= kn1) return (rate0 + ((rate1 - rate0) * (currentKn - kn0)) / (kn1 - kn0)) / base;
  }
  return null;
}

/** The RMV that a diver stays under nineteen times in twenty (log-normal, median `mean`). */
export function upperRate(mean: number, sd: number): number {
  return mean * exponential(UPPER_95 * (sd / mean));
}

// --- cylinders ---

/** A diver's main cylinder: its volume as typed, litres at 1 bar for one of those and one of its gauge, the gauge. */
export interface Cylinder {
  readonly id: string;
  readonly volume: number;
  readonly litresEach: number;
  readonly start: number | null;
}

/** Litres at 1 bar for each bar or psi on the gauge. */
export function litresPerUnit(cylinder: Cylinder): number {
  return cylinder.volume * cylinder.litresEach;
}

/** Litres at 1 bar for each unit of volume and each bar or psi on the gauge. */
export function litresEach(volumeUnit: VolumeUnit, workingPressure: number, pressureUnit: GaugeUnit): number {
  if (volumeUnit === "cuft") return LITRES_PER_CUFT / workingPressure;
  return pressureUnit === "bar" ? 1.0 : 1.0 / PSI_PER_BAR;
}

/** The gauge pressure that holds `litres` above the pressure at which a regulator stops giving. */
export function sharePressure(litres: number, cylinderLitresPerUnit: number, regulatorMinimum: number): number {
  return litres / cylinderLitresPerUnit + regulatorMinimum;
}

/** The least multiple of `step` that is not below `value`; a billionth of a unit is the noise of a division. */
export function stepUp(value: number, step: number): number {
  const steps = Math.trunc(value / step);
  return (steps * step >= value - 1e-9 ? steps : steps + 1) * step;
}

/** The greatest multiple of `step` not above `value` (>= 0). */
export function stepDown(value: number, step: number): number {
  return Math.trunc((value + 1e-9) / step) * step;
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
  const shared = sharePressure(sharedLitres, litresPerUnit(cylinder), regulatorMinimum);
  const own = ownLitres / litresPerUnit(cylinder) + surfaceReserve;
  const greatest = own > shared ? own : shared;
  return stepUp(greatest > surfaceReserve ? greatest : surfaceReserve, STEP[unit]);
}

/** The gauge pressure at which this diver turns the team, rounded up; never below minimum gas. */
export function turnPressure(
  way: "same_point" | "free_ascent",
  start: number,
  minimum: number,
  cylinderLitresPerUnit: number,
  leastUsableLitres: number,
  unit: GaugeUnit,
): number {
  if (way === "free_ascent") return minimum;
  const half = leastUsableLitres > 0 ? leastUsableLitres / 2.0 : 0.0;
  let turn = stepUp(start - half / cylinderLitresPerUnit, TURN_STEP[unit]);
  if (turn > start) turn = Math.trunc(start);
  return turn > minimum ? turn : minimum;
}

// --- who turns first, and how long nineteen times in twenty ---

/** What a diver may use before minimum gas, and how that diver breathes: mean RMV and its spread over the mean. */
export interface Supply {
  readonly litres: number;
  readonly rmv: number;
  readonly spread: number;
}

/** The probability of each diver to reach minimum gas first (log-normal RMV; a shared work factor cancels). */
export function turnsFirst(supplies: readonly Supply[]): number[] {
  return firstOf(
    supplies.map((s) => naturalLog(s.litres / s.rmv)),
    supplies.map((s) => s.spread),
  );
}

/** The bottom time in whole seconds that the gas of all of them lasts with probability `share`, floored. */
export function timeMetS(supplies: readonly Supply[], share: number, depth: number, descentRate: number): number {
  let low = 0;
  let high = 86_400;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    const used = pressureMinutes(descentAndBottom(depth, middle / 60.0, descentRate));
    const logUsed = naturalLog(used);
    let lasting = 1.0;
    for (const s of supplies) lasting = lasting * shareLater(logUsed, naturalLog(s.litres / s.rmv), s.spread);
    if (lasting >= share) low = middle;
    else high = middle;
  }
  return low;
}
