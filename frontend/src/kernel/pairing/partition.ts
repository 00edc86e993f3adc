// The best teams of a dive under what has to hold. The twin of pairing/partition.py.

import type { Case } from "./case.ts";
import type { Candidate } from "./cost.ts";
import { threesOf } from "./floors.ts";
import type { Answer, Group, Team, Threes } from "./group.ts";
import { type Reason, type Regime, compareIds, compareLists, listed, reasonOf, sameIds, sortedIds } from "./model.ts";
import type { Pricing } from "./pricing.ts";

export type Search = (
  group: Group,
  pairs: readonly Team[],
  threes: (() => readonly Team[]) | Threes,
  regime: Regime,
) => Answer | null;

export interface Found {
  readonly teams: readonly Candidate[];
  readonly left: readonly string[];
  readonly proven: boolean;
  readonly atLeast: readonly number[];
}

/**
 * The best teams, or null when a must cannot hold. Locked teams and guided groups are set aside first.
 * `kept` are further teams that are set, `barred` teams that are not formed (exactly these; by sorted ids).
 */
export function find(
  pricing: Pricing,
  needed: readonly Reason[],
  search: Search,
  kept: readonly (readonly string[])[] = [],
  barred: readonly (readonly string[])[] = [],
): Found | null {
  const of = pricing.case;
  const fixed: Candidate[] = [];
  for (const ids of [...of.locked, ...of.guided, ...kept]) {
    const tried = pricing.tryTeam(ids);
    if (!("candidate" in tried) || !ids.every((id) => pricing.able.includes(id))) return null;
    fixed.push(tried.candidate);
  }
  const wanted = new Set(needed.flatMap((fact) => fact.divers));
  if (![...wanted].every((id) => pricing.able.includes(id))) return null;
  const held = new Set(fixed.flatMap((team) => team.divers));
  const able = pricing.able.filter((id) => !held.has(id));
  let regime = of.policy.threes;
  if (regime === "only_when_odd" && fixed.some((team) => team.divers.length === 3 && !of.guided.some((ids) => sameIds(ids, team.divers)))) {
    regime = "never";
  }
  const known = new Set(of.announced.flat());
  const group: Group = {
    size: able.length,
    must: able.map((id) => wanted.has(id)),
    moved: able.map((id) => (known.has(id) && !of.leastChange ? 1 : 0)),
  };
  const byMembers = new Map<string, Candidate>();
  const made = (one: Candidate): Team | null => {
    if (barred.some((ids) => sameIds(ids, one.divers))) return null;
    const members = one.divers.map((id) => able.indexOf(id));
    byMembers.set(members.join(), one);
    const [overrides, safety, seconds, moved] = tiersOf(one, of, known);
    return { members, overrides, safety, seconds, changes: moved };
  };
  const pairs = pricing.permitted(able, 2).flatMap((one) => made(one) ?? []);
  const answer = search(group, pairs, threesOf(pricing, able, made), regime);
  if (answer === null) return null;
  const teams = [...fixed, ...answer.teams.map((team) => byMembers.get(team.members.join())!)];
  const own = fixed.map((team) => [0, ...tiersOf(team, of, known)]);
  const least = answer.atLeast.map((tier, at) => own.reduce((sum, row) => sum + row[at]!, tier));
  return {
    teams: teams.sort((a, b) => compareLists(a.divers, b.divers, compareIds)),
    left: answer.notPlaced.map((at) => able[at]!),
    proven: answer.proven,
    atLeast: of.leastChange ? [least[0]!, ...least.slice(2), least[1]!] : least,
  };
}

/**
 * What a team costs in the four tiers after the number placed. With the fewest changes asked first, leaving out
 * a diver who was announced counts at those who are placed: the number placed being given, that is the same order.
 */
function tiersOf(team: Candidate, of: Case, known: ReadonlySet<string>): [number, number, number, number] {
  const count = changes(team.divers, of);
  if (!of.leastChange) return [team.overrides, team.safety + team.hidden, team.seconds, count];
  const strangers = team.divers.filter((id) => !known.has(id)).length;
  return [count + strangers, team.overrides, team.safety + team.hidden, team.seconds];
}

/** How many divers of this team dive in another one than was announced. */
export function changes(divers: readonly string[], of: Case): number {
  const { announced } = of;
  if (announced.length === 0) return 0;
  return announced.some((team) => sameIds(sortedIds(team), divers)) ? 0 : divers.length;
}

/** What has to hold: locked teams and must-be-together wishes, as facts. */
export function musts(of: Case): Reason[] {
  const found = of.locked.map((fixed) => reasonOf("locked", fixed, `The team ${listed(fixed)} is fixed.`));
  for (const fixed of of.guided) {
    found.push(reasonOf("guided", fixed, `The guided group ${listed(fixed)} is fixed.`));
  }
  for (const wish of of.wishes) {
    if (wish.kind === "together" && wish.strength === "must") {
      found.push(reasonOf("wish_together", wish.divers, `${listed(wish.divers)} are to dive together.`));
    }
  }
  return found;
}
