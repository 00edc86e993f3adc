// Roll calls, and whether the boat may leave: sets are compared, never numbers.
// The twin of boatlog/rollcall.py.

import { readings } from "./claims.ts";
import type { Claim, Question } from "./claims.ts";
import type { State } from "./fold.ts";
import { compareEntries, greatest, key, sortedBy, told } from "./order.ts";
import type { Presence } from "./presence.ts";

// A count serves one departure: the next one is counted again.
const REOPEN = [
  "aboard",
  "back_aboard",
  "departed",
  "down",
  "joined",
  "person_went_in",
  "phone_lost",
  "surfaced",
  "surfaced_alone",
  "transferred",
];

/** One count: who took it, whether every naming was active, and whom it named since it was opened. */
export interface Count {
  readonly count: string;
  readonly by: readonly string[];
  readonly active: boolean;
  readonly seen: readonly string[];
}

/** How far the count is. `since`: what last opened it (ms); null: nothing yet. */
export interface RollCall {
  readonly complete: boolean;
  readonly since: number | null;
  readonly named: readonly string[];
  readonly missing: readonly string[];
  readonly counts: readonly Count[];
}

/** The roll call that counts now: the one that misses the fewest. */
export function rollCall(state: State, where: ReadonlyMap<string, Presence>): RollCall {
  const opened = REOPEN.flatMap((kind) => state.byKind.get(kind) ?? []).flatMap((entry) => readings(state, entry).claims);
  const last = greatest(opened, (claim) => [claim.latest, ...key(claim.entry)]);
  const namings = new Map<string, Claim[]>();
  for (const entry of state.byKind.get("roll_call_taken") ?? []) {
    const read = readings(state, entry);
    if (read.claims.length === 0 || read.doubted || !read.claims.every((claim) => isSince(claim, last))) continue;
    const count = entry.data["count"] as string;
    namings.set(count, [...(namings.get(count) ?? []), ...read.claims]);
  }
  const wanted = [...where].filter(([, presence]) => presence.state !== "ashore").map(([person]) => person);
  const counts = sortedBy([...namings], ([count, claims]) => [...latestOf(claims), count]).map(([count, claims]) => countOf(count, claims));
  let best: Count | null = null;
  for (const count of counts) if (best === null || lacking(wanted, count) < lacking(wanted, best)) best = count;
  const seen = new Set(best?.seen ?? []);
  const missing = wanted.filter((person) => !seen.has(person)).sort();
  return { complete: best !== null && missing.length === 0, since: last?.at ?? null, named: [...seen].sort(), missing, counts };
}

/** Whether two named people decided to leave with someone not accounted for, after the count was last opened. */
export function overridden(state: State, since: number | null): boolean {
  const named = new Set<string>();
  for (const entry of state.byKind.get("override") ?? []) {
    for (const claim of readings(state, entry).claims) {
      // Without a reason it is not a decision that the record can carry.
      const given = entry.text_hash !== undefined && claim.data["rule"] === "departure";
      if (!given || (since !== null && claim.at < since)) continue;
      for (const person of [entry.by, claim.data["with"] as string | null]) if (person !== null) named.add(person);
    }
  }
  return named.size > 1;
}

/** A question for every departure with someone not accounted for; `missingAt` by entry id. */
export function departures(state: State, missingAt: ReadonlyMap<string, readonly string[]>): Question[] {
  const found: Question[] = [];
  for (const entry of state.byKind.get("departed") ?? []) {
    const people = missingAt.get(entry.id) ?? [];
    if (people.length > 0) found.push({ code: "departed_not_accounted_for", entries: [entry.id], people, subject: null });
  }
  return found;
}

function lacking(wanted: readonly string[], count: Count): number {
  return wanted.filter((person) => !count.seen.includes(person)).length;
}

function isSince(claim: Claim, opened: Claim | undefined): boolean {
  if (opened === undefined || claim.earliest > opened.latest) return true;
  return claim.earliest === opened.latest && compareEntries(claim.entry, opened.entry) > 0;
}

function latestOf(claims: readonly Claim[]) {
  const last = greatest(claims, (claim) => told(claim.at, claim.entry))!;
  return told(last.at, last.entry);
}

function countOf(count: string, claims: readonly Claim[]): Count {
  const by = claims.map((claim) => claim.entry.by).filter((person) => person !== null);
  return {
    count,
    by: [...new Set(by)].sort(),
    active: claims.every((claim) => claim.data["method"] !== "seen"),
    seen: [...new Set(claims.flatMap((claim) => claim.data["seen"] as string[]))].sort(),
  };
}
