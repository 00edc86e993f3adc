// What an entry claims, once corrections and uncertain clocks are taken in.
// The twin of boatlog/claims.py.

import { canonical } from "./canonical.ts";
import { brought, INSTANTS, isAtOnce, wordsOn } from "./corrections.ts";
import type { Word } from "./corrections.ts";
import { markOf } from "./entries.ts";
import type { Data, Entry } from "./entries.ts";
import type { Index, State } from "./fold.ts";
import { ENTRY, problems } from "./schema.ts";
import { RECORD, settles } from "./settling.ts";

// A phone clock this near to the server's is right enough for tables that count minutes.
export const HONEST_CLOCK_MS = 2000;
// Claims that differ by less than a minute, the unit of the tables, are not worth a question.
export const DISPUTE_MS = 60 * 1000;
const LAST_INSTANT = 2 ** 53 - 1;

/** Something for people to settle: which entries, whom it concerns. */
export interface Question {
  readonly code: string;
  readonly entries: readonly string[];
  readonly people: readonly string[];
  readonly subject: string | null;
}

/**
 * One reading of one entry: it happened to `subject` between `earliest` and `latest` (ms), said to be `at`. `shift` (ms) puts other
 * instants of its data at the earliest they can be by the clock they were read off. `clock`: whose clock, between which
 * comparisons, where it was written as it happened; null where anything was told. Of two with the same one the order is
 * sure, however uncertain the time of day.
 */
export interface Claim {
  readonly entry: Entry;
  readonly subject: string;
  readonly at: number;
  readonly earliest: number;
  readonly latest: number;
  readonly data: Data;
  readonly shift: number;
  readonly clock: string | null;
}

/** All readings of an entry that still count. `doubted`: one person says it did not happen. `differ`: its corrections do not agree. */
export interface Readings {
  readonly claims: readonly Claim[];
  readonly doubted: boolean;
  readonly questions: readonly Question[];
  readonly differ: boolean;
}

// What an entry claims rests on the clocks compared and the corrections alone: kept while neither changes.
const kept = new WeakMap<Index, { readonly corrections: Index; readonly found: WeakMap<Entry, Readings> }>();

/** The readings of an entry, and the questions its corrections raise. */
export function readings(state: State, entry: Entry): Readings {
  let known = kept.get(state.compared);
  if (known?.corrections !== state.corrections) kept.set(state.compared, (known = { corrections: state.corrections, found: new WeakMap() }));
  let read = known.found.get(entry);
  if (read === undefined) known.found.set(entry, (read = readingsOf(state, entry)));
  return read;
}

function readingsOf(state: State, entry: Entry): Readings {
  const said = state.corrections.has(entry.id) ? wordsOn(state, entry) : [];
  if (said.length === 0) return { claims: [claim(state, entry, null)], doubted: false, questions: [], differ: false };
  const atOnce = said.filter((word) => word.denies === null && !word.disputed && isAtOnce(entry, word.correction));
  const base = atOnce.at(-1) ?? null;
  const later = new Map<string, Word[]>();
  for (const word of said) {
    if (word.denies !== null || atOnce.includes(word)) continue;
    const text = saying(state, word);
    later.set(text, [...(later.get(text) ?? []), word]);
  }
  const groups = [...later]
    .sort(([left], [right]) => (left < right ? -1 : 1))
    .map(([, words]) => {
      const denied = denials(said, words);
      return { words, denied, agreed: settled(entry, words, words), out: settled(entry, words, denied) };
    });
  const sure = groups.filter(({ agreed, out }) => agreed && !out);
  const counted = sure.length > 0 ? sure : groups.filter(({ agreed, out }) => agreed || !out);
  const claims: Claim[] = [];
  if (sure.length === 0 && base?.void !== true) claims.push(claim(state, entry, base));
  for (const { words } of counted) if (!words[0]!.void) claims.push(claim(state, entry, words[0]!));
  const doubts = sure.length > 0 ? [] : counted.flatMap(({ denied }) => denied);
  const named = [...doubts, ...counted.flatMap(({ words }) => words)].map(({ correction }) => correction.id);
  const differ = counted.length > 1 || doubts.length > 0;
  const questions: Question[] = [];
  if (differ || (counted.length > 0 && sure.length === 0 && RECORD.has(entry.kind))) {
    const code = differ ? "corrections_differ" : "correction_not_settled";
    questions.push({ code, entries: [...new Set([entry.id, ...named])].sort(), people: [], subject: entry.subject });
  }
  return { claims, doubted: claims.length > 0 && counted.some(({ words }) => words[0]!.void), questions, differ };
}

