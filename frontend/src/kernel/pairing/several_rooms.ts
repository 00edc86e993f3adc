// What is left of waves and boats while a dive is filled. The twin of pairing/several_rooms.py.

import { type Boat, type Column, LOOSE, NO_BOAT, type OneDive, type Wave, bitCount, lowestOf } from "./several.ts";

/** For each wave the room left and whether it is led (0 empty, 1 without a leader yet, 2 led), then seats left. */
export type State = readonly number[];

/** The waves and boats of one dive. */
export class Rooms {
  readonly start: State;
  private readonly waves: readonly Wave[];
  private readonly boats: readonly Boat[];
  private readonly alike: readonly number[];

  constructor(dive: OneDive, boats: readonly Boat[]) {
    this.waves = dive.waves;
    this.boats = boats;
    const size = bitCount(dive.free);
    const every = dive.columns.flat();
    const allLead = every.every((column) => column.leads);
    const start: number[] = [];
    for (const wave of dive.waves) {
      start.push(wave.room >= size ? LOOSE : wave.room);
      start.push(wave.leader && !allLead ? 0 : 2);
    }
    const used = dive.waves.map((wave) => wave.boat);
    boats.forEach((boat, at) => {
      start.push(boat.seats >= size || !used.includes(at) ? LOOSE : boat.seats);
    });
    this.start = start;
    // Of two waves that are alike in all respects only the first is tried while both are as full.
    this.alike = dive.waves.map((wave, at) =>
      dive.waves.findIndex(
        (other, before) =>
          before < at &&
          other.room === wave.room &&
          other.boat === wave.boat &&
          other.leader === wave.leader &&
          every.every((column) => column.waves.includes(before) === column.waves.includes(at)),
      ),
    );
  }

  /** What is left with this team in this wave; null where it does not fit or an equal wave is tried first. */
  put(state: State, column: Column, wave: number): State | null {
    const same = this.alike[wave]!;
    if (same !== NO_BOAT && state[2 * same] === state[2 * wave] && state[2 * same + 1] === state[2 * wave + 1]) {
      return null;
    }
    const after = [...state];
    const room = state[2 * wave]!;
    if (room !== LOOSE) {
      if (room < column.members.length) return null;
      after[2 * wave] = room - column.members.length;
    }
    if (column.leads) after[2 * wave + 1] = 2;
    else if (after[2 * wave + 1] === 0) after[2 * wave + 1] = 1;
    const { boat } = this.waves[wave]!;
    if (boat !== NO_BOAT) {
      const seats = state[2 * this.waves.length + boat]!;
      const wanted = bitCount(column.bits & ~this.boats[boat]!.aboard);
      if (seats !== LOOSE) {
        if (seats < wanted) return null;
        after[2 * this.waves.length + boat] = seats - wanted;
      }
    }
    return after;
  }

  /** Whether no wave that needs a leader dives without one. */
  led(state: State): boolean {
    return this.waves.every((_, wave) => state[2 * wave + 1] !== 1);
  }
}

/** The least cost of placing those still free on one dive by itself: see several_rooms.py. */
export class Completion {
  readonly rooms: Rooms;
  private readonly dive: OneDive;
  private readonly known = new Map<string, bigint | null>();

  constructor(dive: OneDive, boats: readonly Boat[]) {
    this.dive = dive;
    this.rooms = new Rooms(dive, boats);
  }

  /** The least cost of the whole dive: leaving everybody out is always possible. */
  whole(): bigint {
    return this.least(this.dive.free, this.dive.threes, this.rooms.start)!;
  }

  /** null where a wave would be left without its leader whatever is done. */
  least(free: number, threes: number, state: State): bigint | null {
    if (free === 0) return this.rooms.led(state) ? 0n : null;
    const key = `${free},${threes},${state.join()}`;
    const before = this.known.get(key);
    if (before !== undefined) return before;
    const lowest = free & -free;
    const diver = lowestOf(free);
    let best = this.least(free ^ lowest, threes, state);
    if (best !== null) best += this.dive.left[diver]!;
    for (const column of this.dive.columns[diver]!) {
      if ((column.bits & free) !== column.bits || (column.three && threes === 0)) continue;
      for (const wave of column.waves) {
        const after = this.rooms.put(state, column, wave);
        if (after === null) continue;
        const rest = this.least(free ^ column.bits, threes - (column.three ? 1 : 0), after);
        if (rest !== null && (best === null || column.cost + rest < best)) best = column.cost + rest;
      }
    }
    this.known.set(key, best);
    return best;
  }
}
