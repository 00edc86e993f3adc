// The best way through all dives of a day, proven. The twin of pairing/several_walk.py.

import { type Column, NO_BOAT, type Placed, type Plan, type Several, boatOf, lowestOf, mostOf } from "./several.ts";
import { Between } from "./several_between.ts";
import { Completion, type State } from "./several_rooms.ts";

/** Branches each of the two passes may take; past them the best day met is given with its gap. */
export const MOST_STEPS = 30_000;

/** `plan` null: none cheaper than the limit was met. `ended`: nothing was left untried. */
export interface Walked {
  readonly plan: Plan | null;
  readonly cost: bigint;
  readonly ended: boolean;
}

interface Branch {
  readonly bound: bigint;
  readonly place: number;
  readonly column: Column | null;
  readonly wave: number;
  readonly now: bigint;
  readonly after: State;
  readonly rest: bigint;
}

/** The best day cheaper than `limit` (any, where it is null), and what no day costs less than. */
export function bestPlan(several: Several, limit: bigint | null = null, most = MOST_STEPS): [Walked, bigint] {
  const tables = several.dives.map((dive) => new Completion(dive, several.boats));
  const least = tables.reduce((sum, table) => sum + table.whole(), 0n);
  const first = new Walk(several, tables, limit ?? mostOf(several), false, most).found();
  if (first.plan === null) return [first, least];
  const inOrder = new Walk(several, tables, first.cost + 1n, true, most).found();
  const found = inOrder.plan === null ? first : inOrder;
  return [{ plan: found.plan, cost: found.cost, ended: first.ended }, first.ended ? first.cost : least];
}

/** One pass. The lists hold what has been decided so far and are put back on the way up. */
class Walk {
  private readonly several: Several;
  private readonly tables: readonly Completion[];
  private limit: bigint;
  private readonly byIds: boolean;
  private readonly most: number;
  private readonly between: Between;
  private readonly free: number[];
  private readonly threes: number[];
  private readonly states: State[];
  private readonly rest: bigint[];
  private readonly boatOf: number[];
  private readonly seats: number[];
  private readonly chosen: Placed[][];
  private readonly seen = new Map<string, bigint>();
  private best: Plan | null = null;
  private steps = 0;
  private done = false;

  constructor(several: Several, tables: readonly Completion[], limit: bigint, byIds: boolean, most: number) {
    this.several = several;
    this.tables = tables;
    this.limit = limit;
    this.byIds = byIds;
    this.most = most;
    this.between = new Between(several);
    this.free = several.dives.map((dive) => dive.free);
    this.threes = several.dives.map((dive) => dive.threes);
    this.states = tables.map((table) => table.rooms.start);
    this.rest = tables.map((table) => table.whole());
    this.boatOf = [...Array(several.size).keys()].map((diver) => boatOf(several, diver));
    this.seats = several.boats.map((boat) => boat.seats);
    this.chosen = several.dives.map(() => []);
  }

  found(): Walked {
    this.walk(0n);
    return { plan: this.best, cost: this.limit, ended: this.steps < this.most };
  }

