// What makes a day impossible: facts of which none can be spared. The twin of pairing/facts.py.

import type { Case } from "./case.ts";
import { COVER_NAMES } from "./cover.ts";
import { type CoverRole, type Reason, combinations, listed, reasonOf, sameIds, sortedIds } from "./model.ts";
import { best } from "./optimise.ts";
import { find, musts } from "./partition.ts";
import { Pricing } from "./pricing.ts";
import { standingReasons } from "./rules.ts";
import { teamGas, together } from "./rules_team.ts";

export const MOST_IN_TEAM = 3;
const OF_A_PAIR: readonly string[] = ["two_stretched", "two_back", "two_untested", "wish_apart", "gas_sharing", "signals"];
const FIXED: readonly string[] = ["locked", "guided"];

/** Facts that together leave no answer, and of which none can be spared: drop any one and there is one. */
export function impossible(pricing: Pricing, needed: readonly Reason[]): Reason[] {
  if (needed.length === 0) return noTeam(pricing, [], false);
  let kept = [...needed];
  for (const fact of needed) {
    const fewer = kept.filter((one) => one !== fact);
    if (fewer.length > 0 && !canHold(pricing, fewer)) kept = fewer;
  }
  if (kept.length > 1) return kept;
  const group = kept[0]!.divers;
  const exactly = FIXED.includes(kept[0]!.code);
  if (group.length > MOST_IN_TEAM && !exactly) return [...kept, reasonOf("threes", group, "A team is two or three divers.")];
  return [...kept, ...noTeam(pricing, group, exactly)];
}

/** Whether these musts alone, with every rule in force, leave an answer. */
function canHold(pricing: Pricing, facts: readonly Reason[]): boolean {
  const fewer = new Pricing(withMusts(pricing.case, facts), pricing.gasOf, pricing.out);
  return find(fewer, facts, best) !== null;
}

function withMusts(of: Case, facts: readonly Reason[]): Case {
  const wished = facts.filter((fact) => fact.code === "wish_together");
  return {
    ...of,
    guided: facts.filter((fact) => fact.code === "guided").map((fact) => fact.divers),
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
  for (const id of pricing.out) own.set(id, [outOfWater(id, of)]);
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

/** The fact that a diver stays out of the water, and as what. */
export function outOfWater(id: string, of: Case): Reason {
  const roles = of.cover.filter(([, person]) => person === id).map(([role]) => COVER_NAMES[role as CoverRole]);
  if (roles.length > 0) {
    return reasonOf("surface_cover", [id], `${id} stays out of the water on this dive: ${listed(roles)}.`);
  }
  return reasonOf("out_of_water", [id], `${id} stays out of the water on this dive.`);
}
