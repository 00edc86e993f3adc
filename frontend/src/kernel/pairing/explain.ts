// Why these teams, why not others: the whole question solved, and its answer as data. The twin of pairing/explain.py.

import { type Candidate, price } from "./cost.ts";
import { type Person, type Reason, type Regime, type TeamGas, combinations, compareIds, compareLists } from "./model.ts";
import { depthText, listed, reasonOf, sameReason, sortedIds } from "./model.ts";
import { type Answer, type Group, type Team, best } from "./optimise.ts";
import { standingReasons } from "./rules.ts";
import { personal } from "./rules_diver.ts";
import { teamGas, together } from "./rules_team.ts";
import { type Case, leadsToDepth } from "./case.ts";

const MOST_IN_TEAM = 3;
const OF_A_PAIR: readonly string[] = ["two_stretched", "wish_apart"];

export type GasOf = (ids: readonly string[]) => TeamGas;
export type Search = (
  group: Group,
  pairs: readonly Team[],
  threes: () => readonly Team[],
  regime: Regime,
) => Answer | null;

export interface NotPlaced {
  readonly id: string;
  readonly reasons: readonly Reason[];
}

export interface Total {
  readonly placed: number;
  readonly overrides: number;
  readonly safety: number;
  readonly seconds: number;
}

/** `status` optimal, feasible (with `gap`) or impossible (with `facts`, none of which can be spared). */
export interface Day {
  readonly status: "optimal" | "feasible" | "impossible";
  readonly teams: readonly Candidate[];
  readonly notPlaced: readonly NotPlaced[];
  readonly total: Total;
  readonly gap: Total | null;
  readonly facts: readonly Reason[];
}

/** `rules` bar the team; otherwise `team` is its price and `day` the best day with it. */
export interface WhyNot {
  readonly divers: readonly string[];
  readonly chosen: boolean;
  readonly rules: readonly Reason[];
  readonly team: Candidate | null;
  readonly day: Day | null;
}

type Tried = { readonly candidate: Candidate } | { readonly barring: readonly Reason[] };

/** Every team tried once: its standing reasons, or its price. */
export class Pricing {
  readonly case: Case;
  readonly gasOf: GasOf;
  readonly out: readonly string[];
  readonly barred = new Map<string, readonly Reason[]>();
  readonly able: readonly string[];
  private readonly kept = new Map<string, Tried>();

  constructor(of: Case, gasOf: GasOf, out: readonly string[]) {
    this.case = of;
    this.gasOf = gasOf;
    this.out = out;
    for (const [id, person] of of.people) {
      if (!out.includes(id)) this.barred.set(id, standingReasons(personal(person, of), of));
    }
    this.able = sortedIds([...this.barred].filter(([, reasons]) => reasons.length === 0).map(([id]) => id));
  }

  members(ids: readonly string[]): Person[] {
    return sortedIds(ids).map((id) => this.case.people.get(id)!);
  }

  /** The priced team, or the reasons that no override lifts (of the team; not of its divers). */
  tryTeam(ids: readonly string[]): Tried {
    const key = sortedIds(ids);
    const name = JSON.stringify(key);
    let tried = this.kept.get(name);
    if (tried === undefined) {
      tried = this.tryNew(key);
      this.kept.set(name, tried);
    }
    return tried;
  }

  private tryNew(key: readonly string[]): Tried {
    const team = this.members(key);
    const reasons = standingReasons(together(team, this.case), this.case);
    if (reasons.length > 0) return { barring: reasons };
    const gas = this.gasOf(key);
    const short = standingReasons(teamGas(gas), this.case);
    return short.length > 0 ? { barring: short } : { candidate: price(team, gas, this.case) };
  }

  /** Priced teams of that size, in the order of ids. */
  permitted(among: readonly string[], size: number): Candidate[] {
    const found: Candidate[] = [];
    for (const ids of combinations(among, size)) {
      const tried = this.tryTeam(ids);
      if ("candidate" in tried) found.push(tried.candidate);
    }
    return found;
  }
}

interface Found {
  readonly teams: readonly Candidate[];
  readonly left: readonly string[];
  readonly proven: boolean;
  readonly atLeast: readonly number[];
}

