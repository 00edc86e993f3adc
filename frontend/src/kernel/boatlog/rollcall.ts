// Roll calls, and whether the boat may leave: sets are compared, never numbers.
// The twin of boatlog/rollcall.py.

import { concerns, elsewhere, ofBoat } from "./boats.ts";
import type { Afloat } from "./boats.ts";
import { decided, readings } from "./claims.ts";
import type { Claim, Question } from "./claims.ts";
import { compare, countOf } from "./counting.ts";
import type { Compared, Ended, Stage } from "./counting.ts";
import type { Entry } from "./entries.ts";
import type { State } from "./fold.ts";
import { compareEntries, compareKeys, greatest, key, sortedBy, told } from "./order.ts";
import type { Listed } from "./plan.ts";
import type { Presence } from "./presence.ts";
import { twoOthers } from "./settling.ts";

export type { Count } from "./counting.ts";

// A count serves one departure: the next one is counted again.
const REOPEN = [
  "aboard",
  "back_aboard",
  "departed",
  "down",
  "joined",
  "lost_from_sight",
  "person_went_in",
  "phone_lost",
  "seen_at_surface",
  "surfaced",
  "surfaced_alone",
  "transferred",
];
// What is said to be over or left behind, and the question where somebody then was not accounted for.
export const LEAVING: Readonly<Record<string, string>> = { departed: "departed_not_accounted_for", trip_ended: "ended_not_accounted_for" };
const CREW: ReadonlySet<string> = new Set(["crew", "leader", "organiser"]);

const STAGES: readonly Stage[] = ["agree", "counting", "recount", "emergency"];

/** A boat and whoever may be on it. */
export interface Crowd {
  readonly boat: string;
  readonly people: ReadonlySet<string>;
  readonly afloat: Afloat;
}

/** Whether a boat may not leave, who is not accounted for or not counted, whether two decided all the same. */
export interface Departure {
  readonly blocked: boolean;
  readonly missing: readonly string[];
  readonly notCounted: readonly string[];
  readonly overridden: boolean;
}

/** How far the count is. `since`: what last opened it (ms); null: nothing yet. `alone`: one crew member aboard. */
export interface RollCall {
  readonly complete: boolean;
  readonly since: number | null;
  readonly named: readonly string[];
  readonly missing: readonly string[];
  readonly counts: readonly Ended[];
  readonly needed: number;
  readonly alone: boolean;
  readonly compared: Compared;
}

/**
 * The roll call that counts now, or that served a departure; where one count is needed, the one missing fewest.
 * `of`: of that boat and whoever may be on it alone.
 */
export function rollCall(
  state: State,
  where: ReadonlyMap<string, Presence>,
  people: ReadonlyMap<string, Listed>,
  leaving: Entry | null = null,
  of: Crowd | null = null,
): RollCall {
  const opened = REOPEN.flatMap((kind) => state.byKind.get(kind) ?? [])
    .filter((entry) => entry !== leaving)
    .flatMap((entry) => readings(state, entry).claims)
    .filter((claim) => leaving === null || before(claim, leaving))
    .filter((claim) => of === null || concerns(of.afloat, claim, of.boat, of.people));
  const last = greatest(opened, (claim) => [claim.latest, ...key(claim.entry)]);
  const boat = of?.boat ?? null;
  const namings = byCount(state, "roll_call_taken", last, leaving, boat);
  const ends = byCount(state, "count_finished", last, leaving, boat);
  const isHere = (person: string) => of === null || of.people.has(person);
  const everywhere = [...where].filter(([, presence]) => !elsewhere(presence)).map(([person]) => person);
  const wanted = everywhere.filter(isHere);
  const named = [...new Set([...namings.keys(), ...ends.keys()])];
  const ordered = sortedBy(named, (count) => [...latestOf(namings.get(count) ?? ends.get(count)!), count]);
  const counts: Ended[] = [];
  for (const count of ordered) {
    const [naming, ended] = [namings.get(count) ?? [], ends.get(count) ?? []];
    const ofAll = of !== null && ![...naming, ...ended].some(namesBoat) ? { people: of.people, wanted: everywhere } : null;
    // A count of all that names people, but nobody here, is not of this boat.
    if (ofAll !== null && naming.length > 0 && !naming.some((claim) => (claim.data["seen"] as string[]).some(isHere))) continue;
    counts.push(countOf(count, naming, ended, wanted, ofAll));
  }
  let best: Ended | null = null;
  for (const count of counts) if (best === null || count.shown.missing.length < best.shown.missing.length) best = count;
  const crew = [...where].filter(([person, presence]) => isHere(person) && presence.state === "aboard" && CREW.has(people.get(person)!.role));
  const alone = crew.length <= 1;
  const compared = compare(counts, alone);
  const needed = state.snapshot.settings.counts_needed ?? 1;
  const one = best !== null && best.shown.missing.length === 0;
  return {
    complete: needed === 1 ? one : compared.stage === "agree",
    since: last?.at ?? null,
    named: best?.shown.seen ?? [],
    missing: best?.shown.missing ?? [...wanted].sort(),
    counts,
    needed,
    alone,
    compared,
  };
}

