// Oxygen of a day's dives, as JSON: both limits, pulmonary units, equivalent narcotic depth.
// The twin of calculations/oxygen_answer.py.

import { OXYGEN_NOT_GIVEN } from "../physics/carried.ts";
import { said } from "../physics/diver.ts";
import type { Dive } from "../physics/dive.ts";
import { type Exposure, otuByDay, withEarlier } from "../physics/exposure.ts";
import { type Missing, isMissing, lacking } from "../physics/known.ts";
import { equivalentNarcoticDepth } from "../physics/oxygen.ts";
import { mostByDay } from "../physics/pulmonary.ts";
import { scaledUp, secondsUp, tenthsUp } from "../physics/rounding.ts";
import { type Depth, deeper } from "../physics/units.ts";
import type { Fields, Json } from "./body.ts";
import { type Warning, warning } from "./day_warnings.ts";

export const LONGEST_HALF_TIME_MIN = 1440;
export const BEFORE = OXYGEN_NOT_GIVEN;

/** How oxygen is counted. `halfTimeS` null: nothing is taken back at the surface. */
export interface OxygenAsked {
  readonly halfTimeS: number | null;
  readonly narcotic: boolean;
}

export function readOxygen(fields: Fields): OxygenAsked {
  const half = fields.numberOrNull("oxygen_recovery_half_time_min", 1, LONGEST_HALF_TIME_MIN, "minutes");
  const narcotic = fields.flagOrNull("oxygen_narcotic");
  return { halfTimeS: half === null ? null : secondsUp(half), narcotic: narcotic !== false };
}

/** Both limits and the units of one exposure, and its equivalent narcotic depth by both conventions. */
export function diveOxygen(
  found: readonly Exposure[],
  i: number,
  dives: readonly Dive[],
  joined: readonly number[],
  asked: OxygenAsked,
  kept: boolean,
): Record<string, Json> {
  const made = found[i]!;
  const [single, day] = kept ? [BEFORE, BEFORE] : withEarlier(found, i, asked.halfTimeS);
  const parts = [...joined, made.position].map((j) => dives[j]!);
  const withOxygen = narcoticDepth(parts, true);
  const without = narcoticDepth(parts, false);
  return {
    oxygen: {
      ppo2_bar: up(made.ppo2Bar, 100),
      single_limit_used_percent: percent(made.single),
      day_limit_used_percent: percent(made.day),
      single_limit_with_earlier_percent: percent(single),
      day_limit_with_earlier_percent: percent(day),
      otu: up(made.otu, 10),
    },
    equivalent_narcotic_depth: {
      depth: asked.narcotic ? withOxygen : without,
      oxygen_narcotic: asked.narcotic,
      counting_oxygen: withOxygen,
      without_oxygen: without,
    },
  };
}

/** Pulmonary units of each day and of all, against the whole-body doses. */
export function dayOxygen(found: readonly Exposure[], asked: OxygenAsked, kept: boolean): Json {
  let total: number | Missing = 0.0;
  const listed: Json[] = [];
  otuByDay(found).forEach((otu, i) => {
    const known = kept ? BEFORE : otu;
    total = isMissing(total) || isMissing(known) ? lacking(total, known) : total + known;
    listed.push({
      day: i + 1,
      otu: up(known, 10),
      limit_otu: mostByDay(1),
      total_otu: up(total, 10),
      total_limit_otu: mostByDay(i + 1),
    });
  });
  const half = asked.halfTimeS;
  return { recovery_half_time_min: half === null ? null : half / 60, otu_by_day: listed };
}

/** Limits that dives pass together though none of them does alone, and whole-body doses passed. */
export function oxygenWarnings(found: readonly Exposure[], asked: OxygenAsked, kept: boolean): readonly Warning[] {
  const warnings: Warning[] = [];
  found.forEach((made, i) => {
    if (made.position < 0) return;
    const [single, day] = withEarlier(found, i, asked.halfTimeS);
    const at = `/dives/${made.position}`;
    const alone = !isMissing(made.single) && made.single > 1.0;
    if (!isMissing(single) && single > 1.0 && !alone) {
      const message =
        "With the dives of the 24 h before it past the oxygen limit for a single exposure: " +
        `${said(tenthsUp(single * 100))} %.`;
      warnings.push(warning("oxygen_limit_passed", at, message));
    }
    if (!isMissing(day) && day > 1.0) {
      const message =
        "With the dives of the 24 h before it past the oxygen limit for 24 hours: " +
        `${said(tenthsUp(day * 100))} %.`;
      warnings.push(warning("oxygen_day_limit_passed", at, message));
    }
  });
  let total = 0.0;
  for (const [i, otu] of (kept ? [] : otuByDay(found)).entries()) {
    if (isMissing(otu)) break;
    total = total + otu;
    if (otu > mostByDay(1) || total > mostByDay(i + 1)) {
      const message =
        `Past the whole-body oxygen dose on day ${i + 1}: ${said(tenthsUp(otu))} units that day of ` +
        `${mostByDay(1)}, ${said(tenthsUp(total))} in all of ${mostByDay(i + 1)}.`;
      warnings.push(warning("oxygen_dose_passed", "/dives", message));
      break;
    }
  }
  return warnings;
}

/** The deepest of the dives that are one. */
function narcoticDepth(parts: readonly Dive[], oxygenNarcotic: boolean): Json {
  let deepest: Depth | Missing | null = null;
  for (const dive of parts) {
    const here: Depth | Missing = equivalentNarcoticDepth(dive.depth, dive.mix, oxygenNarcotic);
    if (isMissing(here) || isMissing(deepest)) deepest = lacking(deepest, here);
    else deepest = deepest === null ? here : deeper(deepest, here);
  }
  if (deepest === null || isMissing(deepest)) return deepest === null ? null : deepest.asJson();
  return deepest.number;
}

function percent(share: number | Missing): Json {
  return isMissing(share) ? share.asJson() : tenthsUp(share * 100);
}

/** Rounded up to the next part of `scale`. */
function up(value: number | Missing, scale: number): Json {
  return isMissing(value) ? value.asJson() : scaledUp(value, scale) / scale;
}
