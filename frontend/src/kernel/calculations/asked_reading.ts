// Wishes, teams fixed, announced or ruled out, and overrides, as the body of `teams` writes them.
// The twin of calculations/asked_reading.py.

import { RULES } from "../pairing/case.ts";
import type { Override, Wish } from "../pairing/model.ts";
import { COVER_ROLES, sortedIds } from "../pairing/model.ts";
import type { Fields, Json } from "./body.ts";
import { pointer } from "./problem.ts";

const MOST_LIST = 400;
const MOST_IN_TEAM = 3;
export const MOST_IN_GROUP = 9;
const MOST_ALTERNATIVES = 10;

/** Everything about who dives with whom but the divers themselves. */
export interface Asked {
  readonly wishes: readonly Wish[];
  readonly announced: readonly (readonly string[])[];
  readonly outOfWater: readonly string[];
  readonly overrides: readonly Override[];
  readonly locked: readonly (readonly string[])[];
  readonly forbidden: readonly (readonly string[])[];
  readonly whyNot: readonly (readonly string[])[];
  readonly guided: readonly (readonly string[])[];
  readonly cover: readonly (readonly [string, string])[];
  readonly coverGiven: boolean;
  readonly leastChange: boolean;
  readonly robust: boolean;
  readonly alternatives: number;
  readonly dropOuts: boolean;
  readonly facts: boolean | null;
  readonly remedies: boolean;
  readonly pairability: boolean;
}

/** Wishes, teams fixed or ruled out, overrides. Names that are nobody's are errors, but in `announced` and `out_of_water`. */
export function readAsked(body: Fields, known: readonly string[]): Asked {
  const locked = readTeams(body, "locked", 2, MOST_IN_TEAM, known);
  const announced = readTeams(body, "announced", 1, MOST_LIST, null);
  const guided = readTeams(body, "guided", 2, MOST_IN_GROUP, known);
  noOneTwice(body, "locked", locked);
  noOneTwice(body, "guided", guided, locked);
  noOneTwice(body, "announced", announced);
  return {
    wishes: (body.listOfFieldsOrNull("wishes", 0, MOST_LIST) ?? []).map((item) => readWish(item, known)),
    announced,
    outOfWater: readIds(body, "out_of_water", 0, MOST_LIST),
    overrides: (body.listOfFieldsOrNull("overrides", 0, MOST_LIST) ?? []).map((item) => readOverride(item, known)),
    locked,
    forbidden: readTeams(body, "forbidden", 2, MOST_IN_TEAM, known),
    whyNot: readTeams(body, "why_not", 2, MOST_IN_TEAM, known),
    guided,
    cover: readRoles(body),
    coverGiven: body.has("surface_cover"),
    leastChange: body.flag("least_change"),
    robust: body.flag("robust"),
    alternatives: body.integerOrNull("alternatives", 0, MOST_ALTERNATIVES) ?? 0,
    dropOuts: body.flag("drop_outs"),
    facts: body.flagOrNull("facts"),
    remedies: body.flag("remedies"),
    pairability: body.choiceOrNull("find", ["pairability"]) !== null,
  };
}

function readWish(item: Fields, known: readonly string[]): Wish {
  const kind = item.choice("kind", ["together", "apart"]);
  const hidden = item.flag("private");
  const strength = hidden
    ? (item.choiceOrNull("strength", ["must", "prefer"]) ?? "prefer")
    : item.choice("strength", ["must", "prefer"]);
  if (hidden && (kind !== "apart" || strength === "must")) {
    item.fail("private", "not_allowed", "Only a wish to dive apart that is no must can stay private.");
  }
  if (!item.has("divers")) item.required("divers", "Give the ids of two divers or more.");
  const divers = readIds(item, "divers", 2, MOST_LIST, known);
  item.close();
  return { kind, divers: sortedIds(divers), strength, private: hidden };
}

/** `surface_cover`: who has which role out of the water. */
export function readRoles(fields: Fields): [string, string][] {
  return (fields.listOfFieldsOrNull("surface_cover", 0, MOST_LIST) ?? []).map(readCover);
}

function readCover(item: Fields): [string, string] {
  const role = item.choice("role", COVER_ROLES);
  const person = item.text("person", 100);
  item.close();
  return [role, person];
}

function readOverride(item: Fields, known: readonly string[]): Override {
  const rule = item.choice("rule", Object.keys(RULES) as [string, ...string[]]);
  const diver = item.text("diver", 100);
  const by = item.text("by", 100);
  const reason = item.text("reason", 1000);
  if (item.has("diver") && diver !== "" && !known.includes(diver)) {
    item.fail("diver", "unknown_diver", "No diver of this body has this id.");
  }
  item.close();
  return { rule, diver, by, reason };
}

/** An array of ids, each once; of divers of this body where `known` is given. */
export function readIds(
  fields: Fields,
  name: string,
  least: number,
  most: number,
  known: readonly string[] | null = null,
): string[] {
  const items = fields.arrayOrNull(name, least, most);
  return items === null ? [] : idsIn(fields, fields.pointer(name), items, known);
}

function idsIn(fields: Fields, at: string, items: readonly Json[], known: readonly string[] | null): string[] {
  const found: string[] = [];
  items.forEach((item, i) => {
    const here = pointer(at, i);
    if (typeof item !== "string" || item === "") {
      fields.errors.add(here, "wrong_type", "Must be the id of a diver, text in quotes.");
    } else if (found.includes(item)) {
      fields.errors.add(here, "duplicate", "This id stands here twice.");
    } else if (known !== null && !known.includes(item)) {
      fields.errors.add(here, "unknown_diver", "No diver of this body has this id.");
    } else found.push(item);
  });
  return found;
}

export function readTeams(
  body: Fields,
  name: string,
  least: number,
  most: number,
  known: readonly string[] | null,
): string[][] {
  const teams: string[][] = [];
  (body.arrayOrNull(name, 0, MOST_LIST) ?? []).forEach((item, i) => {
    const at = pointer(body.pointer(name), i);
    if (!Array.isArray(item)) body.errors.add(at, "wrong_type", "Must be a JSON array of ids.");
    else if (item.length < least || item.length > most) {
      body.errors.add(at, "out_of_range", `Must have ${least} to ${most} items.`);
    } else teams.push(sortedIds(idsIn(body, at, item, known)));
  });
  return teams;
}

export function noOneTwice(
  body: Fields,
  name: string,
  teams: readonly (readonly string[])[],
  others: readonly (readonly string[])[] = [],
): void {
  const seen = new Set<string>(others.flat());
  teams.forEach((team, i) => {
    if (team.some((id) => seen.has(id))) {
      body.errors.add(pointer(body.pointer(name), i), "duplicate", "A diver stands in two of these teams.");
    }
    for (const id of team) seen.add(id);
  });
}

/** Ids as given, with an error for each that comes twice. */
export function readPeopleIds(divers: readonly Fields[]): string[] {
  const ids: string[] = [];
  for (const item of divers) {
    const id = item.has("id") ? item.value["id"] : null;
    if (typeof id !== "string") continue;
    if (ids.includes(id)) item.fail("id", "duplicate", "Two divers have this id.");
    ids.push(id);
  }
  return ids;
}
