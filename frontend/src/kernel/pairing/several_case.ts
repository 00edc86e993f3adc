// The dives of a day with their people as the search sees them, and back. The twin of pairing/several_case.py.

import { leadsToDepth } from "./case.ts";
import type { Candidate } from "./cost.ts";
import { combinations, compareIds, compareLists, sameIds } from "./model.ts";
import { changes, musts } from "./partition.ts";
import type { Pricing } from "./pricing.ts";
import type { Boat, Column, OneDive, Partners, Plan, Several } from "./several.ts";

/** No tier of a whole day adds up to this much. */
const TIER = 10n ** 12n;
const TIERS = 5;
export const ANY_WAVE = -1;

/** A wave of one dive; `id` null where none was asked. See several_case.py. */
export interface DayWave {
  readonly id: string | null;
  readonly room: number;
  readonly boat: number;
  readonly leader: boolean;
  readonly out: readonly string[];
  readonly closed: boolean;
  readonly cover: readonly (readonly [string, string])[];
  readonly lacking: readonly string[];
}

/** `aboard`: divers with a fixed seat; `seats`: what is left for others; `crew`: others with a place on it. */
export interface DayBoat {
  readonly id: string;
  readonly seats: number;
  readonly aboard: readonly string[];
  readonly most: number;
  readonly persons: boolean;
  readonly crew: number;
}

export interface DayDive {
  readonly pricing: Pricing;
  readonly waves: readonly DayWave[];
}

/** `before`: teams of the dive before these, by ids. */
export interface WholeDay {
  readonly names: readonly string[];
  readonly dives: readonly DayDive[];
  readonly boats: readonly DayBoat[];
  readonly partners: Partners;
  readonly priceS: number;
  readonly before: readonly (readonly string[])[];
}

/** Teams, each in its wave or in `ANY_WAVE`, in the order of ids. */
export type Fixed = readonly { readonly ids: readonly string[]; readonly wave: number }[];

/** Tiers, the first the heaviest, as one whole number. */
export function weigh(tiers: readonly number[]): bigint {
  return tiers.reduce((value, tier) => value * TIER + BigInt(tier), 0n);
}

/** The tiers of `weigh`. */
export function tiersOf(value: bigint): number[] {
  const found: number[] = [];
  let left = value;
  for (let tier = 0; tier < TIERS; tier++) {
    found.push(Number(left % TIER));
    left /= TIER;
  }
  return found.reverse();
}

/** One second in the tier of seconds, which moves down one place where changes come first. */
const secondsTier = (day: WholeDay): bigint => (day.dives[0]!.pricing.case.leastChange ? 1n : TIER);

function teamTiers(team: Candidate, pricing: Pricing): number[] {
  const of = pricing.case;
  const count = changes(team.divers, of);
  if (!of.leastChange) return [0, team.overrides, team.safety + team.hidden, team.seconds, count];
  const known = new Set(of.announced.flat());
  const strangers = team.divers.filter((id) => !known.has(id)).length;
  return [0, count + strangers, team.overrides, team.safety + team.hidden, team.seconds];
}

function leftTiers(id: string, day: WholeDay, pricing: Pricing): number[] {
  const of = pricing.case;
  const must = musts(of).some((fact) => fact.divers.includes(id));
  const known = of.announced.some((team) => team.includes(id));
  const many = day.names.length * day.dives.length + 1;
  return [must ? many : 1, 0, 0, 0, known && !of.leastChange ? 1 : 0];
}

/** The day with all teams `among` these divers; the others keep the teams in `kept`, one list a dive. */
export function severalOf(day: WholeDay, among: readonly string[], kept: readonly Fixed[]): Several {
  const place = new Map(day.names.map((id, at) => [id, at]));
  const boats = day.boats.map((boat): Boat => ({ seats: boat.seats, aboard: bitsOf(boat.aboard, place) }));
  return {
    size: day.names.length,
    dives: day.dives.map((dive, at) => oneDive(day, dive, among, kept[at]!, boats, place)),
    boats,
    partners: day.partners,
    price: BigInt(day.priceS) * secondsTier(day),
    before: day.before.map((team) => bitsOf(team.filter((id) => place.has(id)), place)),
  };
}

function bitsOf(ids: readonly string[], place: ReadonlyMap<string, number>): number {
  return ids.reduce((bits, id) => bits | (1 << place.get(id)!), 0);
}

function oneDive(
  day: WholeDay,
  dive: DayDive,
  among: readonly string[],
  kept: Fixed,
  boats: readonly Boat[],
  place: ReadonlyMap<string, number>,
): OneDive {
  const { pricing } = dive;
  const of = pricing.case;
  const regime = of.policy.threes;
  const fixed = [...of.locked, ...of.guided].map((ids) => ({
    ids,
    wave: kept.find((one) => sameIds(one.ids, ids))?.wave ?? ANY_WAVE,
  }));
  const held = [...fixed, ...kept.filter((one) => !fixed.some((other) => sameIds(other.ids, one.ids)))];
  const taken = new Set(held.flatMap((one) => [...one.ids]));
  const able = among.filter((id) => pricing.able.includes(id) && !taken.has(id));
  const free = (regime === "never" ? [2] : [2, 3]).flatMap((size) => combinations(able, size));
  const teams = [...held, ...free.map((ids) => ({ ids, wave: ANY_WAVE }))];
  teams.sort((a, b) => compareLists(a.ids, b.ids, compareIds));
  const rows: Column[][] = day.names.map(() => []);
  for (const { ids, wave: only } of teams) {
    const tried = pricing.tryTeam(ids);
    if (!("candidate" in tried) || !ids.every((id) => pricing.able.includes(id))) continue;
    const bits = bitsOf(ids, place);
    const waves = dive.waves.flatMap((wave, at) => {
      const open = (only === ANY_WAVE || only === at) && !wave.closed;
      const elsewhere = boats.some((boat, other) => other !== wave.boat && (bits & boat.aboard) !== 0);
      return open && !elsewhere && !ids.some((id) => wave.out.includes(id)) ? [at] : [];
    });
    if (waves.length === 0) continue;
    const members = ids.map((id) => place.get(id)!);
    rows[members[0]!]!.push({
      members,
      bits,
      cost: weigh(teamTiers(tried.candidate, pricing)),
      leads: ids.some((id) => leadsToDepth(of.people.get(id)!, of)),
      three: ids.length === 3 && !of.guided.some((group) => sameIds(group, ids)),
      waves,
    });
  }
  const lockedThrees = of.locked.filter((ids) => ids.length === 3).length;
  const most = { never: lockedThrees, only_when_odd: Math.max(1, lockedThrees), free: day.names.length };
  return {
    columns: rows,
    left: day.names.map((id) => weigh(leftTiers(id, day, pricing))),
    free: bitsOf(pricing.able, place),
    threes: most[regime],
    waves: dive.waves.map(({ room, boat, leader }) => ({ room, boat, leader })),
  };
}

/** The price of a team that the search chose. */
export function teamOf(pricing: Pricing, ids: readonly string[]): Candidate {
  const tried = pricing.tryTeam(ids);
  if (!("candidate" in tried)) throw new Error("the search chose a team that is barred");
  return tried.candidate;
}

/** For each dive its teams by ids, each with its wave, in the order of ids. */
export function teamsOf(day: WholeDay, plan: Plan): Fixed[] {
  return plan.map((chosen) =>
    chosen
      .map(({ column, wave }) => ({ ids: column.members.map((one) => day.names[one]!), wave }))
      .sort((a, b) => compareLists(a.ids, b.ids, compareIds)),
  );
}
