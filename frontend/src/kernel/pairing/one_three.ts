// Pairs, and at most one team of three, by heaviest matchings. The twin of pairing/one_three.py.

import { type Answer, type Group, type Team, type Threes, isThrees, tiersOf } from "./group.ts";
import { Heap } from "./heap.ts";
import { NONE, heaviest } from "./matching.ts";
import { bound, inside } from "./proof.ts";
import { Scale, answerOf, compareTeams } from "./tiers.ts";

// What a three may cost in a tier above eight times the dearest that is known.
const ROOM = 3600;

type Price = (members: readonly number[]) => Team | null;

interface Waiting {
  /** Twice what a day with the three gains at most. */
  readonly atMost: bigint;
  readonly priced: boolean;
  readonly three: Team;
}

/** Pairs and at most one three; `Threes` are priced only where they may be the best one. */
export function withOne(group: Group, pairs: readonly Team[], threes: (() => readonly Team[]) | Threes): Answer {
  const found = isThrees(threes) ? matched(group, pairs, threes.least(), threes.price) : null;
  return found ?? matched(group, pairs, threes(), null)!;
}

/**
 * Pairs and at most one of the threes, which cost what they say or, with `price`, at least that. Null when a three
 * turns out to cost more than the scale of its tiers has room for.
 */
export function matched(
  group: Group,
  pairs: readonly Team[],
  threes: readonly Team[],
  price: Price | null,
): Answer | null {
  const { size } = group;
  const dearest = [...pairs, ...threes].reduce((most, team) => Math.max(most, ...tiersOf(team)), 0);
  const room = price === null ? 0 : 8 * dearest + ROOM;
  const scale = new Scale(group, [...pairs, ...threes], room);
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
  const { labels } = matching;
  const both = inside(matching);
  const most = bound(matching);
  let bestGain = most / 2n;
  let bestThree: Team | null = null;
  let mate = [...matching.mate];
  const waiting = new Heap<Waiting>((a, b) =>
    a.atMost === b.atMost ? compareTeams(a.three, b.three) < 0 : a.atMost > b.atMost,
  );
  const larger = (a: bigint, b: bigint): bigint => (a > b ? a : b);
  const worthOf = (three: Team): bigint =>
    three.members.reduce((sum, diver) => sum + out[diver]!, 0n) - scale.team(three);
  const put = (three: Team, priced: boolean): void => {
    const [i, j, k] = three.members as [number, number, number];
    const lost = larger(larger(both[i]![j]!, both[i]![k]!), both[j]![k]!);
    const atMost = 2n * worthOf(three) + most - labels[i]! - labels[j]! - labels[k]! - lost;
    if (atMost > 2n * bestGain) waiting.push({ atMost, priced, three });
  };
  for (const three of threes) put(three, price === null);
  while (waiting.size > 0) {
    const { atMost, priced, three } = waiting.pop();
    if (atMost <= 2n * bestGain) break;
    if (!priced && price !== null) {
      const real = price(three.members);
      if (real !== null && Math.max(...tiersOf(real)) > room) return null;
      if (real !== null) put(real, true);
      continue;
    }
    const rest = divers.filter((diver) => !three.members.includes(diver));
    const part = heaviest(
      rest.length,
      rest.map((i) => rest.map((j) => gain[i]![j]!)),
    );
    const whole = worthOf(three) + bound(part) / 2n;
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
  return answerOf(scale, group, chosen, null);
}
