// A team's dive as the bodies of `plan` and `teams` write it: what holds for everyone, and the dive.
// The twin of calculations/team_reading.py. No reader here closes the Fields it is given.

import { ordinal } from "../pairing/days.ts";
import { SUSTAINED_KN, WORK } from "../physics/breathing.ts";
import { type Along, TURN_RULES, type TurnRule } from "../physics/cylinder.ts";
import { type Sharing, type TeamDive, type TeamSettings, said } from "../physics/diver.ts";
import { DEFAULT_SETTINGS } from "../physics/profile.ts";
import { type GasLaw, LAWS } from "../physics/real_gas.ts";
import { Depth, type DepthUnit, type GaugeUnit, PSI_PER_BAR, depth } from "../physics/units.ts";
import { type Fields, type Json, isObject } from "./body.ts";
import { type BreathingReading, readBreathing, readRmvGroup } from "./breathing_reading.ts";
import { readBottomTimeS, readDepth, readSettings, readUnit } from "./reading.ts";

/** 40 m and 130 ft in hundredths. */
export const USUAL_DEEPEST: Readonly<Record<DepthUnit, number>> = { m: 4000, ft: 13_000 };
export const HIGHEST_PRESSURE: Readonly<Record<GaugeUnit, number>> = { bar: 350.0, psi: 5100.0 };
const STRESSED_RMV_L_MIN = 40.0;
const DELAY_MIN = 1.0;
const SURFACE_RESERVE_BAR = 50.0;
const REGULATOR_MINIMUM_BAR = 10.0;
/** Depth of the usual safety stop, and the deepest that one is read, in hundredths. */
const STOP: Readonly<Record<DepthUnit, readonly [number, number]>> = { m: [500, 1200], ft: [1500, 4000] };
const STOP_MIN = 3.0;
const MAX_PPO2_BAR = 1.4;
const HIGHEST_PPO2_BAR = 1.6;
const COLD_C = 10.0;
export const WATER_C = [-3.0, 45.0] as const;
export const FILL_C = [-5.0, 60.0] as const;
const MOST_KN = 10.0;
const SLOWEST_SWIM_KN = 0.1;

export interface Warning {
  readonly code: string;
  readonly pointer: string;
  readonly message: string;
}

/** The top level of a body, and the warnings met while reading. */
export interface Reading {
  readonly unit: DepthUnit;
  readonly settings: TeamSettings;
  readonly on: string | null;
  readonly breathing: BreathingReading;
  readonly gasLaw: GasLaw;
  readonly fillTempC: number | null;
  readonly airNeedsAnalysis: boolean;
  readonly beyond40mEnabled: boolean;
  readonly leastIntervalMin: number;
  /** Where the temperature of the water stands in the body. */
  readonly waterAt: string;
  readonly warnings: Warning[];
}

export function warn(reading: Reading, code: string, at: string, message: string): void {
  reading.warnings.push({ code, pointer: at, message });
}

/** Everything at the top level that `plan` and `teams` share, but the dive and the divers. */
export function readTeamSettings(body: Fields): Reading {
  const unit = readUnit(body);
  const pressureUnit = body.choice("pressure_unit", ["bar", "psi"]);
  const volumeUnit = body.choice("volume_unit", ["l", "cuft"]);
  body.choiceOrNull("gas_rule", ["minimum_gas"]);
  const ppo2 = body.numberOrNull("max_ppo2_bar", 1.0, HIGHEST_PPO2_BAR, "bar");
  const breathing: BreathingReading = {
    model: readBreathing(body.fieldsOrNull("breathing")),
    group: readRmvGroup(body.fieldsOrNull("rmv_group")),
    marginPercent: body.numberOrNull("gas_margin_percent", 0, 200, "percent"),
  };
  const settings: TeamSettings = {
    dive: readSettings(body, unit),
    sharing: readSharing(body.fieldsOrNull("sharing"), pressureUnit),
    pressureUnit,
    volumeUnit,
    maxPpo2Bar: ppo2 ?? MAX_PPO2_BAR,
    breathing: breathing.model,
    turnRule: body.choiceOrNull("turn_rule", Object.keys(TURN_RULES) as TurnRule[]),
  };
  const air = body.flagOrNull("air_needs_analysis");
  const reading: Reading = {
    unit,
    settings,
    on: readDate(body, "on"),
    breathing,
    gasLaw: body.choiceOrNull("gas_law", LAWS) ?? "published",
    fillTempC: body.numberOrNull("fill_temp_c", FILL_C[0], FILL_C[1], "°C"),
    airNeedsAnalysis: air !== false,
    beyond40mEnabled: body.flag("beyond_40_m_enabled"),
    leastIntervalMin: body.integerOrNull("least_surface_interval_min", 0, 1440, "minutes") ?? 0,
    waterAt: "/dive/water_temp_c",
    warnings: [],
  };
  settingsWarnings(body, reading);
  return reading;
}

