// The state of a boat log: a snapshot and a set of entries, indexed for the questions asked of it.
// The twin of boatlog/fold.py: a set, so that the order of arrival cannot matter.

import { isUnaltered } from "./chain.ts";
import type { Data, Entry } from "./entries.ts";
import { dataProblems, markOf } from "./entries.ts";
import { grown } from "./grown.ts";
import { compareEntries } from "./order.ts";
import { KINDS } from "./schema.ts";
import type { Snapshot } from "./snapshot.ts";

export type Index = ReadonlyMap<string, readonly Entry[]>;

// Where in its data an entry lists people.
export const PEOPLE_LISTS = ["members", "people", "seen"] as const;

/** All entries known, each index in order of writing; see boatlog/fold.py for what each holds. */
export interface State {
  readonly snapshot: Snapshot;
  readonly entries: ReadonlyMap<string, Entry>;
  readonly byKind: Index;
  readonly about: Index;
  readonly byDevice: Index;
  readonly byId: Index;
  readonly corrections: Index;
  readonly compared: Index;
  readonly aside: Index;
}

type IndexName = "byKind" | "about" | "byDevice" | "byId" | "corrections" | "compared" | "aside";

// An entry that was altered after it was written must never be what accounts for a person.
const ACCOUNTING: ReadonlySet<string> = new Set([
  "aboard",
  "ashore",
  "back_aboard",
  "count_finished",
  "override",
  "question_settled",
  "roll_call_taken",
  "surfaced",
  "surfaced_alone",
  "trip_ended",
]);
const INDEXES: readonly IndexName[] = ["byKind", "about", "byDevice", "byId", "corrections", "compared", "aside"];

/** The state before any entry. */
export function begin(snapshot: Snapshot): State {
  const empty: Index = new Map();
  return { snapshot, entries: new Map(), byKind: empty, about: empty, byDevice: empty, byId: empty, corrections: empty, compared: empty, aside: empty };
}

/** The state with one more entry; the same state when it is there already. */
export function add(state: State, entry: Entry): State {
  const mark = markOf(entry);
  if (state.entries.has(mark)) return state;
  const lines = Object.fromEntries(INDEXES.map((name) => [name, new Map()])) as Record<IndexName, Map<string, readonly Entry[]>>;
  for (const [name, word] of places(state.snapshot, entry)) {
    const line = [...(lines[name].get(word) ?? state[name].get(word) ?? [])];
    let at = line.length;
    while (at > 0 && compareEntries(line[at - 1]!, entry) > 0) at--;
    line.splice(at, 0, entry);
    lines[name].set(word, line);
  }
  // An index without a new line stays the same one: what was worked out from it need not be again.
  const indexes = Object.fromEntries(INDEXES.map((name) => [name, grown(state[name], lines[name])])) as Record<IndexName, Index>;
  return { snapshot: state.snapshot, entries: grown(state.entries, new Map([[mark, entry]])), ...indexes };
}

/** The state of a whole set of entries, in any order, repeats allowed. Equal to adding them one by one. */
export function fold(snapshot: Snapshot, entries: Iterable<Entry>): State {
  const known = new Map<string, Entry>();
  const lines = Object.fromEntries(INDEXES.map((name) => [name, new Map()])) as Record<IndexName, Map<string, Entry[]>>;
  for (const entry of entries) {
    const mark = markOf(entry);
    if (known.has(mark)) continue;
    known.set(mark, entry);
    for (const [name, word] of places(snapshot, entry)) {
      const line = lines[name].get(word);
      if (line === undefined) lines[name].set(word, [entry]);
      else line.push(entry);
    }
  }
  for (const name of INDEXES) for (const line of lines[name].values()) line.sort(compareEntries);
  return { snapshot, entries: known, ...lines };
}

/** Where in the indexes an entry belongs. */
function places(snapshot: Snapshot, entry: Entry): [IndexName, string][] {
  const found: [IndexName, string][] = [
    ["byDevice", entry.device],
    ["byId", entry.id],
  ];
  const altered = !isUnaltered(entry);
  if (altered) found.push(["aside", "altered"]);
  if (entry.trip !== snapshot.trip) return [...found, ["aside", "other_trip"]];
  if (!KINDS.has(entry.kind)) return [...found, ["aside", "unknown_kind"]];
  if (dataProblems(entry).length > 0) return [...found, ["aside", "not_understood"]];
  if (altered && (ACCOUNTING.has(entry.kind) || entry.kind === "correction" || entry.kind === "clock_compared")) return found;
  found.push(["byKind", entry.kind]);
  if (entry.corrects !== undefined && entry.kind === "correction") found.push(["corrections", entry.corrects]);
  if (entry.kind === "clock_compared") found.push(["compared", entry.device]);
  for (const word of mentioned(entry)) found.push(["about", word]);
  return found;
}

/** Every id that an entry of a known kind is about; a correction also of those that it brings in. */
export function mentioned(entry: Entry): Set<string> {
  const found = named(entry.data).add(entry.subject);
  if (entry.kind === "correction") {
    for (const word of named((entry.data["data"] as Data | undefined) ?? {})) found.add(word);
    if (entry.data["subject"] !== undefined) found.add(entry.data["subject"] as string);
  }
  return found;
}

/** The entries that a correction is about in the end, where it corrects a correction; none where there is no end. */
export function roots(state: State, correction: Entry): Entry[] {
  const found: Entry[] = [];
  const seen = new Set([correction.id]);
  const wanted = [correction.corrects];
  for (const id of wanted) {
    if (id === undefined || seen.has(id)) continue;
    seen.add(id);
    for (const entry of state.byId.get(id) ?? []) {
      if (entry.kind === "correction") wanted.push(entry.corrects);
      else if (actedOn(state, entry)) found.push(entry);
    }
  }
  return found;
}

/** Whether an entry counts: known and understood, of this trip, not altered where that matters. */
export function actedOn(state: State, entry: Entry): boolean {
  const line = state.byKind.get(entry.kind) ?? [];
  let [low, high] = [0, line.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (compareEntries(line[middle]!, entry) < 0) low = middle + 1;
    else high = middle;
  }
  return low < line.length && markOf(line[low]!) === markOf(entry);
}

/** The entries about a person or team in order of writing, those included that only a correction brings in. */
export function about(state: State, word: string): readonly Entry[] {
  const line = state.about.get(word) ?? [];
  if (line.every(({ kind }) => kind !== "correction")) return line;
  const found = new Set(line.filter((entry) => entry.kind !== "correction"));
  for (const correction of line) {
    if (correction.kind === "correction") for (const entry of roots(state, correction)) found.add(entry);
  }
  return [...found].sort(compareEntries);
}

function named(data: Data): Set<string> {
  const found = new Set<string>();
  for (const name of [...PEOPLE_LISTS, "teams"]) {
    const listed = data[name];
    if (Array.isArray(listed)) for (const item of listed) if (typeof item === "string") found.add(item);
  }
  for (const name of ["dive", "team"]) {
    const word = data[name];
    if (typeof word === "string") found.add(word);
  }
  return found;
}
