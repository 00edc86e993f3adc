// What one drop-out does to a day: who loses the dive, who dives with somebody else, what stays.
// The twin of pairing/drop_outs.py.

import type { Case } from "./case.ts";
import { compareIds, compareLists, listed, sameIds, sortedIds } from "./model.ts";
import { type Found, type Search, find, musts } from "./partition.ts";
import { Pricing } from "./pricing.ts";

/** The day solved again without `diver`, with the fewest changes. */
export interface DropOut {
  readonly diver: string;
  readonly loses: readonly string[];
  readonly gains: readonly string[];
  readonly teams: readonly (readonly string[])[];
  readonly moved: readonly string[];
  readonly message: string;
}

/** The fewest changes to `found` when this diver sits out; as many as can be are placed. */
export function without(pricing: Pricing, found: Found, id: string, search: Search): DropOut {
  const before = found.teams.map((team) => team.divers);
  const [lapsed, same] = caseWithout(pricing.case, id);
  const announced = [...before].sort((a, b) => compareLists(a, b, compareIds));
  const of: Case = { ...lapsed, announced, leastChange: true };
  const out = [...pricing.out, id];
  let again = find(new Pricing(of, pricing.gasOf, out, same ? pricing : null), musts(of), search);
  if (again === null && of.guided.length > 0) {
    // What is left of a guided group may be none: its people are then placed like anybody else.
    const guided = of.guided.filter((one) => pricing.case.guided.some((group) => sameIds(group, one)));
    const freed: Case = { ...of, guided };
    again = find(new Pricing(freed, pricing.gasOf, out), musts(freed), search);
  }
  const after = again === null ? [] : again.teams.map((team) => team.divers);
  const had = new Set(before.flat());
  had.delete(id);
  const has = new Set(after.flat());
  const teams = after.filter((team) => !before.some((one) => sameIds(one, team)));
  const loses = sortedIds([...had].filter((one) => !has.has(one)));
  const gains = sortedIds([...has].filter((one) => !had.has(one)));
  const moved = sortedIds(new Set([...teams.flat(), ...loses]));
  const message = said(id, teams, loses, teams.length < after.length);
  return { diver: id, loses, gains, teams, moved, message };
}

/** The case once this diver is gone, whose wishes and fixed team go too, and whether all prices stay. */
function caseWithout(of: Case, id: string): [Case, boolean] {
  const named = [...of.wishes.map((wish) => wish.divers), ...of.locked, ...of.guided].some((ids) => ids.includes(id));
  if (!named) return [of, true];
  const left = of.guided.map((group) => group.filter((one) => one !== id));
  const wishes = of.wishes
    .map((wish) => ({ ...wish, divers: wish.divers.filter((one) => one !== id) }))
    .filter((wish) => wish.divers.length > 1);
  return [{ ...of, wishes, locked: of.locked.filter((team) => !team.includes(id)), guided: left.filter((one) => one.length > 1) }, false];
}

function said(
  id: string,
  teams: readonly (readonly string[])[],
  loses: readonly string[],
  stay: boolean,
): string {
  const parts = teams.map((team) => `${listed(team)} dive together`);
  if (loses.length > 0) parts.push(`${listed(loses)} ${loses.length === 1 ? "loses" : "lose"} the dive`);
  if (stay) parts.push(parts.length > 0 ? "the rest stays" : "the other teams stay");
  return `If ${id} drops out: ${parts.join("; ") || "nobody else is affected"}.`;
}
