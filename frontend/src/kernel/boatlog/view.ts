// What the deck shows: view(fold(snapshot, entries), now). Cheap: call it each second.
// The twin of boatlog/view.py; field names are those of the JSON in both.

import { decided, readings } from "./claims.ts";
import type { Count, Stage } from "./counting.ts";
import * as deckwatch from "./deckwatch.ts";
import { bottomTimeS, downOf, entriesOf, leftBottomOf, surfacedOf } from "./dives.ts";
import type { Attempt, Span } from "./dives.ts";
import * as emergency from "./emergency.ts";
import type { EmergencyPage, Procedure } from "./emergency.ts";
import { departures, facts, lastSurfaced, openAttempt } from "./facts.ts";
import type { Facts } from "./facts.ts";
import { about } from "./fold.ts";
import type { State } from "./fold.ts";
import { fitSaid } from "./holds.ts";
import { conditionsAt } from "./lost.ts";
import type { Conditions } from "./lost.ts";
import { greatest, told } from "./order.ts";
import { divePlan } from "./plan.ts";
import type { Where } from "./presence.ts";
import { departure, departureOfAll, endedAt } from "./rollcall.ts";
import type { Departure, RollCall } from "./rollcall.ts";
import type { DepthQuantity } from "./snapshot.ts";
import { markerSeenAt, teamView } from "./teamview.ts";
import type { TeamView } from "./teamview.ts";

export type { TeamStatus, TeamView } from "./teamview.ts";

export interface DoneDive {
  readonly dive: string;
  readonly team: string;
  readonly down: Span;
  readonly left_bottom: Span | null;
  readonly surfaced: Span | null;
  readonly bottom_time_s: Span | null;
  readonly depth: DepthQuantity | null;
  readonly entries: readonly string[];
}

export interface PersonView {
  readonly role: string;
  readonly dives: boolean;
  readonly state: Where | "marker_seen";
  readonly accounted_for: boolean;
  readonly since: number | null;
  readonly team: string | null;
  readonly dive: string | null;
  readonly due_at: number | null;
  readonly overdue_at: number | null;
  readonly alone_clock: boolean;
  readonly last_seen_at: number | null;
  readonly separated: boolean;
  readonly held: boolean;
  readonly held_why: readonly string[];
  readonly on_oxygen: boolean;
  readonly fit_said: "yes" | "no" | "declined" | null;
  readonly ask_symptoms_at: number | null;
  readonly sits_out: readonly string[];
  /** The boats that they may be on; none where fewer than two go. */
  readonly boats: readonly string[];
  readonly surfaced_at: Span | null;
  readonly interval_s: number | null;
  readonly dives_done: readonly DoneDive[];
}

export interface QuestionView {
  readonly code: string;
  readonly entries: readonly string[];
  readonly people: readonly string[];
  readonly subject: string | null;
}

/** Who stays out of the water as what, whether the flag is up and the engine off; null: not confirmed. */
export interface Cover {
  readonly boat_handler: string | null;
  readonly lookout: string | null;
  readonly oxygen: string | null;
  readonly standby: string | null;
  readonly flag_up: boolean | null;
  readonly engine_off: boolean | null;
}

export interface DiveView {
  readonly called_off: boolean;
  readonly briefed: readonly string[];
  readonly cover: Cover | null;
}

/** Who has the deck of a boat, how far its count is and whether it may leave. */
export interface BoatView {
  readonly deck_holder: string | null;
  readonly handover: deckwatch.Handover | null;
  readonly roll_call: {
    readonly complete: boolean;
    readonly since: number | null;
    readonly named: readonly string[];
    readonly missing: readonly string[];
    readonly counts: readonly Count[];
    readonly needed: number;
    readonly alone: boolean;
    readonly stage: Stage;
    readonly compared: readonly string[];
    readonly differ: readonly string[];
  };
  readonly departure: {
    readonly blocked: boolean;
    readonly not_accounted_for: readonly string[];
    readonly roll_call_missing: readonly string[];
    readonly overridden: boolean;
  };
}

