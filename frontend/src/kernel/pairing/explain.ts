// Why these teams, why not others: the whole question solved, and its answer as data. The twin of pairing/explain.py.

import { type Robust, mostRobust, nextBest } from "./alternatives.ts";
import { type Case, leadsToDepth } from "./case.ts";
import type { Candidate } from "./cost.ts";
import { type DropOut, without } from "./drop_outs.ts";
import { MOST_IN_TEAM, impossible, outOfWater } from "./facts.ts";
import { type Reason, compareIds, depthText, listed, reasonOf, sameIds, sameReason, sortedIds } from "./model.ts";
import { best } from "./optimise.ts";
import { type Found, type Search, find, musts } from "./partition.ts";
import { Pricing } from "./pricing.ts";

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
  readonly robust: Robust | null;
}

/** `rules` bar the team; otherwise `team` is its price and `day` the best day with it. */
export interface WhyNot {
  readonly divers: readonly string[];
  readonly chosen: boolean;
  readonly rules: readonly Reason[];
  readonly team: Candidate | null;
  readonly day: Day | null;
}

/**
 * The best day. Divers named in a must-be-together wish or a locked team have to be placed. `robust`: of equally
 * good days the one that a drop-out disturbs least, not the first in the order of ids.
 */
export function solve(pricing: Pricing, search: Search = best, robust = false): Day {
  const needed = musts(pricing.case);
  if (robust) {
    const chosen = mostRobust(pricing, needed, search);
    if (chosen !== null) return { ...dayOf(pricing, chosen.found), robust: chosen };
  }
  const found = find(pricing, needed, search);
  if (found !== null && found.teams.length > 0) return dayOf(pricing, found);
  const out = allOut(pricing);
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
    robust: null,
  };
}

/** Why a diver whom no rule bars has no team on a day without any. */
function nobodyPlaced(pricing: Pricing, id: string, needed: readonly Reason[]): Reason[] {
  if (needed.length === 0) return noPlace(pricing, id, []);
  const text = `${id} could dive, but what has to hold on this dive cannot hold: see the facts.`;
  return [reasonOf("must_cannot_hold", [id], text)];
}

const byId = (some: readonly NotPlaced[]): NotPlaced[] => [...some].sort((a, b) => compareIds(a.id, b.id));

/** The teams found as a day, with everybody who has no place and why. */
export function dayOf(pricing: Pricing, found: Found): Day {
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
        safety: Math.min(total.safety, total.safety + sum((team) => team.hidden) - atLeast[2]!),
        seconds: total.seconds - atLeast[3]!,
      };
  const notPlaced = allOut(pricing);
  for (const [id, reasons] of pricing.barred) {
    if (reasons.length > 0) notPlaced.push({ id, reasons });
    else if (found.left.includes(id)) notPlaced.push({ id, reasons: noPlace(pricing, id, teams) });
  }
  const status = found.proven ? "optimal" : "feasible";
  return { status, teams, notPlaced: byId(notPlaced), total, gap, facts: [], robust: null };
}

function allOut(pricing: Pricing): NotPlaced[] {
  return pricing.out.map((id) => ({
    id,
    reasons: [outOfWater(id, pricing.case)],
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

/** The rule that bars this team, or its price and that of the best day in which it dives. */
export function whyNot(pricing: Pricing, ids: readonly string[], day: Day, search: Search = best): WhyNot {
  const of = pricing.case;
  const key = sortedIds(ids);
  const chosen = day.teams.find((team) => sameIds(team.divers, key));
  if (chosen !== undefined) return { divers: key, chosen: true, rules: [], team: chosen, day };
  const rules = rulesAgainst(pricing, key);
  const tried = pricing.tryTeam(key);
  if (rules.length > 0 || !("candidate" in tried)) return { divers: key, chosen: false, rules, team: null, day: null };
  const held = new Pricing({ ...of, locked: [...of.locked, key] }, pricing.gasOf, pricing.out);
  const withIt = solve(held, search);
  const { facts } = withIt;
  return { divers: key, chosen: false, rules: facts, team: tried.candidate, day: facts.length > 0 ? null : withIt };
}

/** The next best days, best first; fewer where there are no more. */
export function alternatives(pricing: Pricing, day: Day, count: number, search: Search = best): Day[] {
  if (day.teams.length === 0) return [];
  const found = nextBest(pricing, musts(pricing.case), search, count, foundOf(pricing, day));
  return found.map((one) => dayOf(pricing, one));
}

/** For each diver who has a place, in the order of ids: the day without them. */
export function dropOuts(pricing: Pricing, day: Day, search: Search = best): DropOut[] {
  const placed = sortedIds(day.teams.flatMap((team) => team.divers));
  return placed.map((id) => without(pricing, foundOf(pricing, day), id, search));
}

function foundOf(pricing: Pricing, day: Day): Found {
  const placed = new Set(day.teams.flatMap((team) => team.divers));
  const left = pricing.able.filter((id) => !placed.has(id));
  return { teams: day.teams, left, proven: day.status === "optimal", atLeast: [] };
}

/** An announced team held against the dive as it is now: it stands at this price, or these `rules` bar it. */
export interface Recheck {
  readonly divers: readonly string[];
  readonly rules: readonly Reason[];
  readonly team: Candidate | null;
}

/** Each announced team, in the order announced. */
export function recheck(pricing: Pricing): Recheck[] {
  return pricing.case.announced.map((ids) => recheckOne(pricing, sortedIds(ids)));
}

function recheckOne(pricing: Pricing, ids: readonly string[]): Recheck {
  const strangers = ids.filter((id) => !pricing.case.people.has(id));
  const guided = pricing.case.guided.some((team) => sameIds(team, ids));
  if (strangers.length > 0 || ids.length < 2 || (ids.length > MOST_IN_TEAM && !guided)) {
    const rules = strangers.map((id) => reasonOf("not_on_dive", [id], `${id} is not on this dive.`));
    const size = reasonOf("team_size", ids, "A team is two or three divers.");
    return { divers: ids, rules: rules.length > 0 ? rules : [size], team: null };
  }
  const rules = rulesAgainst(pricing, ids);
  const tried = pricing.tryTeam(ids);
  return { divers: ids, rules, team: "candidate" in tried && rules.length === 0 ? tried.candidate : null };
}

function rulesAgainst(pricing: Pricing, ids: readonly string[]): Reason[] {
  const rules = pricing.out.filter((id) => ids.includes(id)).map((id) => outOfWater(id, pricing.case));
  for (const id of ids) rules.push(...(pricing.barred.get(id) ?? []));
  const tried = pricing.tryTeam(ids);
  return "candidate" in tried ? rules : [...rules, ...tried.barring];
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
