import { isUnaltered } from "../kernel/boatlog/chain.ts";
import type { Head, StoredEntry } from "./records.ts";
import { headAfter } from "./store.ts";

/**
 * Where the chain of `device` goes on from `end` in what came back: the phone died with entries in memory that it had
 * handed in. Only by the hashes that it kept of them (`own`): an entry that another phone wrote in its name would move
 * its end, and be signed by it. Undefined: nowhere.
 */
export function ownEnd(device: string, own: string, end: Head, entries: readonly StoredEntry[]): Head | undefined {
  const after = new Map(entries.filter(({ entry }) => entry.device === device && own.includes(entry.hash) && isUnaltered(entry)).map((one) => [one.entry.prev_hash, one]));
  let found: Head | undefined;
  for (let next = after.get(end.hash); next !== undefined; next = after.get(next.entry.hash)) found = headAfter(device, next);
  return found;
}