/** Those who say that such a correction should not stand, disputed ones included. */
function denials(said: readonly Word[], words: readonly Word[]): Word[] {
  const marks = new Set(words.map((word) => markOf(word.correction)));
  return said.filter((word) => word.denies !== null && marks.has(word.denies));
}

/** Whether those whose word nobody disputes are enough to settle what these corrections say. */
function settled(entry: Entry, about: readonly Word[], voices: readonly Word[]): boolean {
  const named = voices.filter((word) => !word.disputed).map((word) => word.correction.by);
  return settles(entry, named, brought(entry, about[0]!.subject, about[0]!.data));
}

/** All readings in one: no earlier and no later than any. What accounts for somebody has to hold in each of them. */
export function together({ claims }: Readings): Claim {
  const first = claims[0]!;
  if (claims.length === 1) return first;
  return {
    ...first,
    at: Math.min(...claims.map(({ at }) => at)),
    earliest: Math.min(...claims.map(({ earliest }) => earliest)),
    latest: Math.max(...claims.map(({ latest }) => latest)),
    clock: null,
  };
}

/** What a decision (a plan, a team, who holds the deck) amounts to; null when someone took it back. */
export function standing(state: State, entry: Entry): Claim | null {
  const read = readings(state, entry);
  if (read.claims.length === 0 || read.doubted) return null;
  // One correction is what was meant; with two that differ the decision as first entered stays.
  return read.claims.length === 2 && !read.differ ? read.claims[1]! : read.claims[0]!;
}

/** All decisions of a kind that stand, in order of writing. */
export function decided(state: State, kind: string): Claim[] {
  return (state.byKind.get(kind) ?? []).map((entry) => standing(state, entry)).filter((found) => found !== null);
}