/** The best day. Divers named in a must-be-together wish or a locked team have to be placed. */
export function solve(pricing: Pricing, search: Search = best): Day {
  const needed = musts(pricing.case);
  const found = find(pricing, needed, search);
  if (found !== null && found.teams.length > 0) return dayOf(pricing, found);
  const out = outOfWater(pricing);
  for (const [id, reasons] of pricing.barred) {
    out.push({ id, reasons: reasons.length > 0 ? reasons : nobodyPlaced(pricing, id, needed) });
  }
  return {
    status: "impossible",
    teams: [],
    notPlaced: byId(out),
    total: { placed: 0, overrides: 0, safety: 0, seconds: 0 },
    gap: null,
    facts: impossible(pricing, needed),
  };
}

/** Why a diver whom no rule bars has no team on a day without any. */
function nobodyPlaced(pricing: Pricing, id: string, needed: readonly Reason[]): Reason[] {
  if (needed.length === 0) return noPlace(pricing, id, []);
  const text = `${id} could dive, but what has to hold on this dive cannot hold: see the facts.`;
  return [reasonOf("must_cannot_hold", [id], text)];
}

const byId = (some: readonly NotPlaced[]): NotPlaced[] => [...some].sort((a, b) => compareIds(a.id, b.id));

/** The best teams, or null when a must cannot hold. Locked teams are set aside and the rest is searched. */
function find(pricing: Pricing, needed: readonly Reason[], search: Search): Found | null {
  const of = pricing.case;
  const fixed: Candidate[] = [];
  for (const ids of of.locked) {
    const tried = pricing.tryTeam(ids);
    if (!("candidate" in tried) || !ids.every((id) => pricing.able.includes(id))) return null;
    fixed.push(tried.candidate);
  }
  const wanted = new Set(needed.flatMap((fact) => fact.divers));
  if (![...wanted].every((id) => pricing.able.includes(id))) return null;
  const held = new Set(fixed.flatMap((team) => team.divers));
  const able = pricing.able.filter((id) => !held.has(id));
  let regime = of.policy.threes;
  if (regime === "only_when_odd" && fixed.some((team) => team.divers.length === 3)) regime = "never";
  const known = new Set(of.announced.flat());
  const group: Group = {
    size: able.length,
    must: able.map((id) => wanted.has(id)),
    moved: able.map((id) => (known.has(id) ? 1 : 0)),
  };
  const byMembers = new Map<string, Candidate>();
  const permitted = (size: number): Team[] =>
    pricing.permitted(able, size).map((one) => {
      const members = one.divers.map((id) => able.indexOf(id));
      byMembers.set(members.join(), one);
      return {
        members,
        overrides: one.overrides,
        safety: one.safety,
        seconds: one.seconds,
        changes: one.changes,
      };
    });
  const answer = search(group, permitted(2), () => permitted(3), regime);
  if (answer === null) return null;
  const teams = [...fixed, ...answer.teams.map((team) => byMembers.get(team.members.join())!)];
  const own = fixed.map((team) => [0, team.overrides, team.safety, team.seconds, team.changes]);
  return {
    teams: teams.sort((a, b) => compareLists(a.divers, b.divers, compareIds)),
    left: answer.notPlaced.map((at) => able[at]!),
    proven: answer.proven,
    atLeast: answer.atLeast.map((tier, at) => own.reduce((sum, row) => sum + row[at]!, tier)),
  };
}

/** What has to hold: locked teams and must-be-together wishes, as facts. */
export function musts(of: Case): Reason[] {
  const found = of.locked.map((fixed) => reasonOf("locked", fixed, `The team ${listed(fixed)} is fixed.`));
  for (const wish of of.wishes) {
    if (wish.kind === "together" && wish.strength === "must") {
      found.push(reasonOf("wish_together", wish.divers, `${listed(wish.divers)} are to dive together.`));
    }
  }
  return found;
}

function dayOf(pricing: Pricing, found: Found): Day {
  const { teams, atLeast } = found;
  const sum = (count: (team: Candidate) => number): number => teams.reduce((all, team) => all + count(team), 0);
  const total: Total = {
    placed: sum((team) => team.divers.length),
    overrides: sum((team) => team.overrides),
    safety: sum((team) => team.safety),
    seconds: sum((team) => team.seconds),
  };
  const gap: Total | null = found.proven
    ? null
    : {
        placed: pricing.able.length - atLeast[0]! - total.placed,
        overrides: total.overrides - atLeast[1]!,
        safety: total.safety - atLeast[2]!,
        seconds: total.seconds - atLeast[3]!,
      };
  const notPlaced = outOfWater(pricing);
  for (const [id, reasons] of pricing.barred) {
    if (reasons.length > 0) notPlaced.push({ id, reasons });
    else if (found.left.includes(id)) notPlaced.push({ id, reasons: noPlace(pricing, id, teams) });
  }
  const status = found.proven ? "optimal" : "feasible";
  return { status, teams, notPlaced: byId(notPlaced), total, gap, facts: [] };
}

