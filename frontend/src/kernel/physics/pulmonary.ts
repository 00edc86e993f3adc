// Pulmonary oxygen units (OTU). The twin of physics/pulmonary.py, which carries the sources.

import LIMITS from "@data/oxygen_limits.json" with { type: "json" };
import { exponential, naturalLog } from "./chance.ts";
import { ATM_BAR, type Segment } from "./oxygen.ts";

export const TOTALS_OTU: readonly number[] = LIMITS.whole_body.totals_otu;
export const LONG_RUN_OTU: number = LIMITS.whole_body.long_run_otu_per_day;
export const FROM_ATM = 0.5;
/** A change smaller than this counts as its deeper end: the difference of the integral would be all rounding. */
export const LEVEL_ATM = 1e-6;

/** x to the power of a fraction, for x > 0, from our own exponential and logarithm. */
export function power(x: number, numerator: number, denominator: number): number {
  return exponential((naturalLog(x) * numerator) / denominator);
}

/** OTU of a profile on a gas with `oxygenE4` ten-thousandths of oxygen. */
export function units(segments: readonly Segment[], oxygenE4: number): number {
  const fraction = oxygenE4 / 10_000;
  let total = 0.0;
  for (const [fromBar, toBar, seconds] of segments) {
    const low = ((fromBar < toBar ? fromBar : toBar) * fraction) / ATM_BAR;
    const high = ((fromBar < toBar ? toBar : fromBar) * fraction) / ATM_BAR;
    if (high <= FROM_ATM) continue;
    const minutes = seconds / 60;
    const span = high - low;
    if (span < LEVEL_ATM) {
      total = total + minutes * power((high - FROM_ATM) / FROM_ATM, 5, 6);
      continue;
    }
    let area = power((high - FROM_ATM) / FROM_ATM, 11, 6);
    if (low > FROM_ATM) area = area - power((low - FROM_ATM) / FROM_ATM, 11, 6);
    total = total + (((minutes / span) * 3.0) / 11.0) * area;
  }
  return total;
}

/** The whole-body total that the days up to this one (1 is the first) may reach together. */
export function mostByDay(day: number): number {
  return day <= TOTALS_OTU.length ? TOTALS_OTU[day - 1]! : LONG_RUN_OTU * day;
}