/** The deck: its own holder, count and departure are those of all boats. */
export interface View extends BoatView {
  readonly at: number;
  /** Each boat by itself; none where fewer than two go. */
  readonly boats: Readonly<Record<string, BoatView>>;
  readonly people: Readonly<Record<string, PersonView>>;
  readonly teams: Readonly<Record<string, TeamView>>;
  readonly dives: Readonly<Record<string, DiveView>>;
  /** When the trip was said to be over, nobody having gone aboard, in or away since. */
  readonly ended_at: number | null;
  readonly emergency: boolean;
  readonly emergency_page: EmergencyPage;
  readonly procedure: Procedure | null;
  readonly conditions: Conditions | null;
  readonly not_ready: readonly string[];
  readonly questions: readonly QuestionView[];
  readonly unknown_kinds: number;
}

/** The deck at `now` (ms since 1970). */
export function view(state: State, now: number): View {
  const known = facts(state);
  const missing = [...known.where].filter(([, presence]) => !presence.accountedFor).map(([person]) => person);
  const call = known.rollCall;
  const byBoat = departures(state, known);
  const leaving = byBoat.size > 0 ? departureOfAll(missing, call, [...byBoat.values()]) : departure(state, call, missing);
  const late = overdue(known, now);
  return {
    at: now,
    ...boatView(state, null, call, leaving),
    boats: Object.fromEntries([...byBoat].map(([boat, left]) => [boat, boatView(state, boat, known.calls.get(boat)!, left)])),
    people: Object.fromEntries([...known.people.keys()].map((person) => [person, personView(state, known, person, now)])),
    teams: Object.fromEntries([...known.teams.keys()].map((team) => [team, teamView(state, known, team, now)])),
    dives: Object.fromEntries(state.snapshot.dives.map((dive) => [dive.id, diveView(state, dive.id)])),
    ended_at: endedAt(state, call),
    emergency: emergency.isRunning(state),
    emergency_page: emergency.page(state, known.holds, known.calls.size > 0 ? [...known.calls.values()] : [call], late),
    procedure: emergency.procedure(state, late, now),
    conditions: conditionsAt(state),
    not_ready: state.snapshot.settings.overdue_after_min === null ? ["overdue_after_min"] : [],
    questions: known.questions,
    unknown_kinds: (state.aside.get("unknown_kind") ?? []).length,
  };
}

function boatView(state: State, boat: string | null, call: RollCall, leaving: Departure): BoatView {
  const { blocked, missing, notCounted, overridden } = leaving;
  return {
    deck_holder: deckwatch.holder(state, boat),
    handover: deckwatch.handover(state, boat),
    roll_call: rollCallView(call),
    departure: { blocked, not_accounted_for: missing, roll_call_missing: notCounted, overridden },
  };
}

function personView(state: State, known: Facts, person: string, now: number): PersonView {
  const { role, dives } = known.people.get(person)!;
  const where = known.where.get(person)!;
  const attempts = known.attempts.get(person)!;
  const under = openAttempt(attempts, where);
  const due = known.due.get(person);
  const last = lastSurfaced(attempts);
  const marker = under === null ? null : markerSeenAt(state, under.teams, downOf(under)[0]);
  const separated = (under?.teams ?? []).some((team) =>
    about(state, team).some(
      (entry) =>
        entry.kind === "separated" &&
        (entry.data["people"] as string[]).includes(person) &&
        readings(state, entry).claims.length > 0,
    ),
  );
  const out = decided(state, "sits_out")
    .filter((claim) => claim.entry.subject === person)
    .map((claim) => (claim.data["dive"] as string | null) ?? "all");
  return {
    role,
    dives,
    state: marker !== null ? "marker_seen" : where.state,
    accounted_for: where.accountedFor,
    since: where.since,
    team: under?.teams[0] ?? null,
    dive: under?.dive ?? null,
    due_at: due?.dueAt ?? null,
    overdue_at: due?.overdueAt ?? null,
    alone_clock: due?.alone ?? false,
    last_seen_at: due?.together?.at ?? null,
    separated,
    held: known.held.get(person)!,
    held_why: [...new Set((known.holds.get(person) ?? []).map(({ why }) => why))].sort(),
    on_oxygen: onOxygen(state, person),
    fit_said: fitSaid(state, person),
    ask_symptoms_at: askSymptomsAt(state, person, attempts),
    sits_out: [...new Set(out)].sort(),
    boats: [...(known.afloat.now.get(person) ?? [])].sort(),
    surfaced_at: last,
    interval_s: last === null || under !== null ? null : Math.max(0, Math.floor((now - last[1]) / 1000)),
    dives_done: attempts.map(doneDive),
  };
}

