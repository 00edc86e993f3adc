// The dives of one day in one body: what each asks, its waves, the boats, and what is wished between the dives.
// The twin of calculations/several_reading.py.

import { type Demands, type Person, type Policy, listed } from "../pairing/model.ts";
import type { Partners } from "../pairing/several.ts";
import type { Diver, TeamDive } from "../physics/diver.ts";
import {
  type Asked,
  MOST_IN_GROUP,
  noOneTwice,
  readAsked,
  readIds,
  readPeopleIds,
  readRoles,
  readTeams,
} from "./asked_reading.ts";
import { Errors, Fields, type Json, isObject } from "./body.ts";
import { readGear, readTeamDiver } from "./diver_reading.ts";
import { readDemandFields, readDemands, readOn, readPerson } from "./pairing_reading.ts";
import { readPolicy } from "./policy_reading.ts";
import { pointer } from "./problem.ts";
import { readIntervalS } from "./reading.ts";
import { type Reading, WATER_C, readTeamDive, readTeamSettings } from "./team_reading.ts";

const MOST_DIVERS = 30;
const MOST_DIVES = 3;
const MOST_WAVES = 4;
const MOST_BOATS = 4;
const MOST_ABOARD = 400;
const PRICE_S = 120;
// What is answered for one dive at a time; the fewest changes are asked of the whole day.
const ONE_DIVE_ONLY = ["why_not", "alternatives", "drop_outs", "robust", "remedies", "facts", "find", "least_change"];

type Roles = readonly (readonly [string, string])[];

/** `persons` or `divers` is what it takes, the other null; `aboard` have a fixed seat on it. */
export interface BoatAsked {
  readonly id: string;
  readonly persons: number | null;
  readonly divers: number | null;
  readonly aboard: readonly string[];
  readonly cover: Roles;
}

export interface WaveAsked {
  readonly id: string;
  readonly divers: number;
  readonly boat: string | null;
  readonly leaderNeeded: boolean;
  readonly cover: Roles;
}

/** `intervalS`: out of the water since the dive before (first: 0); `gear`: divers as they dive on this one. */
export interface DiveAsked {
  readonly dive: TeamDive;
  readonly demands: Demands;
  readonly intervalS: number;
  readonly asked: Asked;
  readonly waves: readonly WaveAsked[];
  readonly gear: ReadonlyMap<string, Diver>;
}

export interface SeveralAsked {
  readonly on: number;
  readonly policy: Policy;
  readonly reading: Reading;
  readonly divers: readonly Diver[];
  readonly people: readonly Person[];
  readonly dives: readonly DiveAsked[];
  readonly boats: readonly BoatAsked[];
  readonly partners: Partners;
  readonly priceS: number;
  readonly before: readonly (readonly string[])[];
}

/** The whole body; throws Problem with every error in it. */
export function readSeveral(body: Json): SeveralAsked {
  const errors = new Errors();
  const top = new Fields(errors, body);
  const [settings, on] = readOn(top, readTeamSettings(top));
  const reading: Reading = { ...settings, waterAt: "/dives/0/dive/water_temp_c" };
  const policy = readPolicy(top.fieldsOrNull("policy"), reading.unit);
  const items = top.listOfFields("divers", 1, MOST_DIVERS);
  const ids = readPeopleIds(items);
  const asked = top.listOfFields("dives", 1, MOST_DIVES);
  const first = asked[0];
  const waterC = first === undefined ? null : waterOf(first.get("dive"));
  const divers = items.map((item) => readTeamDiver(item, reading, waterC));
  const people = items.map((item, at) => readPerson(item, divers[at]!, reading.unit, on));
  const leastChange = top.flag("least_change");
  const boats = readBoats(top);
  const known = new Map(divers.map((diver) => [diver.id, diver]));
  const dives = asked.map((item, at) => readDive(item, at, reading, known, ids, boats, leastChange));
  oneBoatEach(top, ids, boats, dives);
  const [partners, priceS, before] = readBetween(top.fieldsOrNull("between_dives"));
  top.close();
  errors.raiseIfAny();
  return { on, policy, reading, divers, people, dives, boats, partners, priceS, before };
}

/** The water of the first dive, in which the cylinders are counted; a wrong value is told with the dive. */
function waterOf(dive: Json): number | null {
  const told = isObject(dive) ? dive["water_temp_c"] : null;
  return typeof told === "number" && WATER_C[0] <= told && told <= WATER_C[1] ? told : null;
}

