// The two or three dives of one day as the search sees them: whole numbers and positions, no names.
// The twin of pairing/several.py.

export const NO_BOAT = -1;
/** In place of a room or of seats that cannot run out. */
export const LOOSE = -1;

/** Teams in the water at the same time. `leader`: one of its divers must be able to lead. */
export interface Wave {
  readonly room: number;
  readonly boat: number;
  readonly leader: boolean;
}

/** `seats` are for divers who have no fixed one; `aboard` (bits) are those who have. */
export interface Boat {
  readonly seats: number;
  readonly aboard: number;
}

/** A permitted team; `waves` are those in which it may dive. `three`: it counts against the threes allowed. */
export interface Column {
  readonly members: readonly number[];
  readonly bits: number;
  readonly cost: bigint;
  readonly leads: boolean;
  readonly three: boolean;
  readonly waves: readonly number[];
}

/**
 * `columns[i]` are the teams whose lowest member is i, in the order of members; `left[i]` is what it costs to
 * leave i out; `free` (bits) are those to place; `threes` the most teams of three.
 */
export interface OneDive {
  readonly columns: readonly (readonly Column[])[];
  readonly left: readonly bigint[];
  readonly free: number;
  readonly threes: number;
  readonly waves: readonly Wave[];
}

export type Partners = "either" | "keep" | "change";

/** `partners`: what is wished between the dives, at `price` (see several.py). `before`: teams (bits) already made. */
export interface Several {
  readonly size: number;
  readonly dives: readonly OneDive[];
  readonly boats: readonly Boat[];
  readonly partners: Partners;
  readonly price: bigint;
  readonly before: readonly number[];
}

export interface Placed {
  readonly column: Column;
  readonly wave: number;
}

/** For each dive its teams, each in its wave. */
export type Plan = readonly (readonly Placed[])[];

/** The boat on which a diver has a fixed seat, or `NO_BOAT`. */
export function boatOf(several: Several, diver: number): number {
  return several.boats.findIndex((boat) => ((boat.aboard >> diver) & 1) === 1);
}

/** More than any day costs that is no worse than leaving everybody out on every dive. */
export function mostOf(several: Several): bigint {
  let out = 0n;
  for (const dive of several.dives) {
    dive.left.forEach((cost, diver) => {
      if ((dive.free >> diver) & 1) out += cost;
    });
  }
  return out + several.price * BigInt(several.size * several.dives.length) + 1n;
}

/** For each diver the bits of the team, 0 where there is none. */
export function matesOf(size: number, teams: readonly number[]): number[] {
  const found = Array<number>(size).fill(0);
  for (const bits of teams) {
    for (let diver = 0; diver < size; diver++) if ((bits >> diver) & 1) found[diver] = bits;
  }
  return found;
}

export function bitCount(bits: number): number {
  let count = 0;
  for (let left = bits; left !== 0; left &= left - 1) count++;
  return count;
}

/** The position of the lowest bit. */
export const lowestOf = (bits: number): number => 31 - Math.clz32(bits & -bits);
