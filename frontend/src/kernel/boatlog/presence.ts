// Where each person is, and whether that is accounted for.
// The twin of boatlog/presence.py: whatever conflicts resolves to not accounted for.

import { isUnaltered } from "./chain.ts";
import { readings, together } from "./claims.ts";
import type { Claim, Question } from "./claims.ts";
import { downOf, isOpen, metInAll, named } from "./dives.ts";
import type { Attempt } from "./dives.ts";
import type { Entry } from "./entries.ts";
import { about } from "./fold.ts";
import type { State } from "./fold.ts";
import { compareEntries, greatest, key, sortedBy, told } from "./order.ts";
import type { Key } from "./order.ts";
import { boatsOfTrip } from "./snapshot.ts";

export type Where = "unknown" | "ashore" | "aboard" | "in_water" | "down" | "up" | "lost_from_sight" | "transferred";
// Handed over: to another boat of this trip, brought home with us, and named in the next count over there.
type Word = Where | "in_care" | "handed_over";
export const IN_WATER: ReadonlySet<string> = new Set(["in_water", "down", "marker_seen", "up", "lost_from_sight"]);

/** One thing that says where a person is. `firm`: the person was met, not only counted by eye. */
export interface Sign {
  readonly word: Word;
  readonly claim: Claim;
  readonly firm: boolean;
  /** Of one that has readings at several times, the last of them (ms). */
  readonly notBefore: number;
  /** The readings, where somebody was met. */
  readonly said: readonly Claim[];
}

/** Where a person is, since when (ms; null: never seen), and whether that accounts for them. */
export interface Presence {
  readonly state: Where;
  readonly accountedFor: boolean;
  readonly since: number | null;
  /** Transferred to another boat of this trip. */
  readonly ours: boolean;
}

const sign = (word: Word, claim: Claim, firm = true, notBefore = 0, said: readonly Claim[] = []): Sign => ({ word, claim, firm, notBefore, said });
export const MET: ReadonlySet<string> = new Set(["aboard", "ashore", "in_care", "handed_over"]);
const isMet = (each: Sign): boolean => MET.has(each.word);

/** Everything entered that says where a person is, dives apart. */
export function signsOf(state: State, person: string, orphans: readonly Claim[]): Sign[] {
  const found = orphans.map((claim) => sign("up", claim));
  for (const entry of about(state, person)) found.push(...signsIn(state, entry, person));
  for (const entry of state.byKind.get("phone_lost") ?? []) {
    for (const claim of readings(state, entry).claims) found.push(sign("unknown", claim));
  }
  return found;
}

/** What the signs and dives amount to; `until` (ms): only what had happened by then. */
export function presence(signs: readonly Sign[], attempts: readonly Attempt[], until: number | null = null): Presence {
  let away = signs.filter((each) => !isMet(each));
  let met = signs.filter(isMet);
  for (const attempt of attempts) {
    away.push(...attempt.downs.map((claim) => sign("down", claim)));
    away.push(...[...attempt.ups, ...attempt.lateUps].map((claim) => sign("up", claim)));
  }
  if (until !== null) {
    away = away.filter((each) => each.claim.earliest <= until);
    met = met.filter((each) => Math.max(each.claim.at, each.notBefore) <= until);
  }
  const firm = met.filter((each) => each.firm);
  const out = away.filter((each) => each.word !== "unknown");
  // A head count by eye never brings anyone out of the water: that needs the person.
  const lastOut = lastPossible(out);
  const lastAway = lastPossible(away);
  const counted = lastOut.length === 0 || firm.some((each) => afterAll(each, lastOut)) ? met : firm;
  const good = counted.filter((each) => afterAll(each, lastAway));
  const last = greatest(good, toldSign);
  if (last !== undefined) return { state: whereOf(last.word), accountedFor: true, since: last.claim.at, ours: last.word === "handed_over" };
  for (const attempt of sortedBy(attempts, (each) => [...downOf(each), each.dive]).reverse()) {
    if (isOpen(attempt) && (until === null || downOf(attempt)[0] <= until)) {
      return { state: "down", accountedFor: false, since: Math.min(...attempt.downs.map((claim) => claim.at)), ours: false };
    }
  }
  const latest = greatest(away, toldSign);
  if (latest === undefined) return { state: "unknown", accountedFor: false, since: null, ours: false };
  // A dive that ended is no longer "down", even where the boarding that ended it is in doubt.
  return { state: latest.word === "down" ? "up" : whereOf(latest.word), accountedFor: false, since: latest.claim.at, ours: false };
}

