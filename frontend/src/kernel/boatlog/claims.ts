// What an entry claims, once corrections and uncertain clocks are taken in.
// The twin of boatlog/claims.py.

import { INSTANTS, isAtOnce, wordsOn } from "./corrections.ts";
import type { Instant, Word } from "./corrections.ts";
import type { Data, Entry } from "./entries.ts";
import { outcome } from "./fields.ts";
import type { Index, State } from "./fold.ts";
import { compareEntries } from "./order.ts";
import { ENTRY, problems } from "./schema.ts";
import { RECORD } from "./settling.ts";

// A phone clock this near to the server's is right enough for tables that count minutes.
export const HONEST_CLOCK_MS = 2000;
// Claims that differ by less than a minute, the unit of the tables, are not worth a question.
export const DISPUTE_MS = 60 * 1000;

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

/**
 * All readings of an entry that still count. `doubted`: one person says it did not happen. `meant`: of a decision, what all
 * of them amount to where they do not contradict each other, else as it was entered or settled.
 */
export interface Readings {
  readonly claims: readonly Claim[];
  readonly doubted: boolean;
  readonly questions: readonly Question[];
  readonly meant: Claim | null;
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
  if (said.length === 0) {
    const only = claim(state, entry, []);
    return { claims: [only], doubted: false, questions: [], meant: only };
  }
  const atOnce = said.filter((word) => word.denies === null && !word.disputed && isAtOnce(entry, word.correction));
  const told = outcome(entry, said, atOnce, (readOff) => shift(state, readOff));
  const undone = atOnce.at(-1)?.void === true;
  const base = [...atOnce.filter((word) => !word.void), ...told.settled.map((words) => words[0]!)];
  const over: (readonly Word[])[] = [];
  if (told.settled.length > 0 || !(undone || told.voidSettled)) over.push(base, ...told.settled.flatMap((words) => words.slice(1).map((word) => [...base, word])));
  over.push(...told.open.map((word) => [...base, word]));
  const claims = over.map((words) => claim(state, entry, words));
  let meant = claims[0] ?? null;
  if (claims.length > 0 && !told.conflict && told.open.length > 0) {
    meant = claim(state, entry, [...base, ...[...told.open].sort((left, right) => compareEntries(left.correction, right.correction))]);
  }
  const asks = told.differ || (told.asked.length > 0 && RECORD.has(entry.kind));
  const code = told.differ ? "corrections_differ" : "correction_not_settled";
  const doubted = told.voidSettled || told.voidOpen || (undone && told.settled.length === 0);
  return {
    claims,
    doubted: claims.length > 0 && doubted,
    questions: asks ? [{ code, entries: [...new Set([entry.id, ...told.asked])].sort(), people: [], subject: entry.subject }] : [],
    meant,
  };
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
  return read.doubted ? null : read.meant;
}

/** All decisions of a kind that stand, in order of writing. */
export function decided(state: State, kind: string): Claim[] {
  return (state.byKind.get(kind) ?? []).map((entry) => standing(state, entry)).filter((found) => found !== null);
}

/** The entry as it stands, or as corrections say that it should read, one over the other. */
function claim(state: State, entry: Entry, words: readonly Word[]): Claim {
  const own = shiftsOf(state, entry);
  let { subject, data } = entry;
  let within = own;
  let at: Instant | null = null;
  let ends: Record<"earliest" | "latest", Instant | null> = { earliest: null, latest: null };
  for (const word of words) {
    subject = word.subject ?? subject;
    if (word.data !== null && fits(entry, { ...data, ...word.data })) {
      data = { ...data, ...word.data };
      if (Object.keys(word.data).some((name) => INSTANTS.has(name))) within = shiftsOf(state, word.timedBy);
    }
    if (word.at !== null) [at, ends] = [word.at, { earliest: null, latest: null }];
    ends = { earliest: word.earliest ?? ends.earliest, latest: word.latest ?? ends.latest };
  }
  // A corrected time was read off the clock of whoever corrects, not of whoever wrote first.
  const told: readonly [number, readonly Shift[]] = at === null ? [entry.at, own] : [at.ms, shiftsOf(state, at.by)];
  const spans = [told];
  for (const name of ["earliest", "latest"] as const) {
    const said = ends[name];
    if (said !== null) spans.push([said.ms, shiftsOf(state, said.by)]);
    else if (entry.data[name] !== undefined && at === null) spans.push([entry.data[name] as number, own]);
  }
  return {
    entry,
    subject,
    at: told[0] + told[1][0]![0],
    earliest: Math.min(...spans.flatMap(([instant, shifts]) => shifts.map(([offset, error]) => instant + offset - error))),
    latest: Math.max(...spans.flatMap(([instant, shifts]) => shifts.map(([offset, error]) => instant + offset + error))),
    data,
    shift: Math.min(...within.map(([offset, error]) => offset - error)),
    clock: spans.length === 1 && at === null && asItHappened(entry, own) ? oneClock(state, entry) : null,
  };
}

/** Whether corrected data are still those of such an entry: a correction cannot make nonsense of it. */
function fits(entry: Entry, data: Data): boolean {
  return problems(ENTRY.$defs![entry.kind]!, data, ENTRY).length === 0;
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
