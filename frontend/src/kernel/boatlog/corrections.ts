// What the corrections of an entry say of it, those of its corrections included.
// The twin of boatlog/corrections.py.

import type { Data, Entry } from "./entries.ts";
import { markOf } from "./entries.ts";
import { PEOPLE_LISTS } from "./fold.ts";
import type { State } from "./fold.ts";
import { compareEntries } from "./order.ts";

// The same hand on the same phone, noticing at once: a mistap, not a second opinion.
export const UNDO_MS = 60 * 1000;
// The instants in an entry's data; each was read off the clock of the phone that wrote it.
export const INSTANTS: ReadonlySet<string> = new Set(["at", "earliest", "latest", "last_seen_at", "until"]);
const LAST_INSTANT = 2 ** 53 - 1;
// Entries of which a wrong name may be said: it was another person, or another team.
export const OF_A_PERSON: ReadonlySet<string> = new Set([
  "aboard",
  "ashore",
  "back_aboard",
  "depth_reported",
  "lost_from_sight",
  "person_went_in",
  "seen_at_surface",
  "surfaced_alone",
  "transferred",
]);
export const OF_A_TEAM: ReadonlySet<string> = new Set(["down", "left_bottom", "marker_seen", "surfaced"]);

/** A time (ms) and the entry whose phone's clock it was read off. */
export interface Instant {
  readonly ms: number;
  readonly by: Entry;
}

/**
 * What one correction says that the entry at the root should have said; null: nothing of that. `void`: it did not
 * happen. `denies`: the mark of the correction that it takes back; it then says nothing else. `timedBy`: whose clock the
 * instants in `data` were read off. `disputed`: a later correction names this one.
 */
export interface Word {
  readonly correction: Entry;
  readonly void: boolean;
  readonly denies: string | null;
  readonly subject: string | null;
  readonly at: Instant | null;
  readonly earliest: Instant | null;
  readonly latest: Instant | null;
  readonly data: Data | null;
  readonly timedBy: Entry;
  readonly disputed: boolean;
}

/**
 * Whether the hand that made the entry corrected it there and then. A correction is somebody's word: only they take it
 * back so, though another answers on the same phone.
 */
export function isAtOnce(entry: Entry, correction: Entry): boolean {
  if (correction.device !== entry.device || (entry.kind === "correction" && correction.by !== entry.by)) return false;
  const took = correction.clock.ms - entry.clock.ms;
  // A clock that was ahead and was put right leaves the stamps standing still: then the phone's own time must agree.
  const tookMs = correction.clock.n > 0 ? Math.max(took, Math.abs(correction.at - entry.at)) : took;
  return compareEntries(correction, entry) > 0 && tookMs <= UNDO_MS;
}

/** What is said of an entry by the corrections that stand, in order of writing. */
export function wordsOn(state: State, entry: Entry): Word[] {
  const { line, named } = tree(state, entry);
  const undone = line.map(() => false);
  const disputed = line.map(() => false);
  // Whatever names a correction stands behind it in the line.
  for (let index = line.length - 1; index > 0; index--) {
    if (undone[index]) continue;
    if (!disputed[index] && isAtOnce(line[named[index]!]!, line[index]!)) undone[named[index]!] = true;
    else disputed[named[index]!] = true;
  }
  const said: (Word | null)[] = [null];
  for (let index = 1; index < line.length; index++) said.push(wordOf(entry, line[index]!, said[named[index]!]!, disputed[index]!));
  return said
    .filter((word, index): word is Word => word !== null && !undone[index] && !(word.denies !== null && undone[named[index]!]))
    .sort((left, right) => compareEntries(left.correction, right.correction));
}

/** The entry and all that corrects it, nearest first, and of each the place of what it names. Each once. */
function tree(state: State, entry: Entry): { line: Entry[]; named: number[] } {
  const line = [entry];
  const named = [0];
  const seen = new Set([markOf(entry)]);
  for (let index = 0; index < line.length; index++) {
    for (const other of state.corrections.get(line[index]!.id) ?? []) {
      if (seen.has(markOf(other)) || other.id === line[index]!.id) continue;
      seen.add(markOf(other));
      line.push(other);
      named.push(index);
    }
  }
  return { line, named };
}

function wordOf(entry: Entry, correction: Entry, before: Word | null, disputed: boolean): Word {
  const { data } = correction;
  let subject = OF_A_PERSON.has(entry.kind) || OF_A_TEAM.has(entry.kind) ? ((data["subject"] as string | undefined) ?? null) : null;
  const isVoid = data["void"] === true && subject === null;
  const denies = isVoid && before !== null ? markOf(before.correction) : null;
  const kept = isVoid || before === null || before.void || before.denies !== null ? null : before;
  const instant = (name: string): Instant | null => (data[name] === undefined ? null : { ms: data[name] as number, by: correction });
  const own = instant("at");
  const span = (name: "earliest" | "latest") => instant(name) ?? (own === null && kept !== null ? kept[name] : null);
  const brings = (data["data"] as Data | undefined) ?? null;
  let [all, timedBy] = [brings, correction];
  if (kept !== null) {
    subject ??= kept.subject;
    all = kept.data === null ? brings : { ...kept.data, ...(brings ?? {}) };
    if (!Object.keys(brings ?? {}).some((name) => INSTANTS.has(name))) timedBy = kept.timedBy;
  }
  return {
    correction,
    void: isVoid,
    denies,
    subject,
    at: own ?? kept?.at ?? null,
    earliest: span("earliest"),
    latest: span("latest"),
    data: all,
    timedBy,
    disputed,
  };
}

/** The data of an entry with every instant in it (ms) moved; those that a correction brings in too. */
export function moved(data: Data, byMs: number): Data {
  const found: Record<string, unknown> = {};
  for (const [name, value] of Object.entries(data)) {
    if (name === "data" && typeof value === "object" && value !== null && !Array.isArray(value)) found[name] = moved(value as Data, byMs);
    else if (INSTANTS.has(name) && typeof value === "number") found[name] = Math.max(0, Math.min(LAST_INSTANT, value + byMs));
    else found[name] = value;
  }
  return found;
}

/** Whom a correction brings into an entry or takes out of it, and the team it names instead. */
export function brought(entry: Entry, subject: string | null, data: Data | null): Set<string> {
  const found = new Set(subject === null ? [] : [subject]);
  for (const name of PEOPLE_LISTS) {
    if (!Array.isArray(data?.[name])) continue;
    const [right, wrong] = [texts(data[name]), texts(entry.data[name])];
    for (const each of [...right, ...wrong]) if (!right.has(each) || !wrong.has(each)) found.add(each);
  }
  return found;
}

/** Whom all that was said of an entry brings into it: it is about them too, so none settles it alone. */
export function broughtBy(entry: Entry, words: readonly Word[]): Set<string> {
  return new Set(words.flatMap((word) => [...brought(entry, word.subject, word.data)]));
}

function texts(listed: unknown): Set<string> {
  return new Set(Array.isArray(listed) ? listed.filter((item) => typeof item === "string") : []);
}
