// The best teams of a dive under what has to hold. The twin of pairing/partition.py.

import type { Case } from "./case.ts";
import type { Candidate } from "./cost.ts";
import { type Reason, type Regime, compareIds, compareLists, listed, reasonOf } from "./model.ts";
import type { Answer, Group, Team } from "./optimise.ts";
import type { Pricing } from "./pricing.ts";

export type Search = (
  group: Group,
  pairs: readonly Team[],
  threes: () => readonly Team[],
  regime: Regime,
) => Answer | null;

export interface Found {
  readonly teams: readonly Candidate[];
  readonly left: readonly string[];
  readonly proven: boolean;
  readonly atLeast: readonly number[];
}

/** The best teams, or null when a must cannot hold. Locked teams are set aside and the rest is searched. */
export function find(pricing: Pricing, needed: readonly Reason[], search: Search): Found | null {
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