function outOfWater(pricing: Pricing): NotPlaced[] {
  return pricing.out.map((id) => ({
    id,
    reasons: [reasonOf("out_of_water", [id], `${id} stays out of the water on this dive.`)],
  }));
}

/** Why a diver whom no rule bars has no team: nobody to dive with, or all of those are taken. */
function noPlace(pricing: Pricing, id: string, teams: readonly Candidate[]): Reason[] {
  const of = pricing.case;
  const mates: string[] = [];
  const rules: Reason[] = [];
  for (const other of pricing.able) {
    if (other === id) continue;
    const tried = pricing.tryTeam([id, other]);
    if ("candidate" in tried) mates.push(other);
    else rules.push(...tried.barring);
  }
  if (mates.length > 0) {
    const planned = depthText(of.demands.depth, of.demands.unit);
    const practised = of.standings.get(id)!.practised && leadsToDepth(of.people.get(id)!, of);
    const wanted = practised
      ? `One more diver for ${id} would make a team; until then ${id} could hold the deck.`
      : `One more leader to ${planned} with practice of this dive would place ${id}.`;
    const taken = teams.filter((team) => team.divers.some((mate) => mates.includes(mate)));
    const said = taken.map((team) => listed(team.divers)).join("; ");
    const text =
      taken.length > 0
        ? `${id} could dive with ${listed(mates)}, who are placed (${said}). ${wanted}`
        : `${id} could dive with ${listed(mates)}, who have no place either: one more would make a team.`;
    return [reasonOf("no_place_left", [id, ...mates], text)];
  }
  const text = rules.length > 0 ? `No pair with ${id} is permitted.` : `There is nobody to dive with ${id}.`;
  return [reasonOf("no_team_mate", [id], text), ...eachOnce(rules)];
}

function eachOnce(reasons: readonly Reason[]): Reason[] {
  const kept: Reason[] = [];
  for (const reason of reasons) if (!kept.some((one) => sameReason(one, reason))) kept.push(reason);
  return kept;
}

// --- impossible -----------------------------------------------------------------------------------------

/** Facts that together leave no answer, and of which none can be spared: drop any one and there is one. */
function impossible(pricing: Pricing, needed: readonly Reason[]): Reason[] {
  if (needed.length === 0) return noTeam(pricing, [], false);
  let kept = [...needed];
  for (const fact of needed) {
    const fewer = kept.filter((one) => one !== fact);
    if (fewer.length > 0 && !canHold(pricing, fewer)) kept = fewer;
  }
  if (kept.length > 1) return kept;
  const group = kept[0]!.divers;
  if (group.length > MOST_IN_TEAM) return [...kept, reasonOf("threes", group, "A team is two or three divers.")];
  return [...kept, ...noTeam(pricing, group, kept[0]!.code === "locked")];
}

/** Whether these musts alone, with every rule in force, leave an answer. */
function canHold(pricing: Pricing, facts: readonly Reason[]): boolean {
  const fewer = new Pricing(withMusts(pricing.case, facts), pricing.gasOf, pricing.out);
  return find(fewer, facts, best) !== null;
}

const sameIds = (a: readonly string[], b: readonly string[]): boolean =>
  a.length === b.length && a.every((id, at) => id === b[at]);

function withMusts(of: Case, facts: readonly Reason[]): Case {
  const wished = facts.filter((fact) => fact.code === "wish_together");
  return {
    ...of,
    locked: facts.filter((fact) => fact.code === "locked").map((fact) => fact.divers),
    wishes: of.wishes.filter(
      (wish) =>
        wish.kind !== "together" ||
        wish.strength !== "must" ||
        wished.some((fact) => sameIds(fact.divers, wish.divers)),
    ),
  };
}

