/**
 * Metric or imperial, as the reader prefers. Nothing is calculated with what stands here: a number changes its unit only
 * to be shown, and always rounds towards the careful side of the question it answers.
 */
import type { Depth } from "./format.ts";

export type System = "metric" | "imperial";
export interface Pressure {
  readonly unit: "bar" | "psi";
  readonly value: number;
}

/** 1 fsw = 0.30643 msw, the convention of the tables; 1 bar = 14.5038 psi (NIST SP 811, appendix B.8). */
const MSW_IN_FSW = 0.30643;
const PSI_IN_BAR = 14.5038;
/** 1.0 msw is 3.2634 fsw: without a hair's breadth for binary fractions a whole number would jump to the next. */
const HAIR = 1e-6;

export function depthUnit(system: System): "m" | "ft" {
  return system === "metric" ? "m" : "ft";
}

export function pressureUnit(system: System): "bar" | "psi" {
  return system === "metric" ? "bar" : "psi";
}

/** A depth to be dived rounds deeper; a depth not to be passed rounds shallower. A depth in its own unit stays as typed. */
export function showDepth(depth: Depth, system: System, careful: "deeper" | "shallower" = "deeper"): string {
  const unit = depthUnit(system);
  if (depth.unit === unit) return `${depth.hundredths / 100} ${unit}`;
  const exact = (depth.hundredths / 100) * (unit === "m" ? MSW_IN_FSW : 1 / MSW_IN_FSW);
  const whole = careful === "deeper" ? Math.ceil(exact - HAIR) : Math.floor(exact + HAIR);
  return `${whole} ${unit}`;
}

/** For qualification alone 18 m and 60 ft, 30 m and 100 ft, 40 m and 130 ft are one step; never for a depth that is dived. */
const ONE_STEP: readonly (readonly [m: number, ft: number])[] = [
  [1800, 6000],
  [3000, 10000],
  [4000, 13000],
];

/** How deep a certification goes, in the reader's unit. */
export function showCertified(depth: Depth, system: System): string {
  const unit = depthUnit(system);
  const step = ONE_STEP.find(([m, ft]) => depth.hundredths === (depth.unit === "m" ? m : ft));
  if (depth.unit === unit || step === undefined) return showDepth(depth, system, "shallower");
  return `${step[unit === "m" ? 0 : 1] / 100} ${unit}`;
}

/** A pressure to keep (minimum gas, turn) rounds up, to 5 bar or 50 psi; one that is there rounds down. */
export function showPressure(pressure: Pressure, system: System, careful: "up" | "down" = "up"): string {
  const unit = pressureUnit(system);
  if (pressure.unit === unit) return `${Math.round(pressure.value)} ${unit}`;
  const exact = pressure.value * (unit === "bar" ? 1 / PSI_IN_BAR : PSI_IN_BAR);
  const step = unit === "bar" ? 5 : 50;
  const steps = careful === "up" ? Math.ceil(exact / step - HAIR) : Math.floor(exact / step + HAIR);
  return `${steps * step} ${unit}`;
}

/** Hundredths of what was typed: "27", "27.5" or "27,5"; null when it is no such number. */
export function hundredths(typed: string): number | null {
  const found = /^\s*(\d{1,4})(?:[.,](\d{1,2}))?\s*$/.exec(typed);
  if (found === null) return null;
  return Number(found[1]) * 100 + Number((found[2] ?? "").padEnd(2, "0"));
}

/** A plain number as typed, decimal point or comma; null when it is none. */
export function number(typed: string): number | null {
  const text = typed.trim().replace(",", ".");
  return /^-?\d{1,6}(\.\d{1,4})?$/.test(text) ? Number(text) : null;
}

/** A whole number as typed; null when it is none. */
export function whole(typed: string): number | null {
  return /^\s*\d{1,6}\s*$/.test(typed) ? Number(typed) : null;
}
