// What the entries of a state amount to, whatever the time is. Worked out once for a state and kept.
// The twin of boatlog/facts.py.

import * as boats from "./boats.ts";
import type { Afloat } from "./boats.ts";
import { happened, readings } from "./claims.ts";
import type { Question } from "./claims.ts";
import * as deckwatch from "./deckwatch.ts";
import { attemptsOf, downOf, isOpen, surfacedOf, withDepths } from "./dives.ts";
import type { Attempt, Span } from "./dives.ts";
import { dueOf } from "./due.ts";
import type { Due } from "./due.ts";
import { actedOn } from "./fold.ts";
import type { State } from "./fold.ts";
import { holds as holdsOf } from "./holds.ts";
import type { Hold } from "./holds.ts";
import { greatest, sortedBy } from "./order.ts";
import { people as everyoneOf, teams as teamsOf } from "./plan.ts";
import type { Listed, Team } from "./plan.ts";
import { IN_WATER, namedOnly, presence, signsOf } from "./presence.ts";
import type { Presence, Sign } from "./presence.ts";
import * as rollcall from "./rollcall.ts";
import type { Crowd, Departure, RollCall } from "./rollcall.ts";
import { lookedAt } from "./looked_at.ts";

export interface Facts {
  readonly people: ReadonlyMap<string, Listed>;
  readonly teams: ReadonlyMap<string, Team>;
  readonly attempts: ReadonlyMap<string, readonly Attempt[]>;
  readonly signs: ReadonlyMap<string, readonly Sign[]>;
  readonly where: ReadonlyMap<string, Presence>;
  readonly afloat: Afloat;
  /** The earliest instant (ms) at which somebody who was not on the list may have come along. */
  readonly came: ReadonlyMap<string, number>;
  readonly due: ReadonlyMap<string, Due>;
  readonly held: ReadonlyMap<string, boolean>;
  readonly holds: ReadonlyMap<string, readonly Hold[]>;
  /** That of all boats. */
  readonly rollCall: RollCall;
  /** The roll call of each boat, where several go. */
  readonly calls: ReadonlyMap<string, RollCall>;
  readonly questions: readonly Question[];
}

const kept = new WeakMap<State, Facts>();

/** Dives, presence, due times, roll call and questions of a state. */
export function facts(state: State): Facts {
  let found = kept.get(state);
  if (found === undefined) {
    found = workOut(state);
    kept.set(state, found);
  }
  return found;
}

function workOut(state: State): Facts {
  const people = everyoneOf(state);
  const teams = teamsOf(state);
  const asked: Question[] = [];
  const made = new Map<string, Attempt[]>();
  const signs = new Map<string, Sign[]>();
  for (const person of people.keys()) {
    const { attempts, orphans, questions } = attemptsOf(state, person, teams);
    made.set(person, attempts);
    signs.set(person, signsOf(state, person, orphans));
    asked.push(...questions, ...namedOnly(person, signs.get(person)!, attempts));
  }
  const attempts = withDepths(state, made);
  const afloat = boats.afloatOf(state, [...people.keys()], signs);
  if (afloat.boats.length > 0) for (const [person, listed] of signs) signs.set(person, boats.ownSigns(afloat, person, listed));
  const where = new Map<string, Presence>();
  for (const person of people.keys()) where.set(person, presence(signs.get(person)!, attempts.get(person)!));
  const due = new Map<string, Due>();
  for (const person of people.keys()) {
    const under = openAttempt(attempts.get(person)!, where.get(person)!);
    if (under === null) continue;
    const answer = dueOf(state, under, attempts);
    due.set(person, answer.due);
    asked.push(...answer.questions);
  }
  const came = cameOf(state, signs, attempts);
  const missingAt = new Map<string, readonly string[]>();
  for (const entry of Object.keys(rollcall.LEAVING).flatMap((kind) => state.byKind.get(kind) ?? [])) {
    const instant = happened(state, entry);
    const missing = [...people.keys()].filter(
      (person) => (came.get(person) ?? 0) <= instant && !presence(signs.get(person)!, attempts.get(person)!, instant).accountedFor,
    );
    missingAt.set(entry.id, boats.leftBehind(afloat, state, entry, instant, missing));
  }
  const inWater = new Set([...where].filter(([, place]) => IN_WATER.has(place.state)).map(([person]) => person));
  const calls = new Map(afloat.boats.map((boat) => [boat, rollcall.rollCall(state, where, people, null, crowd(afloat, boat))]));
  const whole = rollcall.rollCall(state, where, people);
  const call = calls.size > 0 ? rollcall.ofAll(whole, [...calls.values()]) : whole;
  const holds = holdsOf(state);
  asked.push(...rollcall.asked(state, calls.size > 0 ? [...calls.values()] : [call], missingAt), ...boats.asked(afloat, where));
  asked.push(...deckwatch.asked(state, inWater, afloat), ...entryQuestions(state));
  return {
    people,
    teams,
    attempts,
    signs,
    where,
    afloat,
    came,
    due,
    held: new Map([...people.keys()].map((person) => [person, holds.has(person)])),
    holds,
    rollCall: call,
    calls,
    questions: eachOnce(asked).filter((question) => !lookedAt(state, question)),
  };
}