/** An irreducible set of facts that bars every team that holds `group` (or is exactly it). */
function noTeam(pricing: Pricing, group: readonly string[], exactly: boolean): Reason[] {
  const of = withMusts(
    pricing.case,
    musts(pricing.case).filter((fact) => exactly && sameIds(fact.divers, group)),
  );
  const own = new Map(pricing.barred);
  for (const one of outOfWater(pricing)) own.set(one.id, one.reasons);
  const names = sortedIds(of.people.keys());
  const sizes = of.policy.threes === "never" ? [2] : [2, 3];
  const teams = exactly
    ? [sortedIds(group)]
    : sizes.flatMap((size) => combinations(names, size).filter((ids) => group.every((id) => ids.includes(id))));
  const facts: Reason[] = names.flatMap((id) => [...own.get(id)!]);
  if (teams.length === 0) return [...facts, reasonOf("no_team_mate", names, "One diver is no team.")];
  const place = new Map<string, number>();
  facts.forEach((fact, at) => place.set(JSON.stringify(fact), at));
  const lists = teams.map((ids) => {
    let barring = ids.flatMap((id) => [...own.get(id)!]);
    barring = [...barring, ...barringOf(pricing, ids, of)];
    if (barring.length === 0) barring = standingReasons(teamGas(pricing.gasOf(ids)), of);
    return barring.map((reason) => {
      const key = JSON.stringify(reason);
      if (!place.has(key)) {
        place.set(key, facts.length);
        facts.push(reason);
      }
      return place.get(key)!;
    });
  });
  // Facts about teams are let go first, so that what stays is about people, whom a leader can ask.
  const kept = facts.map(() => true);
  const left = lists.map((one) => one.length);
  const holding: number[][] = facts.map(() => []);
  lists.forEach((one, at) => one.forEach((fact) => holding[fact]!.push(at)));
  for (let fact = facts.length - 1; fact >= 0; fact--) {
    if (!holding[fact]!.every((at) => left[at]! > 1)) continue;
    kept[fact] = false;
    for (const at of holding[fact]!) left[at] = left[at]! - 1;
  }
  return facts.filter((_, at) => kept[at]);
}

/** What bars a team as such. A pair that may not dive together bars every three that holds it: one fact. */
function barringOf(pricing: Pricing, ids: readonly string[], of: Case): Reason[] {
  const found = standingReasons(together(pricing.members(ids), of), of);
  if (ids.length < MOST_IN_TEAM) return found;
  const kept = found.filter((reason) => !OF_A_PAIR.includes(reason.code));
  for (const pair of combinations(ids, 2)) {
    const ofPair = standingReasons(together(pricing.members(pair), of), of);
    kept.push(...ofPair.filter((reason) => OF_A_PAIR.includes(reason.code)));
  }
  return kept;
}

// --- why not --------------------------------------------------------------------------------------------

/** The rule that bars this team, or its price and that of the best day in which it dives. */
export function whyNot(pricing: Pricing, ids: readonly string[], day: Day, search: Search = best): WhyNot {
  const of = pricing.case;
  const key = sortedIds(ids);
  const chosen = day.teams.find((team) => sameIds(team.divers, key));
  if (chosen !== undefined) return { divers: key, chosen: true, rules: [], team: chosen, day };
  const rules: Reason[] = outOfWater(pricing)
    .filter((one) => key.includes(one.id))
    .flatMap((one) => one.reasons);
  for (const id of key) rules.push(...(pricing.barred.get(id) ?? []));
  const tried = pricing.tryTeam(key);
  if (!("candidate" in tried)) return { divers: key, chosen: false, rules: [...rules, ...tried.barring], team: null, day: null };
  if (rules.length > 0) return { divers: key, chosen: false, rules, team: null, day: null };
  const held = new Pricing({ ...of, locked: [...of.locked, key] }, pricing.gasOf, pricing.out);
  const withIt = solve(held, search);
  const { facts } = withIt;
  return { divers: key, chosen: false, rules: facts, team: tried.candidate, day: facts.length > 0 ? null : withIt };
}

/** Every diver whose team differs from the one announced: who, from, to (null: no team). */
export function changed(
  of: Case,
  day: Day,
): [string, readonly string[] | null, readonly string[] | null][] {
  if (of.announced.length === 0) return [];
  const before = new Map<string, readonly string[]>();
  const after = new Map<string, readonly string[]>();
  for (const team of of.announced) for (const id of team) before.set(id, sortedIds(team));
  for (const team of day.teams) for (const id of team.divers) after.set(id, team.divers);
  const found: [string, readonly string[] | null, readonly string[] | null][] = [];
  for (const id of sortedIds(new Set([...before.keys(), ...after.keys()]))) {
    const was = before.get(id) ?? null;
    const is = after.get(id) ?? null;
    if (was === null || is === null ? was !== is : !sameIds(was, is)) found.push([id, was, is]);
  }
  return found;
}
