// A diver's day: groups, residual nitrogen, limits by both methods, oxygen, and no-fly time.
// The twin of calculations/day.py.

import SOURCES from "@data/sources.json" with { type: "json" };
import { type Day, type Dive, day as divesDay, wait } from "../physics/dive.ts";
import { type Carried, carried, resumed } from "../physics/carried.ts";
import { type Exposure, exposures, moved } from "../physics/exposure.ts";
import { type Missing, isMissing } from "../physics/known.ts";
import { groupNow } from "../physics/nitrogen.ts";
import { equivalentAirDepth, mod } from "../physics/oxygen.ts";
import { DAY_S } from "../physics/profile.ts";
import {
  floorDiv,
  minutesDown,
  secondsDown,
  secondsUp,
  tenthsOfMinutesDown,
  tenthsUp,
} from "../physics/rounding.ts";
import { NOT_REPETITIVE_AFTER_MIN } from "../physics/tables.ts";
import { Depth, type DepthUnit, deeper, depth } from "../physics/units.ts";
import { Errors, Fields, type Json, numberAt } from "./body.ts";
import { type Breathed, REACH_S, breathed as gases, leastPublished } from "../physics/no_fly.ts";
import { diveWarnings, noFlyWarnings, settingsWarnings } from "./day_warnings.ts";
import { noFlyAnswer } from "./no_fly_answer.ts";
import { readNoFly } from "./no_fly_reading.ts";
import { dayOxygen, diveOxygen, oxygenWarnings, readOxygen } from "./oxygen_answer.ts";
import { pointer } from "./problem.ts";
import {
  DEEPEST,
  LONGEST_BOTTOM_MIN,
  LONGEST_INTERVAL_MIN,
  readBottomTimeS,
  readCaution,
  readDepth,
  readIntervalS,
  readSettings,
  readTrimix,
  readUnit,
} from "./reading.ts";
import { readStateBefore, stateJson } from "./state_body.ts";
import { stopsOwed } from "./stops_owed.ts";

export const MOST_DIVES = 100;
export const MOST_SAMPLES = 20_000;
export const DEFAULT_PPO2_BAR = 1.4;

type Known = string | number | boolean | null;
type Samples = readonly (readonly [number, Depth])[];

/** Answer a diver's day; `body` is the parsed JSON. Throws Problem with every error of the body. */
export function day(body: Json): Json {
  const errors = new Errors();
  const fields = new Fields(errors, body);
  const unit = readUnit(fields);
  const settings = readSettings(fields, unit);
  const maxPpo2 = fields.numberOrNull("max_ppo2_bar", 0.5, 1.6, "bar");
  const caution = readCaution(fields) ?? 0;
  const since = fields.numberOrNull("minutes_since_surfacing", 0, LONGEST_INTERVAL_MIN, "minutes");
  const sinceS = since === null ? 0 : secondsDown(since);
  const days = fields.integerOrNull("days_of_diving", 1, 365);
  const asked = readNoFly(fields.fieldsOrNull("no_fly"));
  const kept = readStateBefore(fields.fieldsOrNull("state_before"));
  const oxygen = readOxygen(fields);
  const trimix = fields.flag("trimix_enabled");
  const items = fields.listOfFields("dives", 1, MOST_DIVES);
  const dives = items.map((item, i) => readDive(item, unit, caution, i, trimix));
  fields.close();
  errors.raiseIfAny();

  const made = divesDay(dives, settings, kept === null ? null : resumed(...kept, settings));
  const recent = kept !== null && kept[1] < REACH_S;
  const counted = recent ? made.dives + 1 : made.dives;
  const beforeGas: Breathed = recent ? kept[0].breathed : "air";
  const gas = leastPublished(beforeGas, gases(dives.map((dive) => dive.mix)));
  const ppo2 = maxPpo2 ?? DEFAULT_PPO2_BAR;
  const warnings = settingsWarnings(fields, settings, days, counted);
  warnings.push(...noFlyWarnings(asked, dives, beforeGas));
  const own = exposures(dives, made.joined, settings);
  const before = oxygenBefore(kept);
  const hidden = isMissing(before);
  const breathed = isMissing(before) ? own : [...before, ...own];
  const last = new Map(breathed.map((exposure, n) => [exposure.position, n]));
  const answers = dives.map((dive, i) => {
    warnings.push(...diveWarnings(made, i, dive, settings, ppo2, unit));
    const answer = answerJson(made, i, dive, ppo2, unit);
    const exposure = last.get(i);
    if (exposure === undefined || made.answers[i]?.kind !== "answer") return answer;
    return { ...answer, ...diveOxygen(breathed, exposure, dives, made.joined[i]!, oxygen, hidden) };
  });
  warnings.push(...oxygenWarnings(breathed, oxygen, hidden));
  return {
    dives: answers,
    now: nowJson(made, sinceS),
    no_fly: noFlyAnswer(asked, made, counted, gas, settings, days, sinceS),
    oxygen: dayOxygen(breathed, oxygen, hidden),
    state: stateJson(
      carried(
        made.state,
        settings,
        isMissing(before) ? before : moved(breathed, -breathed[breathed.length - 1]!.endS),
        gas,
      ),
    ),
    method: settings.method,
    gf: [settings.gfLowPm / 1000, settings.gfHighPm / 1000],
    warnings: warnings.map((warning) => ({ ...warning })),
    sources: SOURCES.day,
  };
}

