// Who dives with whom on one dive: the best teams, why, and why not others. The twin of calculations/teams.py.

import { SOURCES } from "../pairing/case.ts";
import { type Day, alternatives, changed, dropOuts, recheck, solve, whyNot } from "../pairing/explain.ts";
import type { Person } from "../pairing/model.ts";
import { musts } from "../pairing/partition.ts";
import type { Pricing } from "../pairing/pricing.ts";
import { Facts } from "../pairing/unplaced.ts";
import type { Diver } from "../physics/diver.ts";
import { readAsked, readPeopleIds } from "./asked_reading.ts";
import { Errors, Fields, type Json, isObject } from "./body.ts";
import { readTeamDiver } from "./diver_reading.ts";
import { pairability } from "./pairability.ts";
import { readDemandFields, readDemands, readOn, readPerson } from "./pairing_reading.ts";
import { pairingWarnings } from "./pairing_warnings.ts";
import { policyJson, readPolicy } from "./policy_reading.ts";
import { type Question, priced } from "./question.ts";
import { remedies, remedyJson } from "./remedies.ts";
import { several } from "./several.ts";
import { type Reading, readTeamDive, readTeamSettings } from "./team_reading.ts";
import * as json from "./teams_json.ts";
import { coverJson, coverWarnings, guidedJson, insteadJson } from "./teams_parts.ts";

const MOST_DIVERS = 30;
const FEW = 16;

/** Answer who dives with whom; `body` is the parsed JSON, one with `dives` for `several`. Throws Problem with every error of the body. */
export function teams(body: Json): Json {
  if (isObject(body) && (body["dives"] ?? null) !== null) return several(body);
  const [question, reading] = readQuestion(body);
  const answer = answered(question);
  const warnings = reading.warnings.map((warning) => ({ ...warning }));
  return { ...answer, warnings: [...warnings, ...(answer["warnings"] as Json[])] };
}

/** The question of a body, and what was noted while reading; throws Problem with every error. */
export function readQuestion(body: Json): [Question, Reading] {
  const errors = new Errors();
  const top = new Fields(errors, body);
  const [reading, on] = readOn(top, readTeamSettings(top));
  const diveFields = top.fields("dive");
  const [demandFields, currentKn] = readDemandFields(diveFields);
  const dive = readTeamDive(diveFields, reading, currentKn);
  const demands = readDemands(demandFields, diveFields, currentKn, dive);
  diveFields.close();
  const policy = readPolicy(top.fieldsOrNull("policy"), reading.unit);
  const items = top.listOfFields("divers", 1, MOST_DIVERS);
  const ids = readPeopleIds(items);
  const waterC = dive.waterC ?? (demands.waterTemp === null ? null : demands.waterTemp / 10);
  const divers = items.map((item) => readTeamDiver(item, reading, waterC));
  const people = items.map((item, at) => readPerson(item, divers[at]!, reading.unit, on));
  const waiting = top.listOfFieldsOrNull("candidates", 0, MOST_DIVERS) ?? [];
  readPeopleIds([...items, ...waiting]);
  const candidates = waiting.map((item): [Diver, Person] => {
    const candidate = readTeamDiver(item, reading, waterC);
    return [candidate, readPerson(item, candidate, reading.unit, on)];
  });
  const asked = readAsked(top, ids);
  if (waiting.length > 0 && !asked.pairability) {
    top.fail("candidates", "not_allowed", "A waiting list goes with find: pairability.");
  }
  top.close();
  errors.raiseIfAny();

  const question: Question = {
    dive,
    demands,
    on,
    policy,
    settings: reading.settings,
    divers,
    people,
    asked,
    weeksBefore: asked.pairability,
    candidates,
  };
  return [question, reading];
}

type Item = Record<string, Json>;

/** The answer to a question once it is read; its warnings but those of the reading. */
export function answered(question: Question): Item {
  const { asked } = question;
  const [physics, pricing] = priced(question);
  const of = pricing.case;
  const day = solve(pricing, undefined, asked.robust);
  const found: Item = {
    status: day.status,
    teams: day.teams.map((team) => json.teamJson(team, pricing, physics)),
    not_placed: notPlaced(question, pricing, day),
    total: json.totalJson(day.total),
    changed: changed(of, day).map(([diver, from, to]) => ({
      diver,
      from: from === null ? null : [...from],
      to: to === null ? null : [...to],
    })),
    divers: [...of.people.values()].map((person) => json.diverJson(person, of)),
    overrides: json.overridesJson(of, day),
    instead_of_three: insteadJson(day, pricing, physics),
    guided_offers: guidedJson(day, pricing),
    surface_cover: coverJson(of),
  };
  if (day.gap !== null) found["gap"] = json.totalJson(day.gap);
  if (day.status === "impossible") found["facts"] = day.facts.map(json.reasonJson);
  if (of.announced.length > 0) found["announced"] = recheck(pricing).map(json.recheckJson);
  if (day.robust !== null) found["robust"] = json.robustJson(day.robust);
  if (asked.alternatives > 0) {
    const others = alternatives(pricing, day, asked.alternatives);
    found["alternatives"] = others.map((other) => json.alternativeJson(other, day, pricing, physics));
  }
  if (asked.dropOuts) found["drop_outs"] = dropOuts(pricing, day).map(json.dropOutJson);
  if (asked.whyNot.length > 0) {
    found["why_not"] = asked.whyNot.map((ids) => json.whyNotJson(whyNot(pricing, ids, day), day));
  }
  if (asked.pairability) found["pairability"] = pairability(question, pricing, day);
  found["policy"] = policyJson(of.policy, of.demands.unit);
  found["sources"] = SOURCES;
  found["warnings"] = [...pairingWarnings(of, asked), ...coverWarnings(of, asked)].map((warning) => ({ ...warning }));
  return found;
}

/**
 * Everybody without a place: the rules against them, the facts behind it, what would give them one. In a large
 * group the facts are given where they are asked for.
 */
function notPlaced(question: Question, pricing: Pricing, day: Day): Item[] {
  const { asked } = question;
  const few = asked.facts ?? question.people.length <= FEW;
  const sought = day.teams.length > 0 || musts(pricing.case).length === 0;
  const facts = new Facts(pricing, day.teams);
  return day.notPlaced.map((one) => {
    const item = json.notPlacedJson(one);
    const why = sought && (few || !pricing.able.includes(one.id)) ? facts.why(one.id) : null;
    if (why !== null) Object.assign(item, json.unplacedJson(why));
    if (asked.remedies && sought && !pricing.out.includes(one.id)) {
      item["remedies"] = remedies(question, pricing, day, one.id, one.reasons).map(remedyJson);
    }
    return item;
  });
}
