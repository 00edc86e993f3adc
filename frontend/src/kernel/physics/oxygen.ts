// Breathing gas as oxygen and nitrogen see it: margins, deepest depth, equivalent air depth, exposure.
// The twin of physics/oxygen.py, which carries the sources.

import LIMITS from "@data/oxygen_limits.json" with { type: "json" };
import { Missing, isMissing, missing } from "./known.ts";
import { ceilDiv, floorDiv, scaledDown } from "./rounding.ts";
import { Depth, type DepthUnit } from "./units.ts";

export const AIR_O2_E4 = 2100;
export const AIR_N2_E4 = 7902;
export const MARGIN_E4 = 100;

/** The equivalent air depth as published divides by 0.79. */
export const EAD_AIR_N2_E4 = 7900;

/** Depth of one atmosphere in hundredths, as the published formulas for oxygen and nitrox count it. */
export const ATMOSPHERE: Record<DepthUnit, number> = { m: 1000, ft: 3300 };

export const ATM_BAR: number = LIMITS.atm_bar;
export const ROWS: readonly (readonly [number, number])[] = LIMITS.rows.map((r) => [r.ppo2_atm, r.single_min]);

export const DAY_ROWS: readonly (readonly [number, number])[] = LIMITS.rows.map((r) => [r.ppo2_atm, r.day_min]);

/** Ambient pressure (bar absolute) at its start and end, and whole seconds. */
export type Segment = readonly [number, number, number];

/** A gas by its oxygen and helium in ten-thousandths (null: not known), and whether its diver has analysed it. */
export class Mix {
  readonly o2E4: number | null;
  readonly analysed: boolean;
  readonly heE4: number;

  constructor(o2E4: number | null, analysed = false, heE4 = 0) {
    this.o2E4 = o2E4;
    this.analysed = analysed;
    this.heE4 = heE4;
  }

  /** True where nitrogen is taken as in air: air itself, and any gas without helium that nobody analysed. */
  get countsAsAir(): boolean {
    return this.heE4 === 0 && (this.o2E4 === null || this.o2E4 === AIR_O2_E4 || !this.analysed);
  }

  /** Nitrogen in ten-thousandths, on the safe side: what may be missing of the oxygen counts as nitrogen. */
  get n2E4(): number {
    if (this.o2E4 === null || this.countsAsAir) return AIR_N2_E4;
    return 10_000 - (this.o2E4 - MARGIN_E4) - this.heE4;
  }

  get n2(): number {
    return this.n2E4 / 10_000;
  }

  get he(): number {
    return this.heE4 / 10_000;
  }

  /** What would have to be known to say how the gas loads: the analysis of a gas with helium. */
  get inert(): Missing | null {
    if (this.heE4 === 0 || (this.o2E4 !== null && this.analysed)) return null;
    return missing(this.o2E4 === null ? "o2_fraction" : "analysis");
  }

  /** Oxygen in ten-thousandths, on the safe side. */
  get oxygenE4(): number | Missing {
    if (this.o2E4 === null) return missing("o2_fraction");
    if (this.o2E4 === AIR_O2_E4 && this.heE4 === 0) return AIR_O2_E4;
    if (!this.analysed) return missing("analysis");
    const richer = this.o2E4 + MARGIN_E4;
    return richer < 10_000 ? richer : 10_000;
  }
}

export const AIR = new Mix(AIR_O2_E4);

/** Whether two gases are the same in all that is known of them. */
export function sameMix(a: Mix, b: Mix): boolean {
  return a.o2E4 === b.o2E4 && a.analysed === b.analysed && a.heE4 === b.heE4;
}

/** The gas with more nitrogen, the first where they are equal. */
export function moreNitrogen(a: Mix, b: Mix): Mix {
  return b.n2E4 > a.n2E4 ? b : a;
}

/** Depth at which air has the same nitrogen pressure, rounded up to a hundredth, 0 at the least. */
export function equivalentAirDepth(depth: Depth, n2E4: number): Depth {
  const one = ATMOSPHERE[depth.unit];
  const hundredths = ceilDiv(n2E4 * (depth.hundredths + one), EAD_AIR_N2_E4) - one;
  return new Depth(hundredths > 0 ? hundredths : 0, depth.unit);
}

/** Depth at which air is as narcotic, rounded up to a hundredth, 0 at the least. */
export function equivalentNarcoticDepth(depth: Depth, mix: Mix, oxygenNarcotic: boolean): Depth | Missing {
  if (mix.inert !== null) return mix.inert;
  if (!oxygenNarcotic) return tableDepth(depth, mix);
  const one = ATMOSPHERE[depth.unit];
  const hundredths = ceilDiv((10_000 - mix.heE4) * (depth.hundredths + one), 10_000) - one;
  return new Depth(hundredths > 0 ? hundredths : 0, depth.unit);
}

/** The depth with which a gas enters an air table. */
export function tableDepth(depth: Depth, mix: Mix): Depth {
  return mix.countsAsAir ? depth : equivalentAirDepth(depth, mix.n2E4);
}

/** MOD in whole metres or feet, rounded down; `maxPpo2E2` in hundredths of a bar. */
export function deepestWhole(oxygenE4: number, maxPpo2E2: number, unit: DepthUnit): number {
  const one = ATMOSPHERE[unit];
  const hundredths = floorDiv(maxPpo2E2 * 100 * one, oxygenE4) - one;
  return hundredths > 0 ? floorDiv(hundredths, 100) : 0;
}

/** MOD of a gas, rounded down to whole metres or feet. */
export function mod(mix: Mix, maxPpo2Bar: number, unit: DepthUnit): Depth | Missing {
  const oxygenE4 = mix.oxygenE4;
  if (isMissing(oxygenE4)) return oxygenE4;
  return new Depth(deepestWhole(oxygenE4, scaledDown(maxPpo2Bar, 100), unit) * 100, unit);
}

/**
 * Share (1.0 = all) of the single exposure limit that a profile uses, oxygen rounded up to the next row. With
 * `DAY_ROWS` in place of `ROWS` that of the 24-hour limit, which is never the larger share.
 */
export function exposureShare(
  segments: readonly Segment[],
  oxygenE4: number,
  rows: readonly (readonly [number, number])[] = ROWS,
): number | Missing {
  const fraction = oxygenE4 / 10_000;
  let share = 0.0;
  for (const [fromBar, toBar, seconds] of segments) {
    const low = ((fromBar < toBar ? fromBar : toBar) * fraction) / ATM_BAR;
    const high = ((fromBar < toBar ? toBar : fromBar) * fraction) / ATM_BAR;
    const last = ROWS[ROWS.length - 1]![0];
    if (high > last) return missing(`an oxygen limit past ${last} atm`);
    const span = high - low;
    let below = 0.0;
    for (const [upper, limitMin] of rows) {
      const start = low > below ? low : below;
      const end = high < upper ? high : upper;
      if (span > 0.0) {
        if (end > start) share = share + (((end - start) / span) * seconds) / (limitMin * 60);
      } else if (low > below && low <= upper) {
        share = share + seconds / (limitMin * 60);
      }
      if (upper >= high) break;
      below = upper;
    }
  }
  return share;
}