/**
 * Whether two named people decided to leave with someone not accounted for, after the count was last opened.
 * Nobody decides it for themselves: whoever is missing is not one of the two.
 */
export function overridden(state: State, since: number | null, missing: readonly string[], boat: string | null = null): boolean {
  const named = overrides(state, since, boat).flatMap((claim) => [claim.entry.by, claim.data["with"] as string | null]);
  return twoOthers(named, new Set(missing));
}

/** When the trip was said to be over (ms), nobody having gone aboard, in or away since; null: it goes on. */
export function endedAt(state: State, call: RollCall): number | null {
  const said = decided(state, "trip_ended").map((claim) => claim.at);
  const last = said.length === 0 ? null : Math.max(...said);
  return last === null || (call.since !== null && call.since > last) ? null : last;
}

/** The decisions to leave all the same. Without a reason it is not one that the record can carry. */
export function overrides(state: State, since: number | null, boat: string | null = null): Claim[] {
  return (state.byKind.get("override") ?? [])
    .filter((entry) => entry.text_hash !== undefined)
    .flatMap((entry) => readings(state, entry).claims)
    .filter((claim) => claim.data["rule"] === "departure" && (since === null || claim.at >= since) && ofBoat(claim, boat));
}

/** Whether the boat may leave: `missing` are those of it who are not accounted for. */
export function departure(state: State, call: RollCall, missing: readonly string[], boat: string | null = null): Departure {
  const override = overridden(state, call.since, missing, boat);
  return { blocked: (missing.length > 0 || !call.complete) && !override, missing, notCounted: call.missing, overridden: override };
}

/** Whether all boats may leave: each of them may. */
export function departureOfAll(missing: readonly string[], call: RollCall, byBoat: readonly Departure[]): Departure {
  const blocked = byBoat.some((each) => each.blocked);
  return { blocked, missing, notCounted: call.missing, overridden: !blocked && byBoat.some((each) => each.overridden) };
}

/** The roll call of several boats together: complete when each of them is, and as far as the one in most trouble. */
export function ofAll(call: RollCall, byBoat: readonly RollCall[]): RollCall {
  const worst = greatest(byBoat, ({ compared }) => [STAGES.indexOf(compared.stage)])!;
  return {
    ...call,
    complete: byBoat.every((each) => each.complete),
    named: [...new Set(byBoat.flatMap((each) => each.named))].sort(),
    missing: [...new Set(byBoat.flatMap((each) => each.missing))].sort(),
    compared: worst.compared,
  };
}

/** Counts that differ; every departure and end with someone not accounted for (`missingAt` by entry id). */
export function asked(state: State, calls: readonly RollCall[], missingAt: ReadonlyMap<string, readonly string[]>): Question[] {
  const found: Question[] = [];
  for (const [kind, code] of Object.entries(LEAVING)) {
    for (const entry of state.byKind.get(kind) ?? []) {
      const people = missingAt.get(entry.id) ?? [];
      if (people.length > 0) found.push({ code, entries: [entry.id], people, subject: null });
    }
  }
  for (const { needed, compared } of calls) {
    const { stage, entries, differ } = compared;
    if (needed > 1 && (stage === "recount" || stage === "emergency")) {
      found.push({ code: "counts_differ", entries, people: differ, subject: null });
    }
  }
  return found;
}

function namesBoat(claim: Claim): boolean {
  return claim.data["boat"] !== undefined;
}

function byCount(state: State, kind: string, opened: Claim | undefined, leaving: Entry | null, boat: string | null): Map<string, Claim[]> {
  const found = new Map<string, Claim[]>();
  for (const entry of state.byKind.get(kind) ?? []) {
    const read = readings(state, entry);
    if (read.claims.length === 0 || read.doubted || !read.claims.every((claim) => isSince(claim, opened))) continue;
    if (!read.claims.every((claim) => ofBoat(claim, boat))) continue;
    if (leaving !== null && !read.claims.every((claim) => before(claim, leaving))) continue;
    const count = entry.data["count"] as string;
    found.set(count, [...(found.get(count) ?? []), ...read.claims]);
  }
  return found;
}

function isSince(claim: Claim, opened: Claim | undefined): boolean {
  if (opened === undefined || claim.earliest > opened.latest) return true;
  return claim.earliest === opened.latest && compareEntries(claim.entry, opened.entry) > 0;
}

function before(claim: Claim, leaving: Entry): boolean {
  return compareKeys(told(claim.at, claim.entry), told(leaving.at, leaving)) < 0;
}

function latestOf(claims: readonly Claim[]) {
  const last = greatest(claims, (claim) => told(claim.at, claim.entry))!;
  return told(last.at, last.entry);
}