function readSharing(fields: Fields | null, unit: GaugeUnit): Sharing {
  const perBar = unit === "bar" ? 1.0 : PSI_PER_BAR;
  const usual: Sharing = {
    stressedRmvLMin: STRESSED_RMV_L_MIN,
    delayMin: DELAY_MIN,
    surfaceReserve: SURFACE_RESERVE_BAR * perBar,
    regulatorMinimum: REGULATOR_MINIMUM_BAR * perBar,
  };
  if (fields === null) return usual;
  const most = HIGHEST_PRESSURE[unit];
  const stressed = fields.numberOrNull("stressed_rmv_l_min", 5, 150, "L/min");
  const delay = fields.numberOrNull("delay_at_depth_min", 0, 10, "minutes");
  const reserve = fields.numberOrNull("surface_reserve", 0, most, unit);
  const regulator = fields.numberOrNull("regulator_minimum", 0, most / 5, unit);
  fields.close();
  return {
    stressedRmvLMin: stressed ?? usual.stressedRmvLMin,
    delayMin: delay ?? usual.delayMin,
    surfaceReserve: reserve ?? usual.surfaceReserve,
    regulatorMinimum: regulator ?? usual.regulatorMinimum,
  };
}

function settingsWarnings(body: Fields, reading: Reading): void {
  if (!body.has("site_altitude_m") && !body.has("site_altitude_ft")) {
    warn(reading, "sea_level_assumed", "/site_altitude_m", "No site altitude given: sea level assumed.");
  }
  const used = reading.settings.dive;
  if (used.gfHighPm > DEFAULT_SETTINGS.gfHighPm || used.gfLowPm > DEFAULT_SETTINGS.gfLowPm) {
    warn(reading, "gf_above_default", "/gf", "Gradient factors above 0.40 and 0.80: less margin.");
  }
  const raw: Json = body.value["sharing"] ?? null;
  const given = isObject(raw) ? raw : {};
  const names = ["stressed_rmv_l_min", "delay_at_depth_min", "surface_reserve"];
  const lacking = names.filter((name) => (given[name] ?? null) === null);
  if (lacking.length > 0) {
    warn(reading, "default_used", "/sharing", `Not given, our default used: ${lacking.join(", ")}.`);
  }
}

/** A calendar date as YYYY-MM-DD, null when absent or wrong. */
export function readDate(fields: Fields, name: string): string | null {
  const value = fields.textOrNull(name, 10);
  if (value === null) return null;
  if (!/^[0-9]{4}-[0-9]{2}-[0-9]{2}$/.test(value) || !isDay(value)) {
    fields.fail(name, "wrong_type", "Must be a date as YYYY-MM-DD.");
    return null;
  }
  return value;
}