/** A question for every count by eye that names someone last known in the water. */
export function namedOnly(person: string, signs: readonly Sign[], attempts: readonly Attempt[]): Question[] {
  const downs = attempts.flatMap((attempt) => attempt.downs.map((claim) => sign("down", claim)));
  const out = [...downs, ...signs.filter((each) => IN_WATER.has(each.word) || each.word === "transferred")];
  const met = signs.filter((each) => each.firm && isMet(each));
  const found: Question[] = [];
  for (const each of signs) {
    const before = each.firm ? [] : out.filter((other) => after(each, other));
    const gone = lastPossible(before);
    if (gone.length === 0 || met.some((other) => after(each, other) && afterAll(other, gone))) continue;
    const entries = [...new Set([each.claim.entry.id, greatest(before, toldSign)!.claim.entry.id])].sort();
    found.push({ code: "counted_by_eye_only", entries, people: [person], subject: null });
  }
  return found;
}

const WORDS: Readonly<Record<string, Where>> = {
  aboard: "aboard",
  back_aboard: "aboard",
  ashore: "ashore",
  roll_call_taken: "aboard",
  person_went_in: "in_water",
  seen_at_surface: "up",
  lost_from_sight: "lost_from_sight",
  transferred: "transferred",
};

const whereOf = (word: Word): Where => (word === "in_care" || word === "handed_over" ? "transferred" : word);

/** Whether the other vessel is named and brings the person home: who only gets a lift must come back here. */
function inCare({ entry, data }: Claim): boolean {
  return entry.text_hash !== undefined && (data["vessel"] ?? null) !== null && data["stays"] === true;
}

function handedOver({ data }: Claim, ours: readonly string[]): boolean {
  return ours.includes(data["boat"] as string) && data["stays"] === true;
}

function signsIn(state: State, entry: Entry, person: string): Sign[] {
  if (entry.kind === "down") {
    // Someone says this team never left; until met they are neither down nor aboard.
    const read = readings(state, entry);
    if (!read.doubted) return [];
    return read.claims.filter((claim) => named(claim, "members", person)).map((claim) => sign("unknown", claim));
  }
  const first = WORDS[entry.kind];
  if (first === undefined) return [];
  const read = readings(state, entry);
  let word: Word = first;
  if (first === "transferred" && isUnaltered(entry) && metInAll(read, person)) {
    const ours = boatsOfTrip(state.snapshot);
    const over = read.claims.map((claim) => handedOver(claim, ours));
    if (read.claims.every((claim, index) => over[index]! || inCare(claim))) word = over.includes(true) ? "handed_over" : "in_care";
  }
  if (!MET.has(word)) return read.claims.filter(({ subject }) => subject === person).map((claim) => sign(word, claim));
  if (!metInAll(read, person)) return [];
  const firm = read.claims.every((claim) => claim.data["method"] !== "seen");
  return [sign(word, together(read), firm, Math.max(...read.claims.map((claim) => claim.at)), read.claims)];
}

/** Of each clock the sign that may have been the last to happen; what is certainly after these is after all. */
function lastPossible(signs: readonly Sign[]): readonly Sign[] {
  const clocks = new Map<string | null, Sign[]>();
  for (const each of signs) clocks.set(each.claim.clock, [...(clocks.get(each.claim.clock) ?? []), each]);
  return [...clocks.values()].map((line) => greatest(line, (each) => [each.claim.latest, ...key(each.claim.entry)])!);
}

function afterAll(mine: Sign, others: readonly Sign[]): boolean {
  return others.every((theirs) => after(mine, theirs));
}

/** Whether `mine` certainly came after `theirs`; within the same instant the order of writing tells. */
export function after(mine: Pick<Sign, "claim">, theirs: Pick<Sign, "claim">): boolean {
  const [left, right] = [mine.claim, theirs.claim];
  if (left.clock !== null && left.clock === right.clock) return left.at === right.at ? compareEntries(left.entry, right.entry) > 0 : left.at > right.at;
  if (left.earliest === right.latest) return compareEntries(left.entry, right.entry) > 0;
  return left.earliest > right.latest;
}

function toldSign(each: Sign): Key {
  return [...told(each.claim.at, each.claim.entry), each.word];
}
