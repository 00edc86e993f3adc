// What `teams` asks beyond `plan`: demands, experience, fitness.
// The twin of calculations/pairing_reading.py. Demands go to the harder hundredth, past dives to the easier.

import { type Demands, type Done, type Experience, type Person, type Task, sortedIds } from "../pairing/model.ts";
import type { Diver, TeamDive } from "../physics/diver.ts";
import { scaledDown, scaledUp } from "../physics/rounding.ts";
import type { DepthUnit } from "../physics/units.ts";
import { readIds } from "./asked_reading.ts";
import type { Fields } from "./body.ts";
import { pointer } from "./problem.ts";
import { type Reading, readDate } from "./team_reading.ts";

const MOST_DONE = 2000;
const MOST_WORDS = 20;
const MOST_MENTORED = 100;
const MOST_COUNT = 20_000;
const DEEPEST_DONE: Readonly<Record<DepthUnit, number>> = { m: 350.0, ft: 1150.0 };
export const MOST_KN = 10;
export const MOST_VISIBILITY_M = 200;
const COLDEST_C = -3;
export const WARMEST_C = 45;

/** 2027-06-12 as 20270612. */
function dayNumber(text: string | null): number | null {
  return text === null ? null : Number(text.slice(0, 4)) * 10000 + Number(text.slice(5, 7)) * 100 + Number(text.slice(8));
}

/** The day of the dive: ages and freshness are reckoned on it. After an error a day far ahead stands in. */
export function readOn(body: Fields, reading: Reading): [Reading, number] {
  if (reading.on === null && !body.has("on")) body.required("on", "Give the date of the dive as YYYY-MM-DD.");
  const on = reading.on ?? "9999-12-31";
  return [{ ...reading, on }, Number(on.replaceAll("-", ""))];
}

/** The `demands` object and its current, which the physics takes where the dive states none. */
export function readDemandFields(dive: Fields): [Fields | null, number | null] {
  const fields = dive.fieldsOrNull("demands");
  return [fields, fields === null ? null : fields.numberOrNull("current_kn", 0, MOST_KN, "knots")];
}

/** Short words, each once, in the order of the alphabet; null when absent. */
function wordsOf(fields: Fields, name: string): string[] | null {
  const items = fields.arrayOrNull(name, 0, MOST_WORDS);
  if (items === null) return null;
  const found: string[] = [];
  items.forEach((item, i) => {
    const at = pointer(fields.pointer(name), i);
    const size = typeof item === "string" ? [...item].length : 0;
    if (typeof item !== "string" || size < 1 || size > 100) {
      fields.errors.add(at, "wrong_type", "Must be text in quotes, 1 to 100 characters.");
    } else if (found.includes(item)) fields.errors.add(at, "duplicate", "This word stands here twice.");
    else found.push(item);
  });
  return sortedIds(found);
}

/** A number that was read once already, which said what is wrong with it. */
function again(fields: Fields, name: string, least: number, most: number): number | null {
  const before = fields.errors.found.length;
  const value = fields.numberOrNull(name, least, most);
  fields.errors.found.splice(before);
  return value;
}

/** The demands of the dive; its own current and temperature stand in where `demands` gives none. */
export function readDemands(fields: Fields | null, dive: Fields, currentKn: number | null, plan: TeamDive): Demands {
  const own = dive.has("current_kn");
  const current = currentKn ?? (own ? plan.currentKn : null);
  let temperature = again(dive, "water_temp_c", COLDEST_C, WARMEST_C);
  let visibility: number | null = null;
  let night = false;
  let task: Task | null = null;
  let site: readonly string[] = [];
  if (fields !== null) {
    visibility = fields.numberOrNull("visibility_m", 0, MOST_VISIBILITY_M, "m");
    temperature = fields.numberOrNull("water_temp_c", COLDEST_C, WARMEST_C, "°C") ?? temperature;
    night = fields.flag("night");
    task = readTask(fields, 1);
    site = wordsOf(fields, "site_kind") ?? [];
    fields.close();
  }
  return {
    unit: plan.depth.unit,
    depth: plan.depth.hundredths,
    current: current === null ? null : scaledUp(current, 1000),
    visibility: visibility === null ? null : scaledDown(visibility, 100),
    waterTemp: temperature === null ? null : scaledDown(temperature, 10),
    night,
    task,
    site,
  };
}

