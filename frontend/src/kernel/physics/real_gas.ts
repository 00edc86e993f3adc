// Real gas: how much a gauge pressure is worth, and what becomes of it when a cylinder cools.
// The twin of physics/real_gas.py, which carries the sources; the same operations in the same order.

import DATA from "@data/real_gas.json" with { type: "json" };
import { floorDiv } from "./rounding.ts";
import { type GaugeUnit, PSI_PER_BAR } from "./units.ts";

export type GasLaw = "real" | "published";

/** `published`: as handbooks count, an ideal gas up to the usual working pressure. */
export const LAWS: readonly GasLaw[] = ["real", "published"];
/** Up to this gauge pressure the published law counts what the gauge shows. */
export const IDEAL_TO_BAR = 232.0;
export const SURFACE_BAR = 1.01325;
export const USUAL_C = 20.0;
const KELVIN = 273.15;
const AIR_OXYGEN = 0.21;
const HIGHEST_BAR = DATA.highest_bar;

/** The terms of Z in the first to fourth power of a hundredth of the absolute pressure. */
export type Powers = readonly [number, number, number, number];

/** How a gauge is counted: by which law, in how many units to the bar, of what gas at what temperature. */
export interface Counting {
  readonly law: GasLaw;
  readonly perBar: number;
  readonly powers: Powers;
}

/** The compressibility of a gas at one temperature. */
export function powersAt(celsius: number, oxygen: number): Powers {
  const t = (celsius - USUAL_C) / 10.0;
  const y = oxygen - AIR_OXYGEN;
  const found = DATA.rows.map((row) => {
    const [one, byT, byT2, byY, byYt] = row as [number, number, number, number, number];
    return (one + byT * t + byT2 * (t * t) + byY * y + byYt * (y * t)) / DATA.scale;
  });
  return [found[0]!, found[1]!, found[2]!, found[3]!];
}

/** Z at an absolute pressure, 0 to 350 bar. */
export function compressibility(bar: number, powers: Powers): number {
  const q = bar / 100.0;
  return 1.0 + q * (powers[0] + q * (powers[1] + q * (powers[2] + q * powers[3])));
}

/** Litres at 1 bar and its own temperature in each litre at an absolute pressure; past the data the last rise goes on. */
export function freeGas(bar: number, powers: Powers): number {
  if (bar <= HIGHEST_BAR) return bar / compressibility(bar, powers);
  const last = HIGHEST_BAR / compressibility(HIGHEST_BAR, powers);
  const before = (HIGHEST_BAR - 1.0) / compressibility(HIGHEST_BAR - 1.0, powers);
  return last + (bar - HIGHEST_BAR) * (last - before);
}

/** How to count a gauge in `unit`; without a temperature 20 C is taken. */
export function counting(law: GasLaw, unit: GaugeUnit, celsius: number | null, oxygen: number): Counting {
  return { law, perBar: unit === "bar" ? 1.0 : PSI_PER_BAR, powers: powersAt(celsius ?? USUAL_C, oxygen) };
}

/** The gauge pressure of an ideal gas that holds what this real gas holds above the surface's pressure. */
export function held(rule: Counting, gauge: number): number {
  const bar = gauge / rule.perBar + SURFACE_BAR;
  return (freeGas(bar, rule.powers) - freeGas(SURFACE_BAR, rule.powers)) * rule.perBar;
}

/** What a gauge pressure counts for. Published: itself up to 232 bar, above that never more than is held there. */
export function counted(rule: Counting, gauge: number): number {
  if (rule.law === "real") return held(rule, gauge);
  const idealTo = IDEAL_TO_BAR * rule.perBar;
  if (gauge <= idealTo) return gauge;
  const real = held(rule, gauge);
  return real > idealTo ? real : idealTo;
}

/** The least multiple of `step` that counts for `worth`; a billionth of a unit is the noise of a division. */
export function leastGauge(rule: Counting, worth: number, step: number): number {
  if (rule.law !== "real" && worth <= IDEAL_TO_BAR * rule.perBar) return stepUp(worth, step);
  let low = -1;
  let high = 1;
  while (counted(rule, high * step) < worth - 1e-9) {
    low = high;
    high = high * 2;
  }
  while (high - low > 1) {
    const middle = floorDiv(low + high, 2);
    if (counted(rule, middle * step) >= worth - 1e-9) high = middle;
    else low = middle;
  }
  return high * step;
}

/** The greatest multiple of `step` that counts for no more than `worth` (>= 0); the low end where a range counts alike. */
export function mostGauge(rule: Counting, worth: number, step: number): number {
  if (rule.law !== "real" && worth <= IDEAL_TO_BAR * rule.perBar) return stepDown(worth, step);
  let low = 0;
  let high = 1;
  while (counted(rule, high * step) <= worth + 1e-9) {
    low = high;
    high = high * 2;
  }
  while (high - low > 1) {
    const middle = floorDiv(low + high, 2);
    if (counted(rule, middle * step) <= worth + 1e-9) low = middle;
    else high = middle;
  }
  return low * step;
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

/** What a gauge read at `fromC` shows in water of `toC`, in tenths, rounded down; a rise is no gas. */
export function cooled(gauge: number, unit: GaugeUnit, fromC: number, toC: number, oxygen: number): number {
  if (toC >= fromC) return gauge;
  const perBar = unit === "bar" ? 1.0 : PSI_PER_BAR;
  const before = powersAt(fromC, oxygen);
  const after = powersAt(toC, oxygen);
  const amount = freeGas(gauge / perBar + SURFACE_BAR, before) * ((toC + KELVIN) / (fromC + KELVIN));
  let low = 0;
  let high = Math.trunc(gauge * 10.0) + 1;
  while (high - low > 1) {
    const middle = floorDiv(low + high, 2);
    if (freeGas(middle / 10.0 / perBar + SURFACE_BAR, after) <= amount) low = middle;
    else high = middle;
  }
  return low / 10.0;
}
