// Who dives with whom on one dive: the best teams, why, and why not others. The twin of calculations/teams.py.

import { type Case, RULES, SOURCES, leadsToDepth } from "../pairing/case.ts";
import type { Candidate } from "../pairing/cost.ts";
import { text as dayText } from "../pairing/days.ts";
import { standing } from "../pairing/experience.ts";
import { type Day, type NotPlaced, type Total, type WhyNot, changed, solve, whyNot } from "../pairing/explain.ts";
import type { Person, Reason } from "../pairing/model.ts";
import { refusal } from "../pairing/rules.ts";
import { Pricing } from "../pairing/pricing.ts";
import { tenthsOfMinutesDown } from "../physics/rounding.ts";
import { type Asked, readAsked, readPeopleIds } from "./asked_reading.ts";
import { Errors, Fields, type Json } from "./body.ts";
import { readTeamDiver } from "./diver_reading.ts";
import { readDemandFields, readDemands, readOn, readPerson, readPolicy } from "./pairing_reading.ts";
import { pairingWarnings } from "./pairing_warnings.ts";
import { Physics } from "./team_physics.ts";
import { type Reading, readTeamDive, readTeamSettings } from "./team_reading.ts";

const MOST_DIVERS = 30;

/** Answer who dives with whom; `body` is the parsed JSON. Throws Problem with every error of the body. */
export function teams(body: Json): Json {
  const errors = new Errors();
  const top = new Fields(errors, body);
  const [reading, on] = readOn(top, readTeamSettings(top));
  const diveFields = top.fields("dive");
  const [demandFields, currentKn] = readDemandFields(diveFields);
  const dive = readTeamDive(diveFields, reading, currentKn);
  const demands = readDemands(demandFields, diveFields, currentKn, dive);
  diveFields.close();
  const policy = readPolicy(top.fieldsOrNull("policy"));
  const items = top.listOfFields("divers", 1, MOST_DIVERS);
  const ids = readPeopleIds(items);
  const divers = items.map((item) => readTeamDiver(item, reading));
  const people = items.map((item, at) => readPerson(item, divers[at]!, reading.unit, on));
  const asked = readAsked(top, ids);
  top.close();
  errors.raiseIfAny();

  const without: Case = {
    demands,
    on,
    policy,
    people: new Map(people.map((person) => [person.id, person])),
    standings: new Map(people.map((person) => [person.id, standing(person.experience, demands, on, policy)])),
    overrides: asked.overrides,
    wishes: asked.wishes,
    forbidden: asked.forbidden,
    locked: asked.locked,
    announced: asked.announced,
  };
  const physics = new Physics(dive, divers, reading.settings, without);
  const of: Case = {
    ...without,
    people: new Map(people.map((person) => [person.id, { ...person, gas: physics.alone(person.id) }])),
  };
  const out = asked.outOfWater.filter((id) => of.people.has(id));
  const pricing = new Pricing(of, (team) => physics.team(team), out);
  return answer(of, physics, pricing, solve(pricing), asked, reading);
}

// --- the answer -----------------------------------------------------------------------------------------

type Item = Record<string, Json>;

function answer(of: Case, physics: Physics, pricing: Pricing, day: Day, asked: Asked, reading: Reading): Json {
  const found: Item = {
    status: day.status,
    teams: day.teams.map((team) => teamJson(team, physics)),
    not_placed: day.notPlaced.map(notPlacedJson),
    total: totalJson(day.total),
    changed: changed(of, day).map(([diver, from, to]) => ({
      diver,
      from: from === null ? null : [...from],
      to: to === null ? null : [...to],
    })),
    divers: [...of.people.values()].map((person) => diverJson(person, of)),
    overrides: overridesJson(of, day),
  };
  if (day.gap !== null) found["gap"] = totalJson(day.gap);
  if (day.status === "impossible") found["facts"] = day.facts.map(reasonJson);
  if (asked.whyNot.length > 0) {
    found["why_not"] = asked.whyNot.map((ids) => whyNotJson(whyNot(pricing, ids, day), day));
  }
  found["policy"] = policyJson(of);
  found["sources"] = SOURCES;
  found["warnings"] = [...reading.warnings, ...pairingWarnings(of, asked)].map((warning) => ({ ...warning }));
  return found;
}