/** The exposures that the state given holds; where it holds none, not known for 24 h. */
function oxygenBefore(kept: readonly [Carried, number] | null): readonly Exposure[] | Missing {
  if (kept === null) return [];
  const { oxygen } = kept[0];
  if (isMissing(oxygen)) return kept[1] < DAY_S ? oxygen : [];
  return moved(oxygen, -kept[1]);
}

function readDive(fields: Fields, unit: DepthUnit, caution: number, position: number, trimix: boolean): Dive {
  let intervalS = 0;
  if (position > 0) intervalS = readIntervalS(fields, "surface_interval_min");
  else if (fields.has("surface_interval_min")) {
    fields.get("surface_interval_min");
    fields.fail("surface_interval_min", "not_allowed", "The first dive has no interval before it; leave it out.");
  }
  const samples = readSamples(fields, unit);
  let deepest: Depth;
  let bottomTimeS: number;
  if (samples === null) {
    deepest = readDepth(fields, "depth", unit);
    bottomTimeS = readBottomTimeS(fields);
  } else {
    for (const name of ["depth", "bottom_time_min"]) {
      fields.get(name);
      if (fields.has(name)) fields.fail(name, "not_allowed", "Give samples or depth and bottom_time_min, not both.");
    }
    deepest = samples[0]![1];
    bottomTimeS = samples[samples.length - 1]![0];
    for (const [, at] of samples) deepest = deeper(deepest, at);
  }
  const mix = readTrimix(fields, trimix);
  const own = readCaution(fields);
  const coldOrHard = fields.flag("cold_or_hard");
  fields.close();
  return { depth: deepest, bottomTimeS, mix, intervalS, caution: own ?? caution, coldOrHard, samples };
}

