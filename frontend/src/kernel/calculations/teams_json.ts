// Days, teams, reasons and people as the answer of `teams` writes them. The twin of calculations/teams_json.py.

import type { Robust } from "../pairing/alternatives.ts";
import { type Case, RULES, leadsToDepth } from "../pairing/case.ts";
import type { Candidate } from "../pairing/cost.ts";
import { text as dayText } from "../pairing/days.ts";
import type { DropOut } from "../pairing/drop_outs.ts";
import type { Day, NotPlaced, Recheck, Total, WhyNot } from "../pairing/explain.ts";
import { type Person, type Reason, compareLists, listed, sameIds, sortedIds } from "../pairing/model.ts";
import type { Pricing } from "../pairing/pricing.ts";
import type { Unplaced } from "../pairing/unplaced.ts";
import { refusal } from "../pairing/rules.ts";
import { tenthsOfMinutesDown } from "../physics/rounding.ts";
import type { Json } from "./body.ts";
import type { Physics } from "./team_physics.ts";
import { kindOf, proposalJson, threeJson } from "./teams_parts.ts";

type Item = Record<string, Json>;

// Rules whose `what` names dimensions of the dive, not facts that are missing.
const DIMENSIONED: readonly string[] = ["stretches", "deep_and_task"];

export function teamJson(team: Candidate, pricing: Pricing, physics: Physics): Json {
  const { gas } = team;
  const reasons = [...team.reasons];
  if (reasons.some((reason) => reason.code === "limit" && reason.seconds > 0)) {
    const remedy = physics.remedy(team.divers);
    if (remedy !== null) reasons.push(remedy);
  }
  return {
    divers: [...team.divers],
    kind: kindOf(team, pricing.case),
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
    ...threeJson(team, pricing),
  };
}

export function reasonJson(reason: Reason): Json {
  const item: Item = { code: reason.code, divers: [...reason.divers], message: reason.message };
  const rule = RULES[reason.code];
  if (rule !== undefined) {
    item["overridable"] = rule.overridable;
    item["source"] = rule.source;
  }
  if (reason.what.length > 0) item[DIMENSIONED.includes(reason.code) ? "dimensions" : "missing"] = [...reason.what];
  return item;
}

export function notPlacedJson(one: NotPlaced): Item {
  return { id: one.id, reasons: one.reasons.map(reasonJson) };
}

export function unplacedJson(why: Unplaced): Item {
  return {
    facts: why.facts.map((fact) => ({ code: fact.code, divers: [...fact.divers], message: fact.message })),
    irreducible: why.irreducible,
    message: why.message,
  };
}

export function totalJson(total: Total): Record<string, number> {
  return {
    placed: total.placed,
    overrides: total.overrides,
    safety_penalty: total.safety,
    cost_s: total.seconds,
  };
}

export function diverJson(person: Person, of: Case): Json {
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
    proposal: proposalJson(person, of),
    own_limit_min: own === null ? { not_known: [...new Set(missing)] } : tenthsOfMinutesDown(own),
  };
}

export function overridesJson(of: Case, day: Day): Json {
  const used = day.teams.flatMap((team) => team.reasons.filter((reason) => reason.code === "override"));
  return of.overrides.map((one) => ({
    ...one,
    used:
      refusal(one, of) === null &&
      used.some((reason) => reason.what.includes(one.rule) && reason.divers.includes(one.diver)),
  }));
}

