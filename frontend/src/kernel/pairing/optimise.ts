// The best teams of a dive, proven: every diver in at most one team. The twin of pairing/optimise.py, which says
// in which order days compare and how they are searched.

import { Heap } from "./heap.ts";
import { NONE, bound, heaviest } from "./matching.ts";
import { type Regime, compareLists } from "./model.ts";

const MOST_SETS = 20_000;
const MOST_STEPS = 200_000;
const SWEEPS = 40;

/** A permitted team: `members` ascending positions in the list of divers sorted by id. */
export interface Team {
  readonly members: readonly number[];
  readonly overrides: number;
  readonly safety: number;
  readonly seconds: number;
  readonly changes: number;
}

/** `teams` sorted. `atLeast`: proven least of the tiers, equal to what the teams cost when `proven`. */
export interface Answer {
  readonly teams: readonly Team[];
  readonly notPlaced: readonly number[];
  readonly proven: boolean;
  readonly atLeast: readonly number[];
}

/** `must[i]`: diver i has to be placed; `moved[i]`: leaving i out changes what was announced. */
export interface Group {
  readonly size: number;
  readonly must: readonly boolean[];
  readonly moved: readonly number[];
}

type Tiers = readonly number[];

const tiersOf = (team: Team): Tiers => [0, team.overrides, team.safety, team.seconds, team.changes];
const compareTeams = (a: Team, b: Team): number => compareLists(a.members, b.members, (x, y) => x - y);

/** Tiers as one whole number, and back. */
class Scale {
  private readonly most: bigint[];
  private readonly base: bigint;
  private readonly places: bigint[] = [1n];
  readonly below: bigint;
  private readonly group: Group;

  constructor(group: Group, teams: readonly Team[]) {
    const { size } = group;
    const rows = teams.map(tiersOf);
    const most = [0, 1, 2, 3, 4].map((tier) => Math.max(0, ...rows.map((row) => row[tier]!)) * (size >> 1) + 1);
    most[0] = size * (size + 1) + 1;
    most[4] = most[4]! + group.moved.reduce((sum, one) => sum + one, 0);
    this.most = most.map(BigInt);
    this.group = group;
    this.base = BigInt((size + 1) ** 2);
    for (let at = 0; at < size; at++) this.places.push(this.places[at]! * this.base);
    this.below = this.places[size]!;
  }

  private weigh(tiers: Tiers, digits: bigint): bigint {
    let value = 0n;
    tiers.forEach((tier, at) => {
      value = value * this.most[at]! + BigInt(tier);
    });
    return value * this.below + digits;
  }

  team(team: Team): bigint {
    const { size } = this.group;
    const [first, second, third] = team.members;
    const tail = second! * (size + 1) + (third === undefined ? 0 : third + 1);
    return this.weigh(tiersOf(team), BigInt(tail) * this.places[size - 1 - first!]!);
  }

  leftOut(diver: number): bigint {
    const { size, must, moved } = this.group;
    const digits = (this.base - 1n) * this.places[size - 1 - diver]!;
    return this.weigh([must[diver] ? size + 1 : 1, 0, 0, 0, moved[diver]!], digits);
  }

  tiers(cost: bigint): Tiers {
    let value = cost / this.below;
    const found: number[] = [];
    for (const most of [...this.most].reverse()) {
      found.push(Number(value % most));
      value /= most;
    }
    return found.reverse();
  }
}

/** The best teams, or null when somebody who must be placed cannot be. */
export function best(
  group: Group,
  pairs: readonly Team[],
  threes: () => readonly Team[],
  regime: Regime,
): Answer | null {
  let found = regime !== "free" ? byMatching(group, pairs, []) : null;
  if (found === null || (regime === "only_when_odd" && found.notPlaced.length > 0)) {
    const extra = threes();
    found = regime === "free" ? free(group, pairs, extra) : byMatching(group, pairs, extra);
  }
  return found.notPlaced.some((diver) => group.must[diver]) ? null : found;
}

/** Pairs, and at most one of the threes. */
function byMatching(group: Group, pairs: readonly Team[], threes: readonly Team[]): Answer {
  const scale = new Scale(group, [...pairs, ...threes]);
  const { size } = group;
  const divers = [...Array(size).keys()];
  const out = divers.map((diver) => scale.leftOut(diver));
  const gain = divers.map(() => new Array<bigint>(size).fill(0n));
  const byMembers = new Map<number, Team>();
  for (const team of pairs) {
    const [i, j] = team.members as [number, number];
    byMembers.set(i * size + j, team);
    gain[i]![j] = out[i]! + out[j]! - scale.team(team);
    gain[j]![i] = gain[i]![j]!;
  }
  const matching = heaviest(size, gain);
  let bestGain = bound(matching) / 2n;
  let bestThree: Team | null = null;
  let mate = [...matching.mate];
  const promising = threes.map((three) => {
    const worth = three.members.reduce((sum, diver) => sum + out[diver]!, 0n) - scale.team(three);
    return { atMost: 2n * worth + bound(matching, three.members), worth, three };
  });
  promising.sort((a, b) =>
    a.atMost > b.atMost ? -1 : a.atMost < b.atMost ? 1 : compareTeams(a.three, b.three),
  );
  for (const { atMost, worth, three } of promising) {
    if (atMost <= 2n * bestGain) break;
    const rest = divers.filter((diver) => !three.members.includes(diver));
    const part = heaviest(
      rest.length,
      rest.map((i) => rest.map((j) => gain[i]![j]!)),
    );
    const whole = worth + bound(part) / 2n;
    if (whole > bestGain) {
      bestGain = whole;
      bestThree = three;
      mate = new Array<number>(size).fill(NONE);
      part.mate.forEach((other, at) => {
        mate[rest[at]!] = other === NONE ? NONE : rest[other]!;
      });
    }
  }
  const chosen: Team[] = [];
  mate.forEach((j, i) => {
    if (j > i) chosen.push(byMembers.get(i * size + j)!);
  });
  if (bestThree !== null) chosen.push(bestThree);
  return answer(scale, group, chosen, null);
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
  let fallback = byMatching(group, pairs, []);
  if (fallback.notPlaced.length > 0) fallback = byMatching(group, pairs, threes);
  const ceiling = costOf(scale, fallback.teams, fallback.notPlaced) / scale.below - all;
  const found = least(size, choices, ceiling);
  if (!found.proven) return answer(scale, group, fallback.teams, (all + found.above) * scale.below);
  const chosen = first(size, choices, found.above) ?? found.trail;
  return answer(
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

function costOf(scale: Scale, teams: readonly Team[], out: readonly number[]): bigint {
  let cost = 0n;
  for (const team of teams) cost += scale.team(team);
  for (const diver of out) cost += scale.leftOut(diver);
  return cost;
}

function answer(scale: Scale, group: Group, teams: readonly Team[], atLeast: bigint | null): Answer {
  const placed = new Set(teams.flatMap((team) => team.members));
  const out = [...Array(group.size).keys()].filter((diver) => !placed.has(diver));
  const cost = costOf(scale, teams, out);
  return {
    teams: [...teams].sort(compareTeams),
    notPlaced: out,
    proven: atLeast === null || atLeast >= cost,
    atLeast: scale.tiers(atLeast ?? cost),
  };
}
