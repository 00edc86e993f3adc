// Depth and the other units people type. The twin of physics/units.py.

import { ceilDiv, floorDiv, scaledDown, scaledUp } from "./rounding.ts";

export type DepthUnit = "m" | "ft";
export type GaugeUnit = "bar" | "psi";

export const FSW_IN_MSW = 0.30643;
export const FSW_IN_MSW_E7 = 3_064_300;
export const MSW_E7 = 10_000_000;
export const BAR_PER_MSW = 0.1;
/** NIST SP 811. */
export const PSI_PER_BAR = 14.503773773;
/** Exact, from the international foot. */
export const LITRES_PER_CUFT = 28.316846592;

/** A gauge depth, or a rate of depth a minute: hundredths of its own unit, `m` or `ft`. */
export class Depth {
  readonly hundredths: number;
  readonly unit: DepthUnit;

  constructor(hundredths: number, unit: DepthUnit) {
    this.hundredths = hundredths;
    this.unit = unit;
  }

  /** Exact depth in units of 1e-7 msw. */
  get mswE7(): number {
    return this.hundredths * (this.unit === "m" ? 100_000 : 30_643);
  }

  get msw(): number {
    return this.mswE7 / MSW_E7;
  }

  /** Gauge pressure in bar. */
  get bar(): number {
    return this.mswE7 / 100_000_000;
  }

  /** Hundredths of msw: the number typed for metres, rounded up (deeper) for feet. */
  get cm(): number {
    return ceilDiv(this.mswE7, 100_000);
  }

  /** Least whole fsw that is not shallower: the number with which a table is searched. */
  get fswUp(): number {
    return ceilDiv(this.mswE7, FSW_IN_MSW_E7);
  }

  /** The depth as a person reads it, in its own unit. */
  get number(): number {
    return this.hundredths / 100;
  }
}

/** A depth in a sentence: 18 m, 18.01 m; every hundredth is said, for one of them can be what refuses a dive. */
export function depthText(at: Depth): string {
  const whole = floorDiv(at.hundredths, 100);
  const rest = at.hundredths - whole * 100;
  const tail = rest === 0 ? "" : `.${String(rest).padStart(2, "0")}`.replace(/0+$/, "");
  return `${whole}${tail} ${at.unit}`;
}

/** A typed depth; what is finer than a hundredth counts as the next deeper hundredth. */
export function depth(number: number, unit: DepthUnit): Depth {
  return new Depth(scaledUp(number, 100), unit);
}

/** The deeper of two depths, the first where they are equal. */
export function deeper(a: Depth, b: Depth): Depth {
  return b.mswE7 > a.mswE7 ? b : a;
}

/** The same depth in another unit, rounded up to a hundredth: what was breathed at is never made shallower. */
export function deeperIn(at: Depth, unit: DepthUnit): Depth {
  return at.unit === unit ? at : new Depth(ceilDiv(at.mswE7, new Depth(1, unit).mswE7), unit);
}

/** The same depth in another unit, rounded down: what a diver has done or is certified to is never made deeper. */
export function shallowerIn(at: Depth, unit: DepthUnit): Depth {
  return at.unit === unit ? at : new Depth(floorDiv(at.mswE7, new Depth(1, unit).mswE7), unit);
}

/** Whole seconds to cover `distance` at `rate` a minute, rounded up or down, at least 1. */
export function travelS(distance: Depth, rate: Depth, up: boolean): number {
  const n = distance.mswE7 * 60;
  const d = rate.mswE7;
  const seconds = up ? ceilDiv(n, d) : floorDiv(n, d);
  return seconds > 0 ? seconds : 1;
}

/** Seconds to cover `distance` at `rate` a minute, not rounded. */
export function exactTravelS(distance: Depth, rate: Depth): number {
  return (distance.mswE7 * 60) / rate.mswE7;
}

/** How far whole seconds at a rate a minute lead, in hundredths of `unit` rounded up: deeper. */
export function travelled(rate: Depth, seconds: number, unit: DepthUnit): Depth {
  return new Depth(ceilDiv(rate.mswE7 * seconds, 60 * new Depth(1, unit).mswE7), unit);
}

/** An altitude in metres as whole feet, rounded down. */
export function altitudeFtDown(metres: number): number {
  return floorDiv(scaledDown(metres, 100) * 100, 3048);
}

/** An altitude in metres as whole feet, rounded up (1 ft = 0.3048 m exactly). */
export function altitudeFtUp(metres: number): number {
  return ceilDiv(scaledUp(metres, 100) * 100, 3048);
}
