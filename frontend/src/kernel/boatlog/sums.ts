// The deck's sums about people in the water, in whole numbers.
// The twin of boatlog/sums.py, where the sources are named.

import { ceilDiv, floorDiv } from "../physics/rounding.ts";
import type { PressureQuantity } from "./snapshot.ts";

export type Sight = "head" | "arm" | "flag";
export const SIGHT_CM: Readonly<Record<Sight, number>> = { head: 22_860, arm: 68_580, flag: 193_121 };
const CM_OF_TENTH_KN_HOUR = 18_520;
// 0.1 of a nautical mile, and three tenths of the run.
export const LEAST_RADIUS_M = 185;
// Longer than any search; it keeps the products within what both languages hold exactly.
const LONGEST_S = 7 * 86_400;

/** How long a diver adrift can be seen from a boat that stays, in whole seconds, the shorter; null: no current. */
export function visibleForS(currentTenthsKn: number): Record<Sight, number | null> {
  const speed = currentTenthsKn * CM_OF_TENTH_KN_HOUR;
  const seen = (cm: number) => (speed === 0 ? null : floorDiv(cm * 3600, speed));
  return { head: seen(SIGHT_CM.head), arm: seen(SIGHT_CM.arm), flag: seen(SIGHT_CM.flag) };
}

/** Metres from the place last seen to the middle of the area, and its radius, both rounded up. */
export function drift(currentTenthsKn: number, elapsedS: number): { run_m: number; radius_m: number } {
  const run_m = ceilDiv(currentTenthsKn * CM_OF_TENTH_KN_HOUR * Math.min(elapsedS, LONGEST_S), 360_000);
  return { run_m, radius_m: LEAST_RADIUS_M + ceilDiv(run_m * 3, 10) };
}

/** When (ms) the gas must be gone even at 5 m (1.5 bar) with little breathing: the latest. Never a reason to wait. */
export function gasEndsAt(fromMs: number, cylinderDl: number, mbar: number, rmvLowDlMin: number): number {
  return fromMs + ceilDiv(cylinderDl * mbar * 40, rmvLowDlMin);
}

/** A gauge pressure as read in mbar, the higher; 1 psi = 68.9476 mbar. */
export function pressureMbar(pressure: PressureQuantity): number {
  return pressure.unit === "bar" ? pressure.value * 1000 : ceilDiv(pressure.value * 689_476, 10_000);
}
