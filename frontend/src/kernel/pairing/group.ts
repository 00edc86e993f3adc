// What the search is handed and what it gives back: whole numbers and positions, no names. The twin of pairing/group.py.

import { combinations } from "./model.ts";

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

/** What a team costs by tiers: divers not placed, overrides, safety, seconds, changes. */
export const tiersOf = (team: Team): readonly number[] => [0, team.overrides, team.safety, team.seconds, team.changes];

// Where nothing is known of how long a pair could stay, in minutes.
export const NO_LIMIT = 10 ** 6;

// What is known of one diver, as bits: those of a team are told in one step. See group.py.
export const FREE = 1;
export const PRACTISED = 2;
export const LEADS = 4;
export const CHARGED = 8;
export const STRETCHED = 16;
export const NOT_KNOWN = 32;
export const HELPS = 64;
export const AT_EDGE = 128;
export const AWAY = 256;

/** What a three costs at least, from what is known of each diver and of each pair, by position: see group.py. */
export interface Floors {
  readonly own: readonly number[];
  readonly limit: readonly (readonly number[])[];
  readonly safety: readonly number[];
  readonly beside: readonly (readonly number[])[];
  readonly rank: readonly number[];
  readonly prices: readonly [number, number, number];
  readonly bits: readonly number[];
  readonly announced: ReadonlySet<string> | null;
  readonly strangers: readonly number[] | null;
  readonly barred: boolean;
}

/** The three at the least it can cost; null where a rule bars it for certain. */
export function floorOf(floors: Floors, members: readonly number[]): Team | null {
  const { bits, limit, own, strangers } = floors;
  const [i, j, k] = members as [number, number, number];
  const [x, y, z] = [bits[i]!, bits[j]!, bits[k]!];
  const anyone = x | y | z;
  const two = (x & y) | (x & z) | (y & z);
  if ((anyone & FREE) === 0) {
    if ((two & STRETCHED) !== 0 || (anyone & PRACTISED) === 0) return null;
    if ((anyone & CHARGED) !== 0 && (anyone & LEADS) === 0) return null;
  }
  const have = Math.min(limit[i]![j]!, limit[i]![k]!, limit[j]![k]!);
  // A limit that is not known of one is not known of the team, and costs nobody minutes.
  let seconds = 0;
  if ((anyone & NOT_KNOWN) === 0) for (const one of members) seconds += 60 * Math.max(0, own[one]! - have);
  const safety = safetyOf(floors, members, anyone, two, x & y & z);
  const moved = floors.announced === null || floors.announced.has(members.join()) ? 0 : members.length;
  if (strangers === null) return { members, overrides: 0, safety, seconds, changes: moved };
  const first = members.reduce((sum, one) => sum + strangers[one]!, moved);
  return { members, overrides: first, safety: 0, seconds: safety, changes: seconds };
}

function safetyOf(
  floors: Floors,
  members: readonly number[],
  anyone: number,
  two: number,
  everyone: number,
): number {
  const { beside, prices, rank, safety } = floors;
  const [alone, edge, away] = prices;
  let found = (two & HELPS) !== 0 ? 0 : (anyone & HELPS) !== 0 ? alone : 3 * alone;
  if ((everyone & AT_EDGE) !== 0) found += edge;
  if ((everyone & AWAY) !== 0) found += away;
  if ((anyone & STRETCHED) === 0) return found;
  const [i, j, k] = members as [number, number, number];
  const first = Math.min(rank[i]!, rank[j]!, rank[k]!);
  let least = Infinity;
  for (const one of members) {
    const costs = beside[one]!;
    if (rank[one] === first) least = Math.min(least, costs[i]! + costs[j]! + costs[k]!);
  }
  return found + safety[i]! + safety[j]! + safety[k]! + least;
}

/** Teams of three, of which only those that may be best need a price; called, it gives all that are permitted. */
export interface Threes {
  (): readonly Team[];
  /** Every three that no rule bars for certain, at the least it can cost, in the order of members. */
  readonly least: () => readonly Team[];
  /** The team itself; null where it is not permitted. */
  readonly price: (members: readonly number[]) => Team | null;
}

export function threesFrom(floors: () => Floors, price: (members: readonly number[]) => Team | null): Threes {
  const least = (): Team[] => {
    const known = floors();
    if (known.barred) return [];
    return combinations([...known.own.keys()], 3).flatMap((members) => floorOf(known, members) ?? []);
  };
  return Object.assign(() => least().flatMap((one) => price(one.members) ?? []), { least, price });
}

export const isThrees = (threes: (() => readonly Team[]) | Threes): threes is Threes => "price" in threes;
