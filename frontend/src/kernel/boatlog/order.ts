// The one order in which entries are told, the same on every phone whatever came first.
// The twin of boatlog/order.py.

import type { Entry } from "./entries.ts";
import { markOf } from "./entries.ts";

export type Key = readonly (number | string)[];

/** Order of writing: hybrid clock, then device, its sequence, and for forks and altered copies id and mark. */
export function key(entry: Entry): Key {
  return [entry.clock.ms, entry.clock.n, entry.device, entry.seq, entry.id, markOf(entry)];
}

/** Order of happening: the instant claimed, then the order of writing. */
export function told(at: number, entry: Entry): Key {
  return [at, ...key(entry)];
}

/** Compares two keys item by item: negative, 0 or positive. */
export function compareKeys(left: Key, right: Key): number {
  for (let i = 0; i < left.length && i < right.length; i++) {
    const a = left[i]!;
    const b = right[i]!;
    if (a < b) return -1;
    if (a > b) return 1;
  }
  return left.length - right.length;
}

/** Compares two entries by order of writing. */
export function compareEntries(left: Entry, right: Entry): number {
  if (left === right) return 0;
  const inTime = left.clock.ms - right.clock.ms || left.clock.n - right.clock.n;
  return inTime === 0 ? compareKeys(key(left), key(right)) : inTime;
}

/** The greatest of some items by key; undefined when there are none. The first of equal ones. */
export function greatest<T>(items: readonly T[], keyOf: (item: T) => Key): T | undefined {
  let best: T | undefined;
  let bestKey: Key = [];
  for (const item of items) {
    const itemKey = keyOf(item);
    if (best === undefined || compareKeys(itemKey, bestKey) > 0) {
      best = item;
      bestKey = itemKey;
    }
  }
  return best;
}

/** A copy sorted by key; equal keys keep their order. */
export function sortedBy<T>(items: readonly T[], keyOf: (item: T) => Key): T[] {
  return items
    .map((item) => ({ item, at: keyOf(item) }))
    .sort((left, right) => compareKeys(left.at, right.at))
    .map(({ item }) => item);
}
