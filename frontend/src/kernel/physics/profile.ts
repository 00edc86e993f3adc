// A dive as segments of pressure, and how it is reckoned: rates, gradient factors, altitude.
// The twin of physics/profile.py.

import ATMOSPHERE from "@data/standard_atmosphere.json" with { type: "json" };
import { AIR, type Mix, type Segment } from "./oxygen.ts";
import { ceilDiv, floorDiv } from "./rounding.ts";
import { altitudeRowFt } from "./tables.ts";
import * as tissues from "./tissues.ts";
import type { Tissues } from "./tissues.ts";
import { Depth, travelS } from "./units.ts";

export type Method = "shorter" | "table" | "tissue";

export const DESCENT = new Depth(1800, "m");
export const ASCENT = new Depth(900, "m");
export const GF_STEP_PM = 50;
export const DAY_S = 86_400;

const PRESSURE_PA: ReadonlyMap<number, number> = new Map(
  ATMOSPHERE.rows.map((row) => [row.altitude_ft, row.pressure_pa]),
);

/** How limits are reckoned. `atAltitudeS`: time at the site's altitude before the dive; null: not known. */
export interface Settings {
  readonly method: Method;
  readonly gfLowPm: number;
  readonly gfHighPm: number;
  readonly descent: Depth;
  readonly ascent: Depth;
  readonly altitudeFt: number;
  readonly atAltitudeS: number | null;
  /** The club's time without a dive after one beyond its limit, at least 24 h. */
  readonly restS: number;
  /** The altitude one was used to before going to the site. */
  readonly homeAltitudeFt: number;
}

export const DEFAULT_SETTINGS: Settings = {
  method: "shorter",
  gfLowPm: 400,
  gfHighPm: 800,
  descent: DESCENT,
  ascent: ASCENT,
  altitudeFt: 0,
  atAltitudeS: null,
  restS: DAY_S,
  homeAltitudeFt: 0,
};

export function surfaceBar(settings: Settings): number {
  return PRESSURE_PA.get(altitudeRowFt(settings.altitudeFt))! / 100_000;
}

/** How far the site is above the altitude one was used to; 0 where it is no higher. */
export function riseFt(settings: Settings): number {
  return Math.max(0, settings.altitudeFt - settings.homeAltitudeFt);
}

/** Air pressure one was used to, that of the next lower 1,000 ft (more nitrogen); never above the site. */
export function homeBar(settings: Settings): number {
  const lowerFt = Math.min(settings.homeAltitudeFt, settings.altitudeFt);
  return PRESSURE_PA.get(floorDiv(lowerFt, 1000) * 1000)! / 100_000;
}

/** A dive as made or asked for. `samples` are (second, depth) from (0, surface). */
export interface Dive {
  readonly depth: Depth;
  readonly bottomTimeS: number;
  readonly mix: Mix;
  readonly intervalS: number;
  readonly caution: number;
  readonly coldOrHard: boolean;
  readonly samples: readonly (readonly [number, Depth])[] | null;
}

/** A square dive with what is usual where nothing is said. */
export function squareDive(depth: Depth, bottomTimeS: number, mix: Mix = AIR): Dive {
  return { depth, bottomTimeS, mix, intervalS: 0, caution: 0, coldOrHard: false, samples: null };
}

/** A dive as segments of ambient pressure, straight ascent to the surface included. */
export function profile(dive: Dive, settings: Settings): readonly Segment[] {
  const surface = surfaceBar(settings);
  if (dive.samples === null) {
    const bottom = surface + dive.depth.bar;
    const fullS = travelS(dive.depth, settings.descent, false);
    const downS = fullS < dive.bottomTimeS ? fullS : dive.bottomTimeS;
    const upS = travelS(dive.depth, settings.ascent, true);
    return [
      [surface, bottom, downS],
      [bottom, bottom, dive.bottomTimeS - downS],
      [bottom, surface, upS],
    ];
  }
  const segments: Segment[] = [];
  for (let i = 1; i < dive.samples.length; i += 1) {
    const [t0, d0] = dive.samples[i - 1]!;
    const [t1, d1] = dive.samples[i]!;
    segments.push([surface + d0.bar, surface + d1.bar, t1 - t0]);
  }
  const last = dive.samples[dive.samples.length - 1]![1];
  if (last.hundredths > 0) segments.push([surface + last.bar, surface, travelS(last, settings.ascent, true)]);
  return segments;
}

/** Compartments after a profile on one gas. */
export function breathe(state: Tissues, segments: readonly Segment[], n2: number, he = 0.0): Tissues {
  for (const [fromBar, toBar, seconds] of segments) {
    if (seconds === 0) continue;
    state =
      fromBar === toBar
        ? tissues.constant(state, fromBar, n2, seconds, he)
        : tissues.linear(state, fromBar, toBar, n2, seconds, he);
  }
  return state;
}

/** True when no segment of a recorded profile ends above a ceiling. */
export function meetsNoCeiling(
  state: Tissues,
  segments: readonly Segment[],
  n2: number,
  gf: number,
  he = 0.0,
): boolean {
  for (const segment of segments) {
    state = breathe(state, [segment], n2, he);
    if (!tissues.tolerates(state, segment[1], gf)) return false;
  }
  return true;
}

/** Sea-level equivalent depth, rounded up: depth x sea-level pressure / pressure at the altitude. */
export function seaLevelDepth(depth: Depth, settings: Settings): Depth {
  const row = altitudeRowFt(settings.altitudeFt);
  if (row === 0) return depth;
  return new Depth(ceilDiv(depth.hundredths * PRESSURE_PA.get(0)!, PRESSURE_PA.get(row)!), depth.unit);
}

/** GF high after the caution of a dive: 0.05 lower for each step. */
export function gfHigh(settings: Settings, caution: number): number {
  return (settings.gfHighPm - GF_STEP_PM * caution) / 1000;
}
