// Units, place, gas and reckoning as the bodies of the calculations write them. The twin of calculations/reading.py.

import { Mix } from "../physics/oxygen.ts";
import { ASCENT, DAY_S, DEFAULT_SETTINGS, DESCENT, type Settings } from "../physics/profile.ts";
import { scaledDown, scaledNearest, scaledUp, secondsDown, secondsUp } from "../physics/rounding.ts";
import { Depth, type DepthUnit, altitudeFtDown, altitudeFtUp, depth } from "../physics/units.ts";
import type { Fields } from "./body.ts";

/** The deepest row of the tables, 190 fsw, in either unit. */
export const DEEPEST: Record<DepthUnit, number> = { m: 58.22, ft: 190 };

/** Least and highest rate a minute. Faster than 18 m / 60 ft a minute no ascent is planned. */
export const RATES = {
  descent_rate: { m: [3, 60], ft: [10, 200] },
  ascent_rate: { m: [3, 18], ft: [10, 60] },
} as const;

export const LONGEST_BOTTOM_MIN = 1440;
export const LONGEST_INTERVAL_MIN = 43_200;
export const LEAST_O2 = 0.21;
/** Less oxygen is not breathed at the surface (common practice, no source), and a dive here is on one gas. */
export const LEAST_TRIMIX_O2 = 0.16;
export const MOST_HE = 0.84;
export const HIGHEST_ALTITUDE: Record<DepthUnit, number> = { m: 3048, ft: 10_000 };
export const MOST_CAUTION = 2;

export function readUnit(body: Fields): DepthUnit {
  return body.choice("depth_unit", ["ft", "m"]);
}

/** A depth that the tables can answer; finer than a hundredth counts as deeper. */
export function readDepth(fields: Fields, name: string, unit: DepthUnit): Depth {
  return depth(fields.number(name, 0, DEEPEST[unit], unit, true), unit);
}

export function readBottomTimeS(fields: Fields): number {
  return Math.max(1, secondsUp(fields.number("bottom_time_min", 0, LONGEST_BOTTOM_MIN, "minutes", true)));
}

export function readIntervalS(fields: Fields, name: string): number {
  return secondsDown(fields.number(name, 0, LONGEST_INTERVAL_MIN, "minutes"));
}

/** `o2_fraction` and `analysed`; a fraction that is not given is not known. */
export function readMix(fields: Fields): Mix {
  const o2 = fields.numberOrNull("o2_fraction", LEAST_O2, 1);
  return new Mix(o2 === null ? null : scaledNearest(o2, 10_000), fields.flag("analysed"));
}

/** As `readMix`, with `he_fraction` where the body has `trimix_enabled`. */
export function readTrimix(fields: Fields, enabled: boolean): Mix {
  const he = fields.numberOrNull("he_fraction", 0, MOST_HE);
  if (he === null || he === 0) return readMix(fields);
  if (!enabled) {
    const message =
      "A gas with helium needs trimix_enabled: true beside dives; it is for trained divers, as a calculation only.";
    fields.fail("he_fraction", "not_allowed", message);
  }
  const o2 = fields.numberOrNull("o2_fraction", LEAST_TRIMIX_O2, 1);
  const o2E4 = o2 === null ? null : scaledNearest(o2, 10_000);
  const heE4 = scaledNearest(he, 10_000);
  if (o2E4 !== null && o2E4 + heE4 > 10_000) {
    fields.fail("he_fraction", "out_of_range", "Oxygen and helium together are more than the whole gas.");
  }
  return new Mix(o2E4, fields.flag("analysed"), heE4);
}

export function readCaution(fields: Fields): number | null {
  return fields.integerOrNull("caution", 0, MOST_CAUTION);
}

