// The chain of each phone: every entry carries the hash of the one before it.
// The twin of boatlog/chain.py.

import { tick } from "./clock.ts";
import type { Clock } from "./clock.ts";
import type { Data, Entry } from "./entries.ts";
import { hashOf, markOf, read, uuid7 } from "./entries.ts";
import { sortedBy } from "./order.ts";

export const VERSION = 1;

/** The last entry of one phone's chain. */
export interface Head {
  readonly seq: number;
  readonly hash: string;
}

/** What is wrong in one phone's chain: altered, forked, not_linked, or missing (not here yet, or lost). */
export interface ChainTrouble {
  readonly code: string;
  readonly device: string;
  readonly seq: number;
  readonly entries: readonly string[];
}

/** What a screen says; the chain adds the rest. */
export interface Draft {
  readonly trip: string;
  readonly device: string;
  readonly by: string | null;
  readonly at: number;
  readonly kind: string;
  readonly subject: string;
  readonly data: Data;
  readonly text_hash?: string;
  readonly corrects?: string;
}

/** The next entry of this phone's chain; `random` is 10 bytes. Throws NotAnEntry or NotCanonical. */
export function append(head: Head | null, last: Clock | null, wallMs: number, random: Uint8Array, draft: Draft): Entry {
  const stamp = tick(last, wallMs);
  const value = {
    ...draft,
    id: uuid7(wallMs, random),
    v: VERSION,
    seq: head === null ? 1 : head.seq + 1,
    clock: { ms: stamp.ms, n: stamp.n },
    prev_hash: head === null ? null : head.hash,
  };
  return read({ ...value, hash: hashOf(value) });
}

/** Whether the entry's hash is the hash of what it says. */
export function isUnaltered(entry: Entry): boolean {
  return hashOf(entry) === entry.hash;
}

/** What is wrong in the chain of one phone, in order of its sequence. */
export function check(entries: Iterable<Entry>): ChainTrouble[] {
  const places = new Map<number, Entry[]>();
  for (const entry of entries) places.set(entry.seq, [...(places.get(entry.seq) ?? []), entry]);
  const found: ChainTrouble[] = [];
  let before = 0;
  for (const seq of [...places.keys()].sort((a, b) => a - b)) {
    const here = sortedBy(places.get(seq)!, (entry) => [entry.id, markOf(entry)]);
    const device = here[0]!.device;
    if (seq > before + 1) found.push({ code: "missing", device, seq: before + 1, entries: [] });
    for (const entry of here) if (!isUnaltered(entry)) found.push({ code: "altered", device, seq, entries: [entry.id] });
    if (here.length > 1) found.push({ code: "forked", device, seq, entries: here.map((entry) => entry.id) });
    if (seq === before + 1) {
      const hashes = new Set<string | null>((places.get(before) ?? []).map((entry) => entry.hash));
      if (hashes.size === 0) hashes.add(null);
      for (const entry of here) {
        if (!hashes.has(entry.prev_hash)) found.push({ code: "not_linked", device, seq, entries: [entry.id] });
      }
    }
    before = seq;
  }
  return found;
}
