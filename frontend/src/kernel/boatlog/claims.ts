// What an entry claims, once corrections and uncertain clocks are taken in.
// The twin of boatlog/claims.py.

import { canonical } from "./canonical.ts";
import type { Data, Entry } from "./entries.ts";
import type { State } from "./fold.ts";
import { compareEntries } from "./order.ts";
import { ENTRY, problems } from "./schema.ts";
import { RECORD, settles } from "./settling.ts";

// The same hand on the same phone, noticing at once: a mistap, not a second opinion.
export const UNDO_MS = 60 * 1000;
// A phone clock this near to the server's is right enough for tables that count minutes.
export const HONEST_CLOCK_MS = 2000;
// Claims that differ by less than a minute, the unit of the tables, are not worth a question.
export const DISPUTE_MS = 60 * 1000;
// The instants in an entry's data; each was read off the clock of the phone that wrote it.
const INSTANTS: ReadonlySet<string> = new Set(["at", "earliest", "latest", "last_seen_at", "until"]);
const LAST_INSTANT = 2 ** 53 - 1;

/** Something for people to settle: which entries, whom it concerns. */
export interface Question {
  readonly code: string;
  readonly entries: readonly string[];
  readonly people: readonly string[];
  readonly subject: string | null;
}

/**
 * One reading of one entry: it happened between `earliest` and `latest` (ms), said to be `at`. `shift` (ms) puts other
 * instants of its data at the earliest they can be by the clock they were read off. `clock`: whose clock, between which
 * comparisons, where it was written as it happened; null where anything was told. Of two with the same one the order is
 * sure, however uncertain the time of day.
 */
export interface Claim {
  readonly entry: Entry;
  readonly at: number;
  readonly earliest: number;
  readonly latest: number;
  readonly data: Data;
  readonly shift: number;
  readonly clock: string | null;
}

/** All readings of an entry that still count. `doubted`: one person says it did not happen. */
export interface Readings {
  readonly claims: readonly Claim[];
  readonly doubted: boolean;
  readonly questions: readonly Question[];
}

interface Correction {
  readonly void: boolean;
  readonly at?: number;
  readonly earliest?: number;
  readonly latest?: number;
  readonly data?: Data;
}

const said = (entry: Entry): Correction => entry.data as unknown as Correction;

/** The readings of an entry, and the questions its corrections raise. */
export function readings(state: State, entry: Entry): Readings {
  const corrections = (state.corrections.get(entry.id) ?? []).filter((other) => other.id !== entry.id);
  if (corrections.length === 0) return { claims: [claim(state, entry, null)], doubted: false, questions: [] };
  const active = corrections.filter((other) => !undone(state, other));
  const atOnce = active.filter((other) => isAtOnce(entry, other));
  const base = atOnce.at(-1) ?? null;
  const voided = base !== null && said(base).void;
  const later = new Map<string, Entry[]>();
  for (const other of active) {
    if (isAtOnce(entry, other)) continue;
    const words = saying(state, other);
    later.set(words, [...(later.get(words) ?? []), other]);
  }
  const agreed = [...later].filter(([, others]) => settles(entry, others.map((other) => other.by)));
  const counted = (agreed.length > 0 ? agreed : [...later]).sort(([left], [right]) => (left < right ? -1 : 1));
  const claims: Claim[] = [];
  if (agreed.length === 0 && !voided) claims.push(claim(state, entry, base));
  for (const [, others] of counted) if (!said(others[0]!).void) claims.push(claim(state, entry, others[0]!));
  if (voided && later.size === 0) return { claims: [], doubted: false, questions: [] };
  const voids = counted.some(([, others]) => said(others[0]!).void);
  const named = [...new Set([entry.id, ...counted.flatMap(([, others]) => others.map((other) => other.id))])].sort();
  const questions: Question[] = [];
  const ask = (code: string) => questions.push({ code, entries: named, people: [], subject: entry.subject });
  if (counted.length > 1) ask("corrections_differ");
  else if (counted.length > 0 && agreed.length === 0 && RECORD.has(entry.kind)) ask("correction_not_settled");
  return { claims, doubted: voids && claims.length > 0, questions };
}

/** What a decision (a plan, a team, who holds the deck) amounts to; null when someone took it back. */
export function standing(state: State, entry: Entry): Claim | null {
  const read = readings(state, entry);
  if (read.claims.length === 0 || read.doubted) return null;
  // One correction is what was meant; with two that differ the decision as first entered stays.
  return read.claims.length === 2 ? read.claims[1]! : read.claims[0]!;
}

/** All decisions of a kind that stand, in order of writing. */
export function decided(state: State, kind: string): Claim[] {
  return (state.byKind.get(kind) ?? []).map((entry) => standing(state, entry)).filter((found) => found !== null);
}

function undone(state: State, correction: Entry): boolean {
  return (state.corrections.get(correction.id) ?? []).some(
    (other) => other.id !== correction.id && said(other).void && isAtOnce(correction, other),
  );
}

function isAtOnce(entry: Entry, correction: Entry): boolean {
  return correction.device === entry.device && compareEntries(correction, entry) > 0 && correction.clock.ms - entry.clock.ms <= UNDO_MS;
}

/** What a correction says, apart from who says it and why; times by the log's, so that two phones can agree. */
function saying(state: State, correction: Entry): string {
  const { void: isVoid, at, earliest, latest, data } = said(correction);
  if (isVoid) return "void";
  const words: Record<string, unknown> = {};
  if (at !== undefined) words["at"] = at;
  if (earliest !== undefined) words["earliest"] = earliest;
  if (latest !== undefined) words["latest"] = latest;
  if (data !== undefined) words["data"] = data;
  return canonical(moved(words, shift(state, correction)));
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
function claim(state: State, entry: Entry, correction: Entry | null): Claim {
  const own = shiftsOf(state, entry);
  // A corrected time was read off the clock of whoever corrects, not of whoever wrote first.
  const corrects = correction !== null && !said(correction).void;
  const words: Partial<Correction> = corrects ? said(correction) : {};
  const theirs = corrects ? shiftsOf(state, correction) : own;
  const brought = words.data ?? {};
  const data = words.data === undefined ? entry.data : fitting(entry, { ...entry.data, ...brought });
  const [at, clock] = words.at === undefined ? [entry.at, own] : [words.at, theirs];
  const spans: [number, readonly Shift[]][] = [[at, clock]];
  for (const name of ["earliest", "latest"] as const) {
    if (words[name] !== undefined) spans.push([words[name], theirs]);
    else if (entry.data[name] !== undefined && words.at === undefined) spans.push([entry.data[name] as number, own]);
  }
  const within = data !== entry.data && Object.keys(brought).some((name) => INSTANTS.has(name)) ? theirs : own;
  return {
    entry,
    at: at + clock[0]![0],
    earliest: Math.min(...spans.flatMap(([instant, shifts]) => shifts.map(([offset, error]) => instant + offset - error))),
    latest: Math.max(...spans.flatMap(([instant, shifts]) => shifts.map(([offset, error]) => instant + offset + error))),
    data,
    shift: Math.min(...within.map(([offset, error]) => offset - error)),
    clock: spans.length === 1 && words.at === undefined && asItHappened(entry, own) ? oneClock(state, entry) : null,
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