function isDay(value: string): boolean {
  const year = Number(value.slice(0, 4));
  const month = Number(value.slice(5, 7));
  const day = Number(value.slice(8));
  const leap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  const lengths = [31, leap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
  return year > 0 && month >= 1 && month <= 12 && day >= 1 && day <= (lengths[month - 1] as number);
}

const INSTANT =
  /^([0-9]{4}-[0-9]{2}-[0-9]{2})[T ]([01][0-9]|2[0-3]):([0-5][0-9])(?::([0-5][0-9])(?:\.[0-9]{1,9})?)?(Z|[+-](?:[01][0-9]|2[0-3]):?[0-5][0-9])?$/;

/** Whether instant `a` is after `b`, both ISO 8601 date and time; null where that cannot be told. */
export function later(a: string, b: string): boolean | null {
  const first = INSTANT.exec(a);
  const second = INSTANT.exec(b);
  if (first === null || second === null || (first[5] === undefined) !== (second[5] === undefined)) return null;
  if (!isDay(first[1]!) || !isDay(second[1]!)) return null;
  return secondOf(first) > secondOf(second);
}

/** Seconds since a fixed day, by its own offset; parts of a second do not count. */
function secondOf(found: RegExpExecArray): number {
  const [, day, hour, minute, second, offset] = found;
  let eastMin = 0;
  if (offset !== undefined && offset !== "Z") {
    eastMin = Number(offset.slice(1, 3)) * 60 + Number(offset.slice(-2));
    eastMin = offset.startsWith("-") ? -eastMin : eastMin;
  }
  const days = ordinal(Number(day!.replaceAll("-", "")));
  return days * 86_400 + Number(hour) * 3600 + (Number(minute) - eastMin) * 60 + Number(second ?? 0);
}

/** The dive asked. `currentKn` stands in where the dive gives none of its own. */
export function readTeamDive(fields: Fields, reading: Reading, currentKn: number | null = null): TeamDive {
  const { unit } = reading;
  const wrong = fields.errors.found.length;
  const deepest = readDepth(fields, "depth", unit);
  const tooDeep = deepest.hundredths > USUAL_DEEPEST[unit] && !reading.beyond40mEnabled;
  if (tooDeep && fields.ok && fields.errors.found.length === wrong) {
    fields.fail(
      "depth",
      "beyond_40_m",
      "Deeper than 40 m / 130 ft is not planned here unless the club's keeper has set beyond_40_m_enabled.",
    );
  }
  const bottomTimeS = readBottomTimeS(fields);
  const current = fields.numberOrNull("current_kn", 0, MOST_KN, "knots") ?? currentKn ?? 0.0;
  if (current > SUSTAINED_KN) {
    const message = `No diver swims against ${said(current)} kn for minutes: drift with it, or dive at slack water.`;
    warn(reading, "hard_swim", fields.pointer("current_kn"), message);
  }
  const coldOrHard = fields.flag("cold_or_hard");
  const temperature = fields.numberOrNull("water_temp_c", WATER_C[0], WATER_C[1], "°C");
  if (temperature !== null && temperature < COLD_C && !coldOrHard) {
    const message = "Water under 10 °C: with cold_or_hard the table is entered at the next longer time.";
    warn(reading, "cold_water", fields.pointer("water_temp_c"), message);
  }
  const [stopDepth, stopMin] = readStop(fields.fieldsOrNull("safety_stop"), unit);
  const along = fields.fieldsOrNull("along_current");
  return {
    depth: deepest,
    bottomTimeS,
    work: fields.choiceOrNull("work", WORK) ?? "moderate",
    currentKn: current,
    way: fields.choiceOrNull("return", ["same_point", "free_ascent"]),
    stopDepth,
    stopMin,
    taskUnitMin: fields.numberOrNull("task_unit_min", 0, 240, "minutes", true),
    coldOrHard,
    along: along === null ? null : readAlong(along, current),
    waterC: temperature,
  };
}

/** Out and back along a current; its speed is that of the dive unless it is given here. */
function readAlong(fields: Fields, currentKn: number): Along {
  const first = fields.choice("first", ["with", "against"]);
  const swimKn = fields.number("swim_kn", SLOWEST_SWIM_KN, MOST_KN, "knots");
  const own = fields.numberOrNull("current_kn", 0, MOST_KN, "knots");
  fields.close();
  return { first, swimKn, currentKn: own ?? currentKn };
}

function readStop(fields: Fields | null, unit: DepthUnit): [Depth, number] {
  const [usual, deepest] = STOP[unit];
  if (fields === null) return [new Depth(usual, unit), STOP_MIN];
  const at = fields.number("depth", 0, deepest / 100, unit, true);
  const minutes = fields.number("min", 0, 60, "minutes");
  fields.close();
  return [depth(at, unit), minutes];
}