export function whyNotJson(found: WhyNot, day: Day): Json {
  const item: Item = { divers: [...found.divers], chosen: found.chosen };
  if (found.chosen) return item;
  if (found.team === null || found.day === null) return { ...item, rules: found.rules.map(reasonJson) };
  const now = totalJson(day.total);
  const asFound = totalJson(found.day.total);
  // A day that a private wish alone speaks against is said to be as good, not better: who asked is nobody's business.
  const other = hiddenIn(found.day) > hiddenIn(day) && compareWorth(asFound, now) < 0 ? now : asFound;
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

const hiddenIn = (day: Day): number => day.teams.reduce((all, team) => all + team.hidden, 0);

function compareWorth(a: Record<string, number>, b: Record<string, number>): number {
  const worth = (total: Record<string, number>): number[] => [
    -total["placed"]!,
    total["overrides"]!,
    total["safety_penalty"]!,
    total["cost_s"]!,
  ];
  return compareLists(worth(a), worth(b), (x, y) => x - y);
}

export function recheckJson(one: Recheck): Json {
  const names = listed(one.divers);
  if (one.team === null) {
    // What bars a diver is said alone: what bars the team mostly follows from it.
    const own = one.rules.filter((reason) => reason.divers.length === 1);
    const said = (own.length > 0 ? own : one.rules).map((reason) => reason.message).join(" ");
    return {
      divers: [...one.divers],
      stands: false,
      rules: one.rules.map(reasonJson),
      message: `${names} do not stand: ${said}`,
    };
  }
  const limit = one.team.gas.limitS === null ? null : tenthsOfMinutesDown(one.team.gas.limitS);
  const said = limit === null ? "no limit is known" : `${Math.floor(limit)} min`;
  return {
    divers: [...one.divers],
    stands: true,
    limit_min: limit,
    lead: one.team.lead,
    message: `${names} stand: ${said}.`,
  };
}

export function robustJson(robust: Robust): Json {
  return {
    days_compared: robust.compared,
    all_equal_days_compared: robust.allCompared,
    most_changed: robust.worst,
    changed_in_all: robust.total,
  };
}

export function dropOutJson(one: DropOut): Json {
  return {
    diver: one.diver,
    loses: [...one.loses],
    gains: [...one.gains],
    teams: one.teams.map((team) => [...team]),
    teams_changed: one.teams.length,
    changed: [...one.moved],
    message: one.message,
  };
}

type Gain = { diver: string; min: number };

/** A day beside the best: what it costs more, and whose time under water is better and worse. */
export function alternativeJson(other: Day, day: Day, pricing: Pricing, physics: Physics): Json {
  const total = totalJson(other.total);
  const now = totalJson(day.total);
  const before = minutesOf(day);
  const after = minutesOf(other);
  const better: Gain[] = [];
  const worse: Gain[] = [];
  for (const diver of sortedIds(new Set([...before.keys(), ...after.keys()]))) {
    const gain = (after.get(diver) ?? 0) - (before.get(diver) ?? 0);
    if (gain !== 0) (gain > 0 ? better : worse).push({ diver, min: Math.abs(gain) });
  }
  return {
    status: other.status,
    teams: other.teams.map((team) => teamJson(team, pricing, physics)),
    not_placed: other.notPlaced.map((one) => one.id),
    total,
    more: Object.fromEntries(Object.entries(total).map(([name, value]) => [name, value - now[name]!])),
    other_teams: otherTeams(other, day).map((team) => [...team.divers]),
    better,
    worse,
    message: compared(other, day, better, worse),
  };
}

const otherTeams = (other: Day, day: Day): Candidate[] =>
  other.teams.filter((team) => !day.teams.some((one) => sameIds(one.divers, team.divers)));

/** Whole minutes of each diver who has a place and whose limit is known. */
function minutesOf(day: Day): Map<string, number> {
  const found = new Map<string, number>();
  for (const { divers, gas } of day.teams) {
    if (gas.limitS !== null) for (const id of divers) found.set(id, Math.floor(gas.limitS / 60));
  }
  return found;
}

function compared(other: Day, day: Day, better: readonly Gain[], worse: readonly Gain[]): string {
  const teams = otherTeams(other, day).map((team) => listed(team.divers)).join("; ");
  const parts = [teams ? `${teams} instead.` : "One team fewer."];
  const fewer = day.total.placed - other.total.placed;
  if (fewer !== 0) parts.push(`${fewer} fewer placed.`);
  const more = other.total.overrides - day.total.overrides;
  if (more > 0) parts.push(more > 1 ? `${more} more rules set aside.` : "One more rule set aside.");
  if (other.total.safety !== day.total.safety) {
    parts.push(`${other.total.safety > day.total.safety ? "Less" : "More"} margin for those who take a step.`);
  }
  for (const [word, some] of [["longer", better], ["shorter", worse]] as const) {
    if (some.length > 0) parts.push(`${some.map((one) => `${one.diver} ${one.min} min ${word}`).join("; ")}.`);
  }
  if (parts.length === 1) parts.push("The same otherwise.");
  return parts.join(" ");
}