function readTask(fields: Fields, least: number): Task | null {
  const task = fields.fieldsOrNull("task");
  if (task === null) return null;
  const kind = task.text("kind", 100);
  const level = task.integer("level", least, 5);
  task.close();
  return level > 0 ? { kind, level } : null;
}

/** What pairing asks of a diver beyond the physics. Closes `fields`. */
export function readPerson(fields: Fields, diver: Diver, unit: DepthUnit, on: number): Person {
  const role = fields.choiceOrNull("role", ["leader", "diver"]);
  const experience = fields.fieldsOrNull("experience");
  const person: Person = {
    id: diver.id,
    leader: role === null ? null : role === "leader",
    supervised: supervisedOf(fields),
    certifiedDepth: diver.certifiedDepth === null ? null : diver.certifiedDepth.hundredths,
    born: dateAgain(fields, "born"),
    guardians: readIds(fields, "guardians", 0, 10),
    guardianConsent: fields.flagOrNull("guardian_consent"),
    fitness: fields.choiceOrNull("fitness", ["in_date", "out_of_date", "restricted", "unfit"]),
    experience: experience === null ? null : readExperience(experience, unit, on),
    ownTask: fields.flag("own_task"),
    certifiedUntil: dayNumber(readDate(fields, "certified_until")),
    newEquipment: wordsOf(fields, "new_equipment") ?? [],
    sharesGasBy: wordsOf(fields, "shares_gas_by"),
    signals: wordsOf(fields, "signals"),
    divedWith: fields.has("dived_with") ? readIds(fields, "dived_with", 0, MOST_DONE) : null,
    mentorDebt: fields.integerOrNull("mentor_debt", 0, MOST_MENTORED) ?? 0,
    gas: null,
  };
  fields.close();
  return person;
}

/** Read once already with the physics, which says what is wrong with it. */
function supervisedOf(fields: Fields): boolean {
  return fields.get("supervised") === true;
}

/** A date that was read once already, which said what is wrong with it. */
function dateAgain(fields: Fields, name: string): number | null {
  const before = fields.errors.found.length;
  const day = dayNumber(readDate(fields, name));
  fields.errors.found.splice(before);
  return day;
}

function readDay(fields: Fields, name: string, on: number): number | null {
  const day = dayNumber(readDate(fields, name));
  if (day !== null && day > on) fields.fail(name, "out_of_order", "This date is after the day of the dive.");
  return day;
}

function readExperience(fields: Fields, unit: DepthUnit, on: number): Experience {
  fields.integerOrNull("dives", 0, MOST_COUNT);
  const divesLastYear = fields.integerOrNull("dives_last_year", 0, MOST_COUNT);
  const lastDive = readDay(fields, "last_dive", on);
  const items = fields.listOfFieldsOrNull("done", 0, MOST_DONE);
  const done = items === null ? null : items.map((item) => readDone(item, unit, on));
  fields.close();
  return { lastDive, done, divesLastYear };
}

function readDone(item: Fields, unit: DepthUnit, on: number): Done {
  const at = item.number("depth", 0, DEEPEST_DONE[unit], unit, true);
  if (!item.has("on")) item.required("on", "Give the date of the latest of these dives as YYYY-MM-DD.");
  const current = item.numberOrNull("current_kn", 0, MOST_KN, "knots");
  const visibility = item.numberOrNull("visibility_m", 0, MOST_VISIBILITY_M, "m");
  const temperature = item.numberOrNull("water_temp_c", COLDEST_C, WARMEST_C, "°C");
  const count = item.integerOrNull("count", 1, MOST_COUNT);
  const done: Done = {
    depth: scaledDown(at, 100),
    on: readDay(item, "on", on) ?? on,
    current: current === null ? null : scaledDown(current, 1000),
    visibility: visibility === null ? null : scaledUp(visibility, 100),
    waterTemp: temperature === null ? null : scaledUp(temperature, 10),
    night: item.flag("night"),
    task: readTask(item, 0),
    count: count ?? 1,
    site: wordsOf(item, "site_kind") ?? [],
  };
  item.close();
  return done;
}