/** An altitude as `<stem>_m` or `<stem>_ft`, never both, in whole feet rounded up; null when absent. */
export function readAltitudeFt(fields: Fields, stem: string): number | null {
  fields.oneOfTwo(`${stem}_m`, `${stem}_ft`);
  const metres = fields.numberOrNull(`${stem}_m`, 0, HIGHEST_ALTITUDE.m, "m");
  const feet = fields.numberOrNull(`${stem}_ft`, 0, HIGHEST_ALTITUDE.ft, "ft");
  if (metres !== null) return altitudeFtUp(metres);
  return feet === null ? null : scaledUp(feet, 1);
}

/** The altitude one was used to before going to the site, rounded down: a longer way up is the safe side. */
function readHomeAltitudeFt(fields: Fields): number | null {
  fields.oneOfTwo("home_altitude_m", "home_altitude_ft");
  const metres = fields.numberOrNull("home_altitude_m", 0, HIGHEST_ALTITUDE.m, "m");
  const feet = fields.numberOrNull("home_altitude_ft", 0, HIGHEST_ALTITUDE.ft, "ft");
  if (metres !== null) return altitudeFtDown(metres);
  return feet === null ? null : scaledDown(feet, 1);
}

/** Method, gradient factors, rates and place. `water` changes no number: depths are gauge depths. */
export function readSettings(body: Fields, unit: DepthUnit): Settings {
  const [gfLowPm, gfHighPm] = readGf(body);
  const method = body.choiceOrNull("method", ["shorter", "table", "tissue"]) ?? "shorter";
  body.choiceOrNull("water", ["salt", "fresh"]);
  const altitudeFt = readAltitudeFt(body, "site_altitude");
  const hours = body.numberOrNull("hours_at_altitude", 0, LONGEST_INTERVAL_MIN / 60, "hours");
  if (hours !== null && !body.has("site_altitude_m") && !body.has("site_altitude_ft")) {
    body.fail("hours_at_altitude", "not_allowed", "Give site_altitude_m or site_altitude_ft with it.");
  }
  const homeFt = readHomeAltitudeFt(body);
  if (homeFt !== null && altitudeFt === null) {
    const name = body.has("home_altitude_m") ? "home_altitude_m" : "home_altitude_ft";
    body.fail(name, "not_allowed", "Give site_altitude_m or site_altitude_ft with it.");
  }
  const rest = body.numberOrNull("rest_after_beyond_limit_min", DAY_S / 60, LONGEST_INTERVAL_MIN, "minutes");
  return {
    method,
    gfLowPm,
    gfHighPm,
    descent: readRate(body, "descent_rate", unit, DESCENT),
    ascent: readRate(body, "ascent_rate", unit, ASCENT),
    altitudeFt: altitudeFt ?? 0,
    atAltitudeS: hours === null ? null : secondsDown(hours * 60),
    restS: rest === null ? DAY_S : secondsUp(rest),
    homeAltitudeFt: homeFt ?? 0,
  };
}

/** `gf`: [low, high] as fractions; 0.40 and 0.80 when absent. In thousandths. */
export function readGf(body: Fields): readonly [number, number] {
  const given = body.arrayOrNull("gf", 2, 2);
  if (given === null) return [DEFAULT_SETTINGS.gfLowPm, DEFAULT_SETTINGS.gfHighPm];
  const before = body.errors.found.length;
  const items = body.numbers("gf", given, 0.1, 1);
  const low = scaledNearest(items[0]!, 1000);
  const high = scaledNearest(items[1]!, 1000);
  if (low > high && body.errors.found.length === before) body.fail("gf", "out_of_order", "Give the low gradient factor first: [low, high].");
  return [low, high];
}

/** A rate in `depth_unit` per minute. */
export function readRate(body: Fields, name: keyof typeof RATES, unit: DepthUnit, otherwise: Depth): Depth {
  const [least, most] = RATES[name][unit];
  const rate = body.numberOrNull(name, least, most, `${unit} per minute`);
  return rate === null ? otherwise : new Depth(scaledNearest(rate, 100), unit);
}
