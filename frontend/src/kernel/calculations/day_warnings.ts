// What a diver should know of a day although it is answered. The twin of calculations/day_warnings.py.

import type { Day, Dive, Settings } from "../physics/dive.ts";
import { type Missing, isMissing } from "../physics/known.ts";
import type { Breathed } from "../physics/no_fly.ts";
import { AIR_O2_E4, mod } from "../physics/oxygen.ts";
import { DEFAULT_SETTINGS } from "../physics/profile.ts";
import { floorDiv } from "../physics/rounding.ts";
import type { DepthUnit } from "../physics/units.ts";
import type { Fields } from "./body.ts";
import type { NoFlyAsked } from "./no_fly_reading.ts";

/** 40 m and 130 ft in hundredths: the usual deepest for a qualification. */
export const USUAL_DEEPEST: Record<DepthUnit, number> = { m: 4000, ft: 13_000 };

export interface Warning {
  readonly code: string;
  readonly pointer: string;
  readonly message: string;
}

export function settingsWarnings(fields: Fields, settings: Settings, days: number | null, dives: number): Warning[] {
  const warnings: Warning[] = [];
  if (!fields.has("site_altitude_m") && !fields.has("site_altitude_ft")) {
    warnings.push(warning("sea_level_assumed", "/site_altitude_m", "No site altitude given: sea level assumed."));
  }
  if (settings.gfHighPm > DEFAULT_SETTINGS.gfHighPm || settings.gfLowPm > DEFAULT_SETTINGS.gfLowPm) {
    warnings.push(warning("gf_above_default", "/gf", "Gradient factors above 0.40 and 0.80: less margin."));
  }
  if (days === null && dives === 1) {
    const message = "Days of diving not given: counted as several, so the longer wait stands.";
    warnings.push(warning("days_of_diving_not_given", "/days_of_diving", message));
  }
  return warnings;
}

/** Of what no figure is published for, before flying or going to altitude. */
export function noFlyWarnings(asked: NoFlyAsked, dives: readonly Dive[], before: Breathed): readonly Warning[] {
  const warnings: Warning[] = [];
  if (asked.symptoms) {
    const message =
      "Symptoms after diving: no dive, no flight, no road over a pass. Call a diving doctor or the emergency " +
      "services now; a figure here never stands for theirs.";
    warnings.push(warning("symptoms", "/no_fly/symptoms", message));
  }
  if (before === "helium" || dives.some((dive) => dive.mix.heE4 > 0)) {
    const message = "No published figure for flying after a gas with helium.";
    warnings.push(warning("no_fly_after_helium", "/no_fly", message));
  }
  const nitrox = dives.some(({ mix }) => mix.o2E4 !== null && mix.o2E4 !== AIR_O2_E4 && mix.heE4 === 0);
  if (nitrox || before === "nitrox") {
    const message = "No published figure for flying after nitrox: the consensus shown is the one for air.";
    warnings.push(warning("no_fly_after_nitrox", "/no_fly", message));
  }
  return warnings;
}

export function diveWarnings(
  made: Day,
  i: number,
  dive: Dive,
  settings: Settings,
  ppo2: number,
  unit: DepthUnit,
): readonly Warning[] {
  const at = `/dives/${i}`;
  const warnings: Warning[] = [];
  if (dive.depth.hundredths > USUAL_DEEPEST[unit]) {
    warnings.push(warning("deeper_than_40_m", at, "Deeper than 40 m / 130 ft, the usual deepest."));
  }
  const helium = dive.mix.heE4 > 0;
  if ((helium || (dive.mix.o2E4 !== null && dive.mix.o2E4 !== AIR_O2_E4)) && !dive.mix.analysed) {
    const message = helium
      ? "Gas with helium not analysed by its diver: nothing about it is known."
      : "Gas not analysed by its diver: nitrogen counts as in air, oxygen and MOD are not known.";
    warnings.push(warning("not_analysed", `${at}/analysed`, message));
  }
  if (helium) {
    const message =
      "Gas with helium: for divers trained for it, as a calculation only. No table has it; training, makers' " +
      "manuals and the plan of who teaches it come first.";
    warnings.push(warning("gas_with_helium", `${at}/he_fraction`, message));
  }
  const deepest = mod(dive.mix, ppo2, unit);
  if (!isMissing(deepest) && dive.depth.hundredths > deepest.hundredths) {
    const message = `Deeper than the MOD of this gas, ${floorDiv(deepest.hundredths, 100)} ${unit}.`;
    warnings.push(warning("deeper_than_mod", at, message));
  }
  const answer = made.answers[i] ?? null;
  if (answer === null || answer.kind === "refused") return warnings;
  if (!isMissing(answer.oxygenShare) && answer.oxygenShare > 1.0) {
    warnings.push(warning("oxygen_limit_passed", at, "Past the oxygen limit for a single exposure."));
  }
  if (answer.within === false) {
    const message =
      "Beyond the limit: no further dive until the club's stated time, at least 24 h; do not fly; rest, " +
      "watch each other for symptoms, and call a diving doctor or the emergency services at the first one.";
    warnings.push(warning("beyond_limit", at, message));
  }
  const each: readonly (readonly [string, boolean | Missing])[] = [
    ["table", answer.tableWithin],
    ["tissue", answer.tissueWithin],
  ];
  for (const [name, within] of each) {
    if (within === false && settings.method !== name && settings.method !== "shorter") {
      const message = `Past the ${name} limit, which does not govern here; this stays in the record.`;
      warnings.push(warning(`beyond_${name}_limit`, at, message));
    }
  }
  return warnings;
}

export function warning(code: string, at: string, message: string): Warning {
  return { code, pointer: at, message };
}
