// What a team of three costs at least, before anybody asks the physics. The twin of pairing/floors.py.

import { type Case, leadsToDepth, standingOf } from "./case.ts";
import { ALL_AT_EDGE, ALL_AWAY, type Candidate, NO_HELPER, beside, helps, longAway } from "./cost.ts";
import { ownMinutes, ownSafety } from "./cost.ts";
import { AT_EDGE, AWAY, CHARGED, FREE, HELPS, LEADS, NOT_KNOWN, NO_LIMIT, PRACTISED, STRETCHED } from "./group.ts";
import { type Floors, type Team, type Threes, threesFrom } from "./group.ts";
import type { Person } from "./model.ts";
import type { Pricing } from "./pricing.ts";
import { inChargeOfAnother, threeVisibility } from "./rules_team.ts";

/** The threes among `able`, in the order of ids; `made` turns a priced three into a team of positions. */
export function threesOf(
  pricing: Pricing,
  able: readonly string[],
  made: (one: Candidate) => Team | null,
): Threes {
  const price = (members: readonly number[]): Team | null => {
    const tried = pricing.tryTeam(members.map((at) => able[at]!));
    return "candidate" in tried ? made(tried.candidate) : null;
  };
  return threesFrom(() => floors(pricing, able), price);
}

export function floors(pricing: Pricing, able: readonly string[]): Floors {
  const of = pricing.case;
  const people = able.map((id) => of.people.get(id)!);
  const limit = able.map(() => new Array<number>(able.length).fill(NO_LIMIT));
  for (let i = 0; i < able.length; i++) {
    for (let j = i + 1; j < able.length; j++) {
      const pair = pricing.tryTeam([able[i]!, able[j]!]);
      if (!("candidate" in pair) || pair.candidate.gas.limitS === null) continue;
      limit[i]![j] = limit[j]![i] = Math.floor(pair.candidate.gas.limitS / 60);
    }
  }
  const threes = of.announced.filter((one) => one.length === 3 && one.every((id) => able.includes(id)));
  const known = new Set(of.announced.flat());
  return {
    own: people.map((person) => ownMinutes(person, of) ?? 0),
    limit,
    safety: people.map((person) => ownSafety(person, of)),
    beside: people.map((lead) => people.map((person) => beside(lead, person, of))),
    rank: people.map((person) => rankOf(person, of)),
    prices: [NO_HELPER, ALL_AT_EDGE, ALL_AWAY],
    bits: people.map((person) => bitsOf(person, of)),
    announced: of.announced.length === 0 ? null : new Set(threes.map((one) => placesOf(one, able))),
    strangers: of.leastChange ? able.map((id) => (known.has(id) ? 0 : 1)) : null,
    barred: able.length < 3 || notSeen(pricing, able),
  };
}

/** By what `cost.leadOf` chooses first. */
const rankOf = (person: Person, of: Case): number =>
  (standingOf(person, of).practised ? 0 : 2) + (leadsToDepth(person, of) ? 0 : 1);

function bitsOf(person: Person, of: Case): number {
  const now = standingOf(person, of);
  const everybody = of.policy.leaderNeeded === "every_team";
  const facts: readonly (readonly [number, boolean])[] = [
    [FREE, of.overrides.some((one) => one.diver === person.id)],
    [PRACTISED, now.practised],
    [LEADS, leadsToDepth(person, of)],
    [CHARGED, everybody || inChargeOfAnother(person, of)],
    [STRETCHED, now.stretches > 0],
    [NOT_KNOWN, ownMinutes(person, of) === null],
    [HELPS, helps(person, of)],
    [AT_EDGE, now.atEdge],
    [AWAY, longAway(person, of)],
  ];
  return facts.reduce((sum, [bit, holds]) => sum + (holds ? bit : 0), 0);
}

const placesOf = (ids: readonly string[], able: readonly string[]): string =>
  ids
    .map((id) => able.indexOf(id))
    .sort((a, b) => a - b)
    .join();

/** Whether the club's least visibility bars every three alike. */
function notSeen(pricing: Pricing, able: readonly string[]): boolean {
  const of = pricing.case;
  if (of.overrides.some((one) => one.rule === "three_visibility")) return false;
  const first = able.slice(0, 3).map((id) => of.people.get(id)!);
  return threeVisibility(first, of) !== null;
}