function onOxygen(state: State, person: string): boolean {
  const said = [...decided(state, "oxygen_started"), ...decided(state, "oxygen_stopped")];
  const own = said.filter((claim) => claim.entry.subject === person);
  return greatest(own, (claim) => told(claim.at, claim.entry))?.entry.kind === "oxygen_started";
}

/** When (ms) to ask next how they feel: 10 minutes and an hour after the last surfacing, our own choice. */
function askSymptomsAt(state: State, person: string, attempts: readonly Attempt[]): number | null {
  if (attempts.length === 0 || attempts.some((attempt) => surfacedOf(attempt) === null)) return null;
  const last = greatest(attempts, (attempt) => [...surfacedOf(attempt)!, attempt.dive])!;
  const asked = decided(state, "symptoms_asked")
    .filter((claim) => claim.entry.subject === person && claim.data["dive"] === last.dive && claim.data["said"] !== "no_answer")
    .map((claim) => claim.data["after_min"] as number | null);
  // Asked at the hour, the ten minutes are past.
  const next = [10, 60].find((minutes) => !asked.includes(minutes) && !(minutes === 10 && asked.includes(60)));
  return next === undefined ? null : surfacedOf(last)![0] + next * 60_000;
}

function overdue(known: Facts, now: number): Map<string, number> {
  const late = [...known.due].map(([person, due]) => [person, due.overdueAt] as const);
  return new Map(late.filter((each): each is readonly [string, number] => each[1] !== null && now >= each[1]));
}

function rollCallView(call: RollCall): View["roll_call"] {
  const { complete, since, named, missing, needed, alone } = call;
  const { stage, counts: compared, differ } = call.compared;
  return { complete, since, named, missing, counts: call.counts.map(({ shown }) => shown), needed, alone, stage, compared, differ };
}

function diveView(state: State, dive: string): DiveView {
  const cover = decided(state, "surface_cover_confirmed").filter((claim) => claim.entry.subject === dive);
  const heard = decided(state, "briefed").filter((claim) => claim.entry.subject === dive);
  const last = cover.at(-1)?.data as Partial<Cover> | undefined;
  const { boat_handler = null, lookout = null, oxygen = null, standby = null, flag_up = null, engine_off = null } = last ?? {};
  return {
    called_off: divePlan(state, dive)?.calledOff === true,
    briefed: [...new Set(heard.flatMap((claim) => claim.data["people"] as string[]))].sort(),
    cover: last === undefined ? null : { boat_handler, lookout, oxygen, standby, flag_up, engine_off },
  };
}

function doneDive(attempt: Attempt): DoneDive {
  return {
    dive: attempt.dive,
    team: attempt.teams[0]!,
    down: downOf(attempt),
    left_bottom: leftBottomOf(attempt),
    surfaced: surfacedOf(attempt),
    bottom_time_s: bottomTimeS(attempt),
    depth: attempt.depth,
    entries: entriesOf(attempt),
  };
}
