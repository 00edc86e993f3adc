// The written record of the counts, as lines to print: who counted whom, how, what differed, who let the boat leave.
// The twin of boatlog/record.py.

import { aboutBoats } from "./boats.ts";
import { decided } from "./claims.ts";
import type { Claim } from "./claims.ts";
import type { Count } from "./counting.ts";
import { crowd, missingOn, whereAt } from "./facts.ts";
import type { Facts } from "./facts.ts";
import type { State } from "./fold.ts";
import { compareKeys, sortedBy, told } from "./order.ts";
import { overrides, rollCall } from "./rollcall.ts";
import type { RollCall } from "./rollcall.ts";

type What = "counted" | "agreed" | "differed" | "came" | "went" | "not_accounted_for" | "overridden" | "left" | "not_left";

/**
 * One line: what, when (ms), by whom, about whom, how many heads, how, the entry that says so, and of which boat (null: of
 * the only one, or of all).
 */
export interface Line {
  readonly what: What;
  readonly at: number | null;
  readonly by: readonly string[];
  readonly people: readonly string[];
  readonly heads: number | null;
  readonly how: readonly string[];
  readonly entry: string | null;
  readonly boat: string | null;
}

const line = (what: What, at: number | null, more: Partial<Line> = {}): Line => ({
  what,
  at,
  by: [],
  people: [],
  heads: null,
  how: [],
  entry: null,
  boat: null,
  ...more,
});

/** The lines of every departure in order, then those of the count that is open. */
export function rollCallRecord(state: State, known: Facts): Line[] {
  const lines: Line[] = [];
  // Whom the last count before a departure named, of each boat; null: of the only one, or of all.
  const before = new Map<string | null, readonly string[]>();
  for (const left of sortedBy(decided(state, "departed"), (claim) => told(claim.at, claim.entry))) {
    const about = [...aboutBoats(known.afloat, left)];
    const boat = about.length === 1 ? about[0]! : null;
    lines.push(...departure(state, known, left, before, boat).map((each) => ({ ...each, boat })));
  }
  const missing = [...known.where].filter(([, place]) => !place.accountedFor).map(([person]) => person);
  const going: readonly (readonly [string | null, RollCall])[] = known.calls.size > 0 ? [...known.calls] : [[null, known.rollCall]];
  for (const [boat, call] of going) {
    const made = countLines(call, boat === null ? missing : missingOn(known, boat), before.get(boat) ?? null);
    if (call.counts.length > 0) made.push(line("not_left", null));
    lines.push(...made.map((each) => ({ ...each, boat })));
  }
  return lines;
}

function departure(
  state: State,
  known: Facts,
  left: Claim,
  before: Map<string | null, readonly string[]>,
  boat: string | null,
): Line[] {
  const entry = left.entry;
  const where = whereAt(known, left.at);
  const of = boat === null ? null : crowd(known.afloat, boat, left.at);
  const call = rollCall(state, where, known.people, entry, of);
  const missing = [...where].filter(([person, place]) => !place.accountedFor && (of === null || of.people.has(person))).map(([person]) => person);
  const lines = countLines(call, missing, before.get(boat) ?? null);
  for (const claim of overrides(state, call.since, boat)) {
    if (compareKeys(told(claim.at, claim.entry), told(left.at, entry)) >= 0) continue;
    const names = [claim.entry.by, claim.data["with"] as string | null].filter((person) => person !== null);
    lines.push(line("overridden", claim.at, { by: names.sort(), people: missing, entry: claim.entry.id }));
  }
  const by = entry.by === null ? [] : [entry.by];
  lines.push(line("left", left.at, { by, how: [left.data["place"] as string], entry: entry.id }));
  if (call.named.length > 0) before.set(boat, call.named);
  return lines;
}

function countLines(call: RollCall, missing: readonly string[], before: readonly string[] | null): Line[] {
  const lines = call.counts.map(({ shown, entry }) => counted(shown, entry));
  const { counts, differ, stage } = call.compared;
  if (counts.length > 0) lines.push(line(differ.length > 0 || stage !== "agree" ? "differed" : "agreed", null, { people: differ }));
  if (before !== null && call.named.length > 0) {
    const came = call.named.filter((person) => !before.includes(person));
    const went = before.filter((person) => !call.named.includes(person));
    if (came.length > 0) lines.push(line("came", null, { people: came }));
    if (went.length > 0) lines.push(line("went", null, { people: went }));
  }
  if (missing.length > 0) lines.push(line("not_accounted_for", null, { people: missing }));
  return lines;
}

function counted(count: Count, entry: string | null): Line {
  const by = count.counter === null ? count.by : [count.counter];
  return line("counted", count.finished_at, { by, people: count.seen, heads: count.heads, how: count.methods, entry });
}