function readDive(
  item: Fields,
  at: number,
  settings: Reading,
  divers: ReadonlyMap<string, Diver>,
  ids: readonly string[],
  boats: readonly BoatAsked[],
  leastChange: boolean,
): DiveAsked {
  const reading: Reading = { ...settings, waterAt: `/dives/${at}/dive/water_temp_c` };
  const fields = item.fields("dive");
  const [demandFields, currentKn] = readDemandFields(fields);
  const dive = readTeamDive(fields, reading, currentKn);
  const demands = readDemands(demandFields, fields, currentKn, dive);
  fields.close();
  const intervalS = at === 0 ? 0 : readIntervalS(item, "surface_interval_min");
  const gear = new Map<string, Diver>();
  for (const own of item.listOfFieldsOrNull("divers", 0, MOST_DIVERS) ?? []) {
    const id = own.text("id", 100);
    const diver = divers.get(id);
    if (gear.has(id)) own.fail("id", "duplicate", "Two divers have this id.");
    else if (diver !== undefined) gear.set(id, readGear(own, reading, diver, dive.waterC));
    else if (own.has("id")) own.fail("id", "unknown_diver", "No diver of this body has this id.");
    own.close();
  }
  const asked = { ...readAsked(item, ids), leastChange };
  for (const name of ONE_DIVE_ONLY) {
    if (!item.has(name)) continue;
    const message = name === "least_change" ? "Asked of the whole day, beside dives." : "Ask it of one dive alone.";
    item.fail(name, "not_allowed", message);
  }
  const waves = readWaves(item, boats);
  item.close();
  return { dive, demands, intervalS, asked, waves, gear };
}

function readWaves(item: Fields, boats: readonly BoatAsked[]): WaveAsked[] {
  const waves: WaveAsked[] = [];
  for (const fields of item.listOfFieldsOrNull("waves", 1, MOST_WAVES) ?? []) {
    const id = fields.text("id", 100);
    if (waves.some((wave) => wave.id === id)) fields.fail("id", "duplicate", "Two waves of this dive have this id.");
    const divers = fields.integer("divers", 2, MOST_DIVERS, "divers");
    const boat = fields.textOrNull("boat", 100);
    if (boat !== null && !boats.some((one) => one.id === boat)) {
      fields.fail("boat", "unknown_boat", "No boat of this body has this id.");
    }
    if (boat === null && boats.length > 0 && !fields.has("boat")) {
      fields.required("boat", "Give the id of the boat this wave dives from.");
    }
    const leaderNeeded = fields.flagOrNull("leader_needed") !== false;
    waves.push({ id, divers, boat, leaderNeeded, cover: readRoles(fields) });
    fields.close();
  }
  return waves;
}

function readBoats(top: Fields): BoatAsked[] {
  const boats: BoatAsked[] = [];
  for (const fields of top.listOfFieldsOrNull("boats", 1, MOST_BOATS) ?? []) {
    const id = fields.text("id", 100);
    if (boats.some((boat) => boat.id === id)) fields.fail("id", "duplicate", "Two boats have this id.");
    const persons = fields.integerOrNull("persons", 1, MOST_ABOARD, "persons");
    const divers = fields.integerOrNull("divers", 1, MOST_ABOARD, "divers");
    fields.oneOfTwo("persons", "divers");
    if (!fields.has("persons") && !fields.has("divers")) {
      fields.required("persons", "Give how many persons the boat takes, or how many divers.");
    }
    const aboard = readIds(fields, "aboard", 0, MOST_ABOARD);
    boats.push({ id, persons, divers, aboard, cover: readRoles(fields) });
    fields.close();
  }
  return boats;
}

/** Who has a fixed place on a boat: those aboard, and those who cover it or one of its waves. */
export function peopleOf(boat: BoatAsked, dives: readonly DiveAsked[]): string[] {
  const covering = boat.cover.map(([, person]) => person);
  for (const dive of dives) {
    for (const wave of dive.waves) if (wave.boat === boat.id) covering.push(...wave.cover.map(([, person]) => person));
  }
  return [...new Set([...boat.aboard, ...covering])];
}

function oneBoatEach(
  top: Fields,
  ids: readonly string[],
  boats: readonly BoatAsked[],
  dives: readonly DiveAsked[],
): void {
  const seen = new Set<string>();
  boats.forEach((boat, at) => {
    const here = peopleOf(boat, dives);
    const twice = here.filter((person) => ids.includes(person) && seen.has(person));
    if (twice.length > 0) {
      const text = `${listed(twice)} would be on another boat too, aboard or at the surface: one boat all day.`;
      top.errors.add(pointer(top.pointer("boats"), at), "duplicate", text);
    }
    for (const person of here) seen.add(person);
  });
}

function readBetween(fields: Fields | null): [Partners, number, string[][]] {
  if (fields === null) return ["either", PRICE_S, []];
  const partners = fields.choiceOrNull("partners", ["either", "keep", "change"]) ?? "either";
  const priceS = fields.integerOrNull("cost_s", 0, 86_400, "seconds");
  const before = readTeams(fields, "teams_before", 2, MOST_IN_GROUP, null);
  noOneTwice(fields, "teams_before", before);
  fields.close();
  return [partners, priceS ?? PRICE_S, before];
}
