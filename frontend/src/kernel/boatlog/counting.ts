// Two counts compared, by the published practice: written, independent, by name, one of them active at least.
// The twin of boatlog/counting.py, where the source is named.

import type { Claim } from "./claims.ts";
import { greatest, sortedBy, told } from "./order.ts";
import type { Key } from "./order.ts";

export type Stage = "counting" | "agree" | "recount" | "emergency";

/** One count as it is shown; `finished_at` and `counter`: when (ms) and by whom it was ended, null: still going. */
export interface Count {
  readonly count: string;
  readonly by: readonly string[];
  readonly active: boolean;
  readonly seen: readonly string[];
  readonly missing: readonly string[];
  readonly methods: readonly string[];
  readonly finished_at: number | null;
  readonly counter: string | null;
  readonly heads: number | null;
  readonly agrees: boolean;
}

/** A count with the entry that ended it and its place in time. */
export interface Ended {
  readonly shown: Count;
  readonly entry: string | null;
  readonly finished: Key;
}

/** How far it is; the last two counts compared and who differs. */
export interface Compared {
  readonly stage: Stage;
  readonly counts: readonly string[];
  readonly entries: readonly string[];
  readonly differ: readonly string[];
}

/** Of a count of all boats, judged for one: who may be on that one, and all who ought to be counted anywhere. */
export interface Among {
  readonly people: ReadonlySet<string>;
  readonly wanted: readonly string[];
}

/** One count from the claims that name people in it and those that end it; `ofAll`: where it is of all boats. */
export function countOf(count: string, namings: readonly Claim[], ends: readonly Claim[], wanted: readonly string[], ofAll: Among | null = null): Ended {
  const end = greatest(ends, (claim) => told(claim.at, claim.entry));
  const by = new Set(namings.map((claim) => claim.entry.by).filter((person) => person !== null));
  const named = new Set(namings.flatMap((claim) => claim.data["seen"] as string[]));
  const seen = ofAll === null ? named : new Set([...named].filter((person) => ofAll.people.has(person)));
  const methods = new Set(namings.map((claim) => claim.data["method"] as string));
  if (end !== undefined) methods.add(end.data["method"] as string);
  const heads = (end?.data["heads"] as number | null | undefined) ?? null;
  const missing = wanted.filter((person) => !seen.has(person)).sort();
  // A number alone stands against the number of those who ought to be here; names are compared one by one.
  const number = heads === null || heads === (named.size > 0 ? named.size : new Set(ofAll?.wanted ?? wanted).size);
  const complete = seen.size > 0 ? missing.length === 0 : heads !== null;
  const counter = end?.entry.by ?? null;
  // Whoever ends a count that somebody else named people in did not count on their own.
  const own = counter !== null && [...by].every((person) => person === counter);
  return {
    shown: {
      count,
      by: [...by].sort(),
      active: !methods.has("seen") && (seen.size > 0 || end === undefined),
      seen: [...seen].sort(),
      missing,
      methods: [...methods].sort(),
      finished_at: end?.at ?? null,
      counter: own ? counter : null,
      heads,
      agrees: own && number && complete,
    },
    entry: end?.entry.id ?? null,
    finished: end === undefined ? [] : told(end.at, end.entry),
  };
}

/** The counts that were ended, two by two in order of their ends. `alone`: one crew member counts twice. */
export function compare(counts: readonly Ended[], alone: boolean): Compared {
  let waiting: Ended | null = null;
  const pairs: [Ended, Ended][] = [];
  const ended = counts.filter(({ shown }) => shown.finished_at !== null && shown.counter !== null);
  for (const count of sortedBy(ended, (each) => [...each.finished, each.shown.count])) {
    if (waiting !== null && independent(waiting.shown, count.shown, alone)) {
      pairs.push([waiting, count]);
      waiting = null;
    } else {
      waiting = count;
    }
  }
  const failed = pairs.filter((pair) => !agree(pair)).length;
  const last = pairs.at(-1);
  const good = last !== undefined && agree(last);
  let stage: Stage = failed > 0 || good ? "recount" : "counting";
  if (good && (waiting === null || waiting.shown.agrees)) stage = "agree";
  else if (failed > 1) stage = "emergency";
  if (last === undefined) return { stage, counts: [], entries: [], differ: [] };
  const named = last.map(({ shown }) => shown).filter((each) => each.seen.length > 0);
  const differ = new Set(named.flatMap((each) => each.missing));
  if (named.length === 2) {
    const [first, second] = named as [Count, Count];
    for (const person of first.seen) if (!second.seen.includes(person)) differ.add(person);
    for (const person of second.seen) if (!first.seen.includes(person)) differ.add(person);
  }
  const entries = [...new Set(last.map(({ entry }) => entry).filter((entry) => entry !== null))].sort();
  return { stage, counts: last.map(({ shown }) => shown.count), entries, differ: [...differ].sort() };
}

function independent(first: Count, second: Count, alone: boolean): boolean {
  if (first.counter !== second.counter) return true;
  return alone && first.active && second.active && !first.methods.some((method) => second.methods.includes(method));
}

function agree([{ shown: first }, { shown: second }]: readonly [Ended, Ended]): boolean {
  const same =
    first.seen.length === 0 ||
    second.seen.length === 0 ||
    (first.seen.length === second.seen.length && first.seen.every((person) => second.seen.includes(person)));
  return first.agrees && second.agrees && same && (first.active || second.active);
}
