// The tiers by which days compare as one whole number, and an answer from its teams. The twin of pairing/tiers.py.

import { type Answer, type Group, type Team, tiersOf } from "./group.ts";
import { compareLists } from "./model.ts";

export const compareTeams = (a: Team, b: Team): number => compareLists(a.members, b.members, (x, y) => x - y);

/** Tiers as one whole number, and back. */
export class Scale {
  private readonly most: bigint[];
  private readonly base: bigint;
  private readonly places: bigint[] = [1n];
  readonly below: bigint;
  private readonly group: Group;

  /** `room`: one further team, not among `teams`, may cost so much in each tier. */
  constructor(group: Group, teams: readonly Team[], room = 0) {
    const { size } = group;
    const rows = teams.map(tiersOf);
    const most = [0, 1, 2, 3, 4].map((tier) => Math.max(0, ...rows.map((row) => row[tier]!)) * (size >> 1) + room + 1);
    most[0] = size * (size + 1) + 1;
    most[4] = most[4]! + group.moved.reduce((sum, one) => sum + one, 0);
    this.most = most.map(BigInt);
    this.group = group;
    this.base = BigInt((size + 1) ** 2);
    for (let at = 0; at < size; at++) this.places.push(this.places[at]! * this.base);
    this.below = this.places[size]!;
  }

  private weigh(tiers: readonly number[], digits: bigint): bigint {
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

  tiers(cost: bigint): readonly number[] {
    let value = cost / this.below;
    const found: number[] = [];
    for (const most of [...this.most].reverse()) {
      found.push(Number(value % most));
      value /= most;
    }
    return found.reverse();
  }
}

export function costOf(scale: Scale, teams: readonly Team[], out: readonly number[]): bigint {
  let cost = 0n;
  for (const team of teams) cost += scale.team(team);
  for (const diver of out) cost += scale.leftOut(diver);
  return cost;
}

export function answerOf(scale: Scale, group: Group, teams: readonly Team[], atLeast: bigint | null): Answer {
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
