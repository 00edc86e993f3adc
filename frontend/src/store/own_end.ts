import { isUnaltered } from "../kernel/boatlog/chain.ts";
import type { Head, StoredEntry } from "./records.ts";
import { headAfter } from "./store.ts";

/**
 * Where the chain of `device` goes on from `end` in what came back: the phone died with entries in memory that it had
 * handed in. Only by the hashes that it kept of them (`own`): an entry that another phone wrote in its name would move
 * its end, and be signed by it. Undefined: nowhere.
 */
export function ownEnd(device: string, own: string, end: Head | undefined, entries: readonly StoredEntry[]): Head | undefined {
  let found: Head | undefined;
  for (const one of entries) {
    const { entry } = one;
    const before = (found ?? end)?.hash ?? null;
    if (entry.device === device && entry.prev_hash === before && own.includes(entry.hash) && isUnaltered(entry)) found = headAfter(device, one);
  }
  return found;
}
