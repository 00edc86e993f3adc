// The best teams of a dive, proven: every diver in at most one team. The twin of pairing/optimise.py, which says
// in which order days compare and how they are searched.

import { type Answer, type Group, type Team, type Threes } from "./group.ts";
import { Heap } from "./heap.ts";
import { NONE } from "./matching.ts";
import type { Regime } from "./model.ts";
import { matched, withOne } from "./one_three.ts";
import { Scale, answerOf, compareTeams, costOf } from "./tiers.ts";

const MOST_SETS = 60_000;
const MOST_STEPS = 200_000;
const SWEEPS = 40;

/** The best teams, or null when somebody who must be placed cannot be. */
export function best(
  group: Group,
  pairs: readonly Team[],
  threes: (() => readonly Team[]) | Threes,
  regime: Regime,
): Answer | null {
  let found: Answer;
  if (regime === "free") found = free(group, pairs, threes());
  else {
    // Of an odd number pairs alone leave somebody: the matching with a three says so as well.
    const odd = regime === "only_when_odd" && group.size % 2 === 1;
    found = withOne(group, pairs, odd ? threes : () => []);
    if (regime === "only_when_odd" && found.notPlaced.length > 0 && !odd) found = withOne(group, pairs, threes);
  }
  return found.notPlaced.some((diver) => group.must[diver]) ? null : found;
}

interface Column {
  readonly members: readonly number[];
  readonly cost: bigint;
}

interface Choice {
  readonly more: bigint;
  readonly mask: number;
  readonly at: number;
}

/** Any number of threes: first the least cost without regard to the order of ids, then the first list of that cost. */
function free(group: Group, pairs: readonly Team[], threes: readonly Team[]): Answer {
  const { size } = group;
  const scale = new Scale(group, [...pairs, ...threes]);
  const teams = [...pairs, ...threes].sort(compareTeams);
  const columns: Column[] = teams.map((team) => ({ members: team.members, cost: scale.team(team) / scale.below }));
  for (let diver = 0; diver < size; diver++) {
    columns.push({ members: [diver], cost: scale.leftOut(diver) / scale.below });
  }
  const potential = potentials(size, columns);
  const all = potential.reduce((sum, one) => sum + one, 0n);
  const choices: Choice[][] = Array.from({ length: size }, () => []);
  columns.forEach(({ members, cost }, at) => {
    const mask = members.reduce((sum, diver) => sum | (1 << diver), 0);
    const more = cost - members.reduce((sum, diver) => sum + potential[diver]!, 0n);
    choices[members[0]!]!.push({ more, mask, at });
  });
  let fallback = matched(group, pairs, [], null)!;
  if (fallback.notPlaced.length > 0) fallback = matched(group, pairs, threes, null)!;
  const ceiling = costOf(scale, fallback.teams, fallback.notPlaced) / scale.below - all;
  const found = least(size, choices, ceiling);
  if (!found.proven) return answerOf(scale, group, fallback.teams, (all + found.above) * scale.below);
  const chosen = first(size, choices, found.above) ?? found.trail;
  return answerOf(
    scale,
    group,
    chosen.filter((at) => at < teams.length).map((at) => teams[at]!),
    null,
  );
}

interface Least {
  readonly above: bigint;
  readonly proven: boolean;
  readonly trail: readonly number[];
}

const lowestOf = (set: number): number => 31 - Math.clz32(set & -set);

function countOf(set: number): number {
  let count = 0;
  for (let rest = set; rest !== 0; rest &= rest - 1) count++;
  return count;
}

/** The least cost above the potentials of placing everybody, whether that is proven, and one such way. */
function least(size: number, choices: readonly (readonly Choice[])[], ceiling: bigint): Least {
  const cheapest = choices.map((row) =>
    [...row].sort((a, b) => (a.more < b.more ? -1 : a.more > b.more ? 1 : a.mask - b.mask || a.at - b.at)),
  );
  const everyone = 2 ** size - 1;
  const known = new Map<number, { above: bigint; from: number; at: number }>();
  known.set(everyone, { above: 0n, from: 0, at: NONE });
  const heap = new Heap<{ above: bigint; count: number; set: number }>((a, b) =>
    a.above !== b.above ? a.above < b.above : a.count !== b.count ? a.count < b.count : a.set < b.set,
  );
  heap.push({ above: 0n, count: size, set: everyone });
  let opened = 0;
  while (heap.size > 0) {
    const { above, set } = heap.pop();
    if (set === 0) return { above, proven: true, trail: trailOf(known) };
    if (known.get(set)!.above < above) continue;
    if (opened >= MOST_SETS) return { above, proven: false, trail: [] };
    opened += 1;
    for (const { more, mask, at } of cheapest[lowestOf(set)]!) {
      const total = above + more;
      if (total > ceiling) break;
      if ((mask & set) !== mask) continue;
      const rest = set ^ mask;
      const before = known.get(rest);
      if (before === undefined || total < before.above) {
        known.set(rest, { above: total, from: set, at });
        heap.push({ above: total, count: countOf(rest), set: rest });
      }
    }
  }
  throw new Error("the ceiling itself can be reached");
}

function trailOf(known: ReadonlyMap<number, { from: number; at: number }>): number[] {
  const found: number[] = [];
  for (let step = known.get(0)!; step.at !== NONE; step = known.get(step.from)!) found.push(step.at);
  return found;
}

/** The first list of columns, in the order of ids, that places everybody for `cost`; null past the steps. */
function first(size: number, choices: readonly (readonly Choice[])[], cost: bigint): number[] | null {
  const allowed = choices.map((row) => row.filter((one) => one.more <= cost));
  const tried = new Map<number, bigint>();
  let steps = 0;
  const place = (set: number, left: bigint): number[] | null => {
    if (set === 0) return [];
    if (steps >= MOST_STEPS || (tried.get(set) ?? -1n) >= left) return null;
    for (const { more, mask, at } of allowed[lowestOf(set)]!) {
      if (more > left || (mask & set) !== mask) continue;
      steps += 1;
      const rest = place(set ^ mask, left - more);
      if (rest !== null) return [at, ...rest];
    }
    tried.set(set, left);
    return null;
  };
  return place(2 ** size - 1, cost);
}

/** Whole numbers that no column's members add up to more than its cost: their sum bounds every answer. */
function potentials(size: number, columns: readonly Column[]): bigint[] {
  const touching: number[][] = Array.from({ length: size }, () => []);
  columns.forEach(({ members }, at) => {
    for (const diver of members) touching[diver]!.push(at);
  });
  const leastOf = (values: readonly bigint[]): bigint => values.reduce((a, b) => (b < a ? b : a));
  const potential = touching.map((row) =>
    leastOf(row.map((at) => columns[at]!.cost / BigInt(columns[at]!.members.length))),
  );
  const slack = columns.map(
    ({ members, cost }) => cost - members.reduce((sum, diver) => sum + potential[diver]!, 0n),
  );
  for (let sweep = 0; sweep <= SWEEPS; sweep++) {
    for (let step = 0; step < size; step++) {
      const diver = sweep % 2 === 0 ? step : size - 1 - step;
      const room = leastOf(touching[diver]!.map((at) => slack[at]!));
      const raised = sweep === SWEEPS ? room : room / 2n;
      potential[diver] = potential[diver]! + raised;
      for (const at of touching[diver]!) slack[at] = slack[at]! - raised;
    }
  }
  return potential;
}