function teamJson(team: Candidate, physics: Physics): Json {
  const { gas } = team;
  const reasons = [...team.reasons];
  if (reasons.some((reason) => reason.code === "limit" && reason.seconds > 0)) {
    const remedy = physics.remedy(team.divers);
    if (remedy !== null) reasons.push(remedy);
  }
  return {
    divers: [...team.divers],
    lead: team.lead,
    limit_min: gas.limitS === null ? { not_known: [...gas.notKnown] } : tenthsOfMinutesDown(gas.limitS),
    limited_by: gas.limitedBy,
    limiting_diver: gas.limitingDiver,
    next_limit:
      gas.nextS === null
        ? null
        : { min: tenthsOfMinutesDown(gas.nextS), limited_by: gas.nextBy, diver: gas.nextDiver },
    overrides: team.overrides,
    safety_penalty: team.safety,
    cost_s: team.seconds,
    reasons: reasons.map((reason) => ({
      code: reason.code,
      divers: [...reason.divers],
      safety: reason.safety,
      seconds: reason.seconds,
      message: reason.message,
    })),
  };
}

function reasonJson(reason: Reason): Json {
  const item: Item = { code: reason.code, divers: [...reason.divers], message: reason.message };
  const rule = RULES[reason.code];
  if (rule !== undefined) {
    item["overridable"] = rule.overridable;
    item["source"] = rule.source;
  }
  if (reason.what.length > 0) item[reason.code === "stretches" ? "dimensions" : "missing"] = [...reason.what];
  return item;
}

function notPlacedJson(one: NotPlaced): Json {
  return { id: one.id, reasons: one.reasons.map(reasonJson) };
}

function totalJson(total: Total): Record<string, number> {
  return {
    placed: total.placed,
    overrides: total.overrides,
    safety_penalty: total.safety,
    cost_s: total.seconds,
  };
}

function diverJson(person: Person, of: Case): Json {
  const now = of.standings.get(person.id)!;
  const own = person.gas === null ? null : person.gas.ownS;
  const missing = person.gas === null ? [] : person.gas.notKnown.flatMap(([, what]) => [...what]);
  return {
    id: person.id,
    stretches: now.logKnown ? now.stretches : { not_known: ["experience.done"] },
    dimensions: [...now.dimensions],
    kind: now.kind,
    can_lead: now.practised && leadsToDepth(person, of),
    nearest:
      now.nearest === null
        ? null
        : {
            depth: now.nearest.done.depth / 100,
            on: dayText(now.nearest.done.on),
            lacks: [...now.nearest.lacks],
          },
    own_limit_min: own === null ? { not_known: [...new Set(missing)] } : tenthsOfMinutesDown(own),
  };
}

function overridesJson(of: Case, day: Day): Json {
  const used = day.teams.flatMap((team) => team.reasons.filter((reason) => reason.code === "override"));
  return of.overrides.map((one) => ({
    ...one,
    used:
      refusal(one, of) === null &&
      used.some((reason) => reason.what.includes(one.rule) && reason.divers.includes(one.diver)),
  }));
}

function whyNotJson(found: WhyNot, day: Day): Json {
  const item: Item = { divers: [...found.divers], chosen: found.chosen };
  if (found.chosen) return item;
  if (found.team === null || found.day === null) return { ...item, rules: found.rules.map(reasonJson) };
  const other = totalJson(found.day.total);
  const now = totalJson(day.total);
  const { team } = found;
  return {
    ...item,
    team: {
      lead: team.lead,
      limit_min: team.gas.limitS === null ? null : tenthsOfMinutesDown(team.gas.limitS),
      overrides: team.overrides,
      safety_penalty: team.safety,
      cost_s: team.seconds,
    },
    day: {
      ...other,
      teams: found.day.teams.map((one) => [...one.divers]),
      not_placed: found.day.notPlaced.map((one) => one.id),
    },
    more: Object.fromEntries(Object.entries(other).map(([name, value]) => [name, value - now[name]!])),
  };
}

function policyJson(of: Case): Json {
  const { policy } = of;
  return {
    threes: policy.threes,
    leader_needed: policy.leaderNeeded,
    stretches_allowed: policy.stretchesAllowed,
    lay_off_days: policy.layOffDays,
    visibility_class_edges_m: policy.visibilityEdges.map((edge) => edge / 100),
    visibility_tolerance_classes: policy.visibilityTolerance,
    current_tolerance_kn: policy.currentTolerance / 1000,
    water_temp_tolerance_c: policy.waterTempTolerance / 10,
    freshness_months: [...policy.freshMonths],
    covered_weight: policy.coveredWeight,
    lead_weight: policy.leadWeight,
    wish_s: policy.wishS,
  };
}