/** `samples`: [[minute, depth], ...] from minute 0, times rising; as (second, depth), to where it last surfaces. null when absent. */
function readSamples(fields: Fields, unit: DepthUnit): Samples | null {
  if (!fields.has("samples")) {
    fields.get("samples");
    return null;
  }
  const at = fields.pointer("samples");
  const items = fields.array("samples", 2, MOST_SAMPLES);
  const read: [number, Depth][] = [];
  items.forEach((item, i) => {
    const here = pointer(at, i);
    if (!Array.isArray(item) || item.length !== 2) {
      fields.errors.add(here, "wrong_type", "Each sample is [minute, depth].");
      return;
    }
    const pair: readonly Json[] = item;
    const minute = numberAt(fields.errors, pointer(here, 0), pair[0]!, 0, LONGEST_BOTTOM_MIN, "minutes");
    const deep = numberAt(fields.errors, pointer(here, 1), pair[1]!, 0, DEEPEST[unit], unit);
    if (minute === null || deep === null) return;
    const second = secondsUp(minute);
    if (i === 0 && second !== 0) {
      const message = "The first sample is at minute 0, leaving the surface.";
      fields.errors.add(pointer(here, 0), "out_of_order", message);
    } else if (read.length > 0 && second <= read[read.length - 1]![0]) {
      const message = "Each sample is at least a second after the last.";
      fields.errors.add(pointer(here, 0), "out_of_order", message);
    }
    read.push([second, depth(deep, unit)]);
  });
  if (read.length === items.length && read.length > 0 && read.every(([, d]) => d.hundredths === 0)) {
    fields.fail("samples", "out_of_range", "At least one sample must be below the surface.");
  }
  while (read.length > 2 && read[read.length - 2]![1].hundredths === 0) read.pop();
  if (read.length >= 2) return read;
  return [
    [0, new Depth(0, unit)],
    [1, new Depth(1, unit)],
  ];
}

function answerJson(made: Day, i: number, dive: Dive, ppo2: number, unit: DepthUnit): Record<string, Json> {
  const answer = made.answers[i] ?? null;
  const others = made.joined[i]!;
  const joined: Record<string, Json> = others.length > 0 ? { joined_with: [...others] } : {};
  if (answer === null) return joined;
  if (answer.kind === "refused") return { refused: { code: answer.code, message: answer.message } };
  const limits = answer.noStop;
  const deepest = mod(dive.mix, ppo2, unit);
  const item: Record<string, Json> = {
    ...joined,
    table_depth_fsw: json(limits.tableDepthFsw),
    group_before: json(limits.groupBefore),
    residual_nitrogen_time_min: json(limits.residualNitrogenTimeMin),
    equivalent_single_dive_time_min: json(answer.equivalentSingleDiveTimeMin),
    no_stop_limit_min: json(limits.noStopLimitMin),
    adjusted_no_stop_limit_min: json(limits.adjustedNoStopLimitMin),
    table_entry_time_min: json(answer.tableEntryTimeMin),
    table_within_limit: json(answer.tableWithin),
    group_after: json(answer.groupAfter),
    tissue_no_stop_limit_min: minutesJson(limits.tissueLimitS),
    unlimited: limits.tissueLimitS === null,
    tissue_within_limit: json(answer.tissueWithin),
    within_limits: json(answer.within),
    limit_min: minutesJson(answer.limitS),
    limited_by: json(answer.limitedBy),
    oxygen_limit_used_percent: isMissing(answer.oxygenShare)
      ? answer.oxygenShare.asJson()
      : tenthsUp(answer.oxygenShare * 100),
    mod: isMissing(deepest) ? deepest.asJson() : floorDiv(deepest.hundredths, 100),
  };
  if (!dive.mix.countsAsAir && dive.mix.heE4 === 0) item["equivalent_air_depth"] = equivalentAirDepth(dive.depth, dive.mix.n2E4).number;
  const stops = made.stops[i] ?? null;
  if (stops !== null) item["stops_owed"] = stopsOwed(stops);
  return item;
}

function nowJson(made: Day, sinceS: number): Json {
  const state = wait(made.state, sinceS);
  const group = groupNow(state);
  const surfaced = state.surfacedGroup;
  if (isMissing(group)) return { group: group.asJson(), table_not_repetitive_after_min: group.asJson() };
  if (group === null || surfaced === null || isMissing(surfaced)) {
    return { group: null, table_not_repetitive_after_min: 0 };
  }
  const left = NOT_REPETITIVE_AFTER_MIN.get(surfaced)! - minutesDown(state.sinceS);
  return { group, table_not_repetitive_after_min: Math.max(1, left) };
}

function json(value: Known | Missing): Json {
  return isMissing(value) ? value.asJson() : value;
}

function minutesJson(seconds: number | Missing | null): Json {
  return seconds === null || isMissing(seconds) ? json(seconds) : tenthsOfMinutesDown(seconds);
}