  private walk(spent: bigint): void {
    const at = this.next();
    if (at === null) {
      if (spent < this.limit) {
        this.best = this.chosen.map((teams) => [...teams]);
        this.limit = spent;
        // In the order of ids the first day of the least cost is the answer.
        this.done = this.byIds;
      }
      return;
    }
    const branches = this.branches(at, spent);
    if (!this.byIds) branches.sort((a, b) => (a.bound < b.bound ? -1 : a.bound > b.bound ? 1 : a.place - b.place));
    const [free, threes, state, restBefore] = [this.free[at]!, this.threes[at]!, this.states[at]!, this.rest[at]!];
    for (const { bound, column, wave, now, after, rest } of branches) {
      if (this.done || bound >= this.limit) continue;
      if (this.steps >= this.most) {
        this.done = true;
        return;
      }
      this.steps++;
      const bits = column === null ? free & -free : column.bits;
      this.free[at] = free ^ bits;
      this.states[at] = after;
      this.rest[at] = rest;
      let fresh: readonly number[] = [];
      let boat = NO_BOAT;
      if (column !== null) {
        boat = this.several.dives[at]!.waves[wave]!.boat;
        this.threes[at] = threes - (column.three ? 1 : 0);
        fresh = this.seated(column, boat) ?? [];
        this.seat(fresh, boat, boat);
        this.chosen[at]!.push({ column, wave });
      }
      this.between.decide(at, bits, column === null);
      if (this.firstTime(now)) this.walk(now);
      this.between.undo(at, bits);
      if (column !== null) {
        this.chosen[at]!.pop();
        this.seat(fresh, boat, NO_BOAT);
      }
      this.free[at] = free;
      this.threes[at] = threes;
      this.states[at] = state;
      this.rest[at] = restBefore;
    }
  }

  /** The dive whose lowest free diver is the lowest of all; null once nothing is open. */
  private next(): number | null {
    let best: number | null = null;
    this.free.forEach((free, at) => {
      if (free !== 0 && (best === null || (free & -free) < (this.free[best]! & -this.free[best]!))) best = at;
    });
    return best;
  }

  /** Every way to decide the lowest diver of this dive, in the order of ids. */
  private branches(at: number, spent: bigint): Branch[] {
    const [free, state, table, dive] = [this.free[at]!, this.states[at]!, this.tables[at]!, this.several.dives[at]!];
    const others = this.rest.reduce((sum, one) => sum + one, 0n) - this.rest[at]!;
    const found: Branch[] = [];
    const branch = (column: Column | null, wave: number, more: bigint, rest: bigint | null, after: State): void => {
      if (rest === null) return;
      const bound = spent + more + rest + others;
      if (bound < this.limit) found.push({ bound, place: found.length, column, wave, now: spent + more, after, rest });
    };
    for (const column of dive.columns[lowestOf(free)]!) {
      if ((column.bits & free) !== column.bits || (column.three && this.threes[at] === 0)) continue;
      const more = column.cost + this.between.priceOf(at, column.bits, false);
      const left = this.threes[at]! - (column.three ? 1 : 0);
      for (const wave of column.waves) {
        const after = table.rooms.put(state, column, wave);
        if (after === null || this.seated(column, dive.waves[wave]!.boat) === null) continue;
        branch(column, wave, more, table.least(free ^ column.bits, left, after), after);
      }
    }
    const lowest = free & -free;
    const out = dive.left[lowestOf(free)]! + this.between.priceOf(at, lowest, true);
    branch(null, 0, out, table.least(free ^ lowest, this.threes[at]!, state), state);
    return found;
  }

  /** Whether a day can still come of this: not where the same was open before for no more. */
  private firstTime(now: bigint): boolean {
    const rest = this.rest.reduce((sum, one) => sum + one, 0n);
    if (now + rest + this.between.certain(this.free) >= this.limit) return false;
    const key = [this.free, this.threes, ...this.states, this.between.open(this.free), this.boatOf].join(";");
    const before = this.seen.get(key);
    if (before !== undefined && before <= now) return false;
    this.seen.set(key, now);
    return true;
  }

  /** Who of a team takes a free seat of this boat; null where one has another boat or the seats run out. */
  private seated(column: Column, boat: number): number[] | null {
    if (boat === NO_BOAT) return [];
    const fresh = column.members.filter((diver) => this.boatOf[diver] === NO_BOAT);
    if (column.members.some((diver) => this.boatOf[diver] !== NO_BOAT && this.boatOf[diver] !== boat)) return null;
    return fresh.length > this.seats[boat]! ? null : fresh;
  }

  private seat(divers: readonly number[], boat: number, now: number): void {
    for (const diver of divers) {
      this.boatOf[diver] = now;
      this.seats[boat]! += now === NO_BOAT ? 1 : -1;
    }
  }
}