/** Whoever may be on a boat now, or may have been at that instant (ms). */
export function crowd(afloat: Afloat, boat: string, instant: number | null = null): Crowd {
  const on = instant === null ? afloat.now : boats.atInstant(afloat, instant);
  return { boat, people: new Set([...on].filter(([, may]) => may.has(boat)).map(([person]) => person)), afloat };
}

/** Who is not accounted for and may be on that boat. */
export function missingOn(known: Facts, boat: string): string[] {
  return [...known.where].filter(([person, place]) => !place.accountedFor && known.afloat.now.get(person)!.has(boat)).map(([person]) => person);
}

/** Whether each boat may leave, where several go. */
export function departures(state: State, known: Facts): Map<string, Departure> {
  return new Map([...known.calls].map(([boat, call]) => [boat, rollcall.departure(state, call, missingOn(known, boat), boat)]));
}

/** Since when those who joined on the way may have been here: nobody is missed before. */
function cameOf(state: State, signs: ReadonlyMap<string, readonly Sign[]>, attempts: ReadonlyMap<string, readonly Attempt[]>): Map<string, number> {
  const listed = new Set(state.snapshot.people.map(({ id }) => id));
  const found = new Map<string, number>();
  for (const entry of state.byKind.get("joined") ?? []) {
    const person = entry.subject;
    if (listed.has(person) || !signs.has(person)) continue;
    const seen = readings(state, entry).claims.map((claim) => claim.earliest);
    seen.push(...signs.get(person)!.map((sign) => sign.claim.earliest), ...attempts.get(person)!.map((each) => downOf(each)[0]));
    if (seen.length > 0) found.set(person, Math.min(...seen, found.get(person) ?? seen[0]!));
  }
  return found;
}

/** One question for all whom the same entries concern. */
function eachOnce(asked: readonly Question[]): Question[] {
  const found = new Map<string, { question: Question; people: Set<string> }>();
  for (const question of asked) {
    const place = JSON.stringify([question.code, question.entries, question.subject]);
    const known = found.get(place) ?? { question, people: new Set<string>() };
    for (const person of question.people) known.people.add(person);
    found.set(place, known);
  }
  const merged = [...found.values()].map(({ question, people }) => ({ ...question, people: [...people].sort() }));
  // Lists of ids compare item by item; a separator below every digit makes their joined text do so too.
  return sortedBy(merged, ({ code, entries, subject }) => [code, entries.join(" "), subject ?? ""]);
}

/** Earliest and latest instant of a diver's last surfacing; null: not dived, or under water. */
export function lastSurfaced(attempts: readonly Attempt[]): Span | null {
  const spans = attempts.map(surfacedOf).filter((span) => span !== null);
  return greatest(spans, ([low, high]) => [high, low]) ?? null;
}

/** The attempt a person is under water on: the earliest one that nobody has seen the end of. */
export function openAttempt(attempts: readonly Attempt[], where: Presence): Attempt | null {
  if (where.state !== "down") return null;
  return sortedBy(attempts.filter(isOpen), (each) => [...downOf(each), each.dive])[0] ?? null;
}

/** Where everyone was at that instant (ms), by all that is known now; not who came along only later. */
export function whereAt(known: Facts, instant: number): Map<string, Presence> {
  const at = (person: string) => presence(known.signs.get(person)!, known.attempts.get(person)!, instant);
  return new Map([...known.people.keys()].filter((person) => (known.came.get(person) ?? instant) <= instant).map((person) => [person, at(person)]));
}

/** What is wrong with entries themselves: altered, forked, corrected two ways, decided for oneself. */
function entryQuestions(state: State): Question[] {
  const found: Question[] = [];
  for (const code of ["altered", "not_understood", "other_trip"]) {
    for (const entry of state.aside.get(code) ?? []) found.push({ code, entries: [entry.id], people: [], subject: entry.device });
  }
  for (const [device, line] of state.byDevice) {
    const places = new Map<number, string[]>();
    for (const entry of line) places.set(entry.seq, [...(places.get(entry.seq) ?? []), entry.id]);
    for (const ids of places.values()) {
      if (ids.length > 1) found.push({ code: "forked", entries: ids.sort(), people: [], subject: device });
    }
  }
  for (const corrected of state.corrections.keys()) {
    for (const entry of state.byId.get(corrected) ?? []) {
      if (entry.kind !== "correction" && actedOn(state, entry)) found.push(...readings(state, entry).questions);
    }
  }
  for (const entry of state.byKind.get("override") ?? []) {
    const concerned = [entry.subject, ...((entry.data["people"] as string[] | undefined) ?? [])];
    if (entry.by !== null && concerned.includes(entry.by)) {
      found.push({ code: "override_for_oneself", entries: [entry.id], people: [entry.by], subject: entry.subject });
    }
  }
  return found;
}
