// The days after the best one, and of equally good days the one that a drop-out disturbs least.
// The twin of pairing/alternatives.py.

import { without } from "./drop_outs.ts";
import { Heap } from "./heap.ts";
import { type Reason, compareLists, sameIds } from "./model.ts";
import { type Found, type Search, changes, find } from "./partition.ts";
import type { Pricing } from "./pricing.ts";

// Equally good days held against every drop-out before the choice is made among those.
const MOST_EQUAL = 24;

type Teams = readonly (readonly string[])[];
type Key = readonly [readonly number[], readonly (readonly number[])[]];
type Part = { readonly key: Key; readonly found: Found; readonly kept: Teams; readonly barred: Teams };

/** The day chosen among `compared` equally good ones (`allCompared`: there are no more). */
export interface Robust {
  readonly found: Found;
  readonly compared: number;
  readonly allCompared: boolean;
  readonly worst: number;
  readonly total: number;
}

const inNumbers = (a: number, b: number): number => a - b;

function compareKeys(a: Key, b: Key): number {
  const first = compareLists(a[0], b[0], inNumbers);
  return first !== 0 ? first : compareLists(a[1], b[1], (x, y) => compareLists(x, y, inNumbers));
}

/** Every day with a team in it, the best first, each unlike all before it in one team at least. */
export function* inOrder(pricing: Pricing, needed: readonly Reason[], search: Search): Generator<Found> {
  const waiting = new Heap<Part>((a, b) => compareKeys(a.key, b.key) < 0);
  const look = (kept: Teams, barred: Teams): void => {
    const found = find(pricing, needed, search, kept, barred);
    if (found !== null && found.teams.length > 0) waiting.push({ key: keyOf(found, pricing), found, kept, barred });
  };
  look([], []);
  while (waiting.size > 0) {
    const part = waiting.pop();
    yield part.found;
    const { locked, guided } = pricing.case;
    let { kept } = part;
    for (const { divers } of part.found.teams) {
      if ([...part.kept, ...locked, ...guided].some((team) => sameIds(team, divers))) continue;
      look(kept, [...part.barred, divers]);
      kept = [...kept, divers];
    }
  }
}

/** What a day is compared by but for ids, least first. */
export function tiers(found: Found, pricing: Pricing): number[] {
  const of = pricing.case;
  const announced = new Set(of.announced.flat());
  const sum = (count: (team: Found["teams"][number]) => number): number =>
    found.teams.reduce((all, team) => all + count(team), 0);
  const moved = sum((team) => changes(team.divers, of)) + found.left.filter((id) => announced.has(id)).length;
  const own = [sum((team) => team.overrides), sum((team) => team.safety + team.hidden), sum((team) => team.seconds)];
  return of.leastChange ? [found.left.length, moved, ...own] : [found.left.length, ...own, moved];
}

/** Compares days: tiers, then the lowest diver's team-mates, a pair before a three, left out last. */
function keyOf(found: Found, pricing: Pricing): Key {
  const { able } = pricing;
  const mates: number[][] = able.map(() => []);
  for (const team of found.teams) {
    mates[able.indexOf(team.divers[0]!)] = team.divers.slice(1).map((id) => able.indexOf(id));
  }
  for (const id of found.left) mates[able.indexOf(id)] = [able.length];
  return [tiers(found, pricing), mates];
}

/** The best `count` days that are not the chosen one; none that a private wish speaks against more. */
export function nextBest(
  pricing: Pricing,
  needed: readonly Reason[],
  search: Search,
  count: number,
  chosen: Found,
): Found[] {
  const list: Found[] = [];
  const hidden = (found: Found): number => found.teams.reduce((all, team) => all + team.hidden, 0);
  let seen = 0;
  for (const one of inOrder(pricing, needed, search)) {
    const other = compareKeys(keyOf(one, pricing), keyOf(chosen, pricing)) !== 0;
    if (other && hidden(one) <= hidden(chosen)) list.push(one);
    seen++;
    if (list.length === count || seen === count + 1 + MOST_EQUAL) break;
  }
  return list;
}

/** Of the days that cost least the one with the fewest changes under any single drop-out; then ids. */
export function mostRobust(pricing: Pricing, needed: readonly Reason[], search: Search): Robust | null {
  let best: Robust | null = null;
  let compared = 0;
  let least: readonly number[] | null = null;
  for (const found of inOrder(pricing, needed, search)) {
    const now = tiers(found, pricing);
    if (least !== null && compareLists(now, least, inNumbers) !== 0) break;
    if (compared === MOST_EQUAL) return best && { ...best, compared, allCompared: false };
    least = now;
    compared++;
    const moved = found.teams.flatMap((team) =>
      team.divers.map((id) => without(pricing, found, id, search).moved.length),
    );
    const worst = Math.max(...moved);
    const total = moved.reduce((all, one) => all + one, 0);
    if (best === null || worst < best.worst || (worst === best.worst && total < best.total)) {
      best = { found, compared, allCompared: true, worst, total };
    }
  }
  return best && { ...best, compared, allCompared: true };
}