/** What a correction says, apart from who says it and why; times by the log's, so that two phones can agree. */
function saying(state: State, word: Word): string {
  if (word.void) return "void";
  const said: Record<string, unknown> = word.subject === null ? {} : { subject: word.subject };
  for (const name of ["at", "earliest", "latest"] as const) {
    const instant = word[name];
    if (instant !== null) Object.assign(said, moved({ [name]: instant.ms }, shift(state, instant.by)));
  }
  if (word.data !== null) said["data"] = moved(word.data, shift(state, word.timedBy));
  return canonical(said);
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

/** The entry as it stands, or as one correction says it should read. */
function claim(state: State, entry: Entry, correction: Word | null): Claim {
  const own = shiftsOf(state, entry);
  const word = correction === null || correction.void ? null : correction;
  const brings = word?.data ?? null;
  const data = brings === null ? entry.data : fitting(entry, { ...entry.data, ...brings });
  // A corrected time was read off the clock of whoever corrects, not of whoever wrote first.
  const told = word?.at ?? null;
  const [at, clock] = told === null ? [entry.at, own] : [told.ms, shiftsOf(state, told.by)];
  const spans: [number, readonly Shift[]][] = [[at, clock]];
  for (const name of ["earliest", "latest"] as const) {
    const said = word?.[name] ?? null;
    if (said !== null) spans.push([said.ms, shiftsOf(state, said.by)]);
    else if (entry.data[name] !== undefined && told === null) spans.push([entry.data[name] as number, own]);
  }
  const moves = word !== null && data !== entry.data && Object.keys(brings ?? {}).some((name) => INSTANTS.has(name));
  const within = moves ? shiftsOf(state, word.timedBy) : own;
  return {
    entry,
    subject: word?.subject ?? entry.subject,
    at: at + clock[0]![0],
    earliest: Math.min(...spans.flatMap(([instant, shifts]) => shifts.map(([offset, error]) => instant + offset - error))),
    latest: Math.max(...spans.flatMap(([instant, shifts]) => shifts.map(([offset, error]) => instant + offset + error))),
    data,
    shift: Math.min(...within.map(([offset, error]) => offset - error)),
    clock: spans.length === 1 && told === null && asItHappened(entry, own) ? oneClock(state, entry) : null,
  };
}

/** The corrected data, or the entry's own where a correction would make nonsense of it. */
function fitting(entry: Entry, data: Data): Data {
  return problems(ENTRY.$defs![entry.kind]!, data, ENTRY).length > 0 ? entry.data : data;
}

/** What to add to that phone's clock now to have the log's time (ms); 0 while it is right enough, or not known. */
export function ownOffset(state: State, device: string): number {
  return own(state, device)[0];
}

/** How far the log's time may be off when reckoned from that phone's clock now (ms); 0 as for `ownOffset`. */
export function ownError(state: State, device: string): number {
  return own(state, device)[1];
}

/** How far the time of an entry may be off because of the clock that it was read off (ms). */
export function unsure(state: State, entry: Entry): number {
  const shifts = shiftsOf(state, entry);
  const at = shifts[0]![0];
  return Math.max(...shifts.map(([offset, error]) => Math.max(at - offset + error, offset + error - at)));
}

/** The last comparison of a phone's clock, by its own sequence; null: it was never compared. */
export function lastCompared(state: State, device: string): Entry | null {
  const line = state.compared.get(device) ?? [];
  return line.reduce<Entry | null>((last, compared) => (last === null || compared.seq > last.seq ? compared : last), null);
}

function own(state: State, device: string): Shift {
  const last = lastCompared(state, device);
  return last === null ? [0, 0] : counted(last);
}

/** When the entry says that it happened, by the log's time (ms): its phone's clock put right. */
export function happened(state: State, entry: Entry): number {
  return entry.at + shift(state, entry);
}

type Shift = readonly [offset: number, error: number];

function shift(state: State, entry: Entry): number {
  return shiftsOf(state, entry)[0]![0];
}

/** (offset, error) to add to this phone's times: its clock compared just before and just after the entry, in ms. */
function shiftsOf(state: State, entry: Entry): readonly Shift[] {
  const found = around(state, entry).filter((near) => near !== null).map(counted);
  return found.length > 0 ? found : [[0, 0]];
}

/** Whether the entry was written when it says that it happened: else the time came from another clock. */
function asItHappened(entry: Entry, shifts: readonly Shift[]): boolean {
  const apart = Math.min(Math.abs(entry.clock.ms - entry.at), Math.abs(entry.clock.ms - entry.at - shifts[0]![0]));
  return entry.data["source"] === undefined && apart < DISPUTE_MS;
}

/** A phone's clock around an entry; null where it is known to have been moved in between. */
function oneClock(state: State, entry: Entry): string | null {
  const [before, after] = around(state, entry);
  if (before !== null && after !== null) {
    const [[left, leftError], [right, rightError]] = [counted(before), counted(after)];
    if (Math.abs(left - right) > leftError + rightError) return null;
  }
  return `${entry.device} ${before?.seq ?? 0} ${after?.seq ?? 0}`;
}

/** The comparisons of a phone's clock just before and just after an entry of it. */
function around(state: State, entry: Entry): readonly [Entry | null, Entry | null] {
  let before: Entry | null = null;
  let after: Entry | null = null;
  for (const compared of state.compared.get(entry.device) ?? []) {
    if (compared.seq <= entry.seq && (before === null || compared.seq >= before.seq)) before = compared;
    if (compared.seq > entry.seq && (after === null || compared.seq < after.seq)) after = compared;
  }
  return [before, after];
}

function counted(compared: Entry): Shift {
  const { offset_ms, error_ms } = compared.data as { offset_ms: number; error_ms: number };
  // A clock is right enough only where it cannot be further off than that.
  return Math.abs(offset_ms) + error_ms <= HONEST_CLOCK_MS ? [0, 0] : [offset_ms, error_ms];
}
