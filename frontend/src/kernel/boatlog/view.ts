// What the deck shows: view(fold(snapshot, entries), now). Cheap: call it each second.
// The twin of boatlog/view.py; field names are those of the JSON in both.

import { decided, readings } from "./claims.ts";
import * as deckwatch from "./deckwatch.ts";
import { bottomTimeS, downOf, entriesOf, leftBottomOf, surfacedOf } from "./dives.ts";
import type { Attempt, Span } from "./dives.ts";
import { facts, lastSurfaced, openAttempt } from "./facts.ts";
import type { Facts } from "./facts.ts";
import { about } from "./fold.ts";
import type { State } from "./fold.ts";
import { greatest, told } from "./order.ts";
import { divePlan } from "./plan.ts";
import type { Where } from "./presence.ts";
import { overridden } from "./rollcall.ts";
import type { Count } from "./rollcall.ts";
import type { DepthQuantity } from "./snapshot.ts";

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
  readonly sits_out: readonly string[];
  readonly surfaced_at: Span | null;
  readonly interval_s: number | null;
  readonly dives_done: readonly DoneDive[];
}

export type TeamStatus = "ready" | "down" | "due" | "overdue" | "up" | "aboard" | "dissolved" | "called_off";

export interface TeamView {
  readonly dive: string;
  readonly members: readonly string[];
  readonly lead: string | null;
  readonly status: TeamStatus;
  readonly in_water: readonly string[];
  readonly up: readonly string[];
  readonly down: Span | null;
  readonly due_at: number | null;
  readonly overdue_at: number | null;
  readonly marker_seen_at: number | null;
  readonly quiet_until: number | null;
  readonly checked: boolean;
}

export interface QuestionView {
  readonly code: string;
  readonly entries: readonly string[];
  readonly people: readonly string[];
  readonly subject: string | null;
}

export interface View {
  readonly at: number;
  readonly deck_holder: string | null;
  readonly handover: deckwatch.Handover | null;
  readonly people: Readonly<Record<string, PersonView>>;
  readonly teams: Readonly<Record<string, TeamView>>;
  readonly roll_call: {
    readonly complete: boolean;
    readonly since: number | null;
    readonly named: readonly string[];
    readonly missing: readonly string[];
    readonly counts: readonly Count[];
  };
  readonly departure: {
    readonly blocked: boolean;
    readonly not_accounted_for: readonly string[];
    readonly roll_call_missing: readonly string[];
    readonly overridden: boolean;
  };
  readonly emergency: boolean;
  readonly not_ready: readonly string[];
  readonly questions: readonly QuestionView[];
  readonly unknown_kinds: number;
}

/** The deck at `now` (ms since 1970). */
export function view(state: State, now: number): View {
  const known = facts(state);
  const missing = [...known.where].filter(([, presence]) => !presence.accountedFor).map(([person]) => person);
  const call = known.rollCall;
  const override = overridden(state, call.since);
  return {
    at: now,
    deck_holder: deckwatch.holder(state),
    handover: deckwatch.handover(state),
    people: Object.fromEntries([...known.people.keys()].map((person) => [person, personView(state, known, person, now)])),
    teams: Object.fromEntries([...known.teams.keys()].map((team) => [team, teamView(state, known, team, now)])),
    roll_call: call,
    departure: {
      blocked: (missing.length > 0 || !call.complete) && !override,
      not_accounted_for: missing,
      roll_call_missing: call.missing,
      overridden: override,
    },
    emergency: isEmergency(state),
    not_ready: state.snapshot.settings.overdue_after_min === null ? ["overdue_after_min"] : [],
    questions: known.questions,
    unknown_kinds: (state.aside.get("unknown_kind") ?? []).length,
  };
}

function personView(state: State, known: Facts, person: string, now: number): PersonView {
  const { role, dives } = known.people.get(person)!;
  const where = known.where.get(person)!;
  const attempts = known.attempts.get(person)!;
  const under = openAttempt(attempts, where);
  const due = known.due.get(person);
  const last = lastSurfaced(attempts);
  const marker = under === null ? null : markerSeen(state, under.teams, downOf(under)[0]);
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
    last_seen_at: due?.lastSeenAt ?? null,
    separated,
    held: known.held.get(person)!,
    sits_out: [...new Set(out)].sort(),
    surfaced_at: last,
    interval_s: last === null || under !== null ? null : Math.max(0, Math.floor((now - last[1]) / 1000)),
    dives_done: attempts.map(doneDive),
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

function teamView(state: State, known: Facts, team: string, now: number): TeamView {
  const standing = known.teams.get(team)!;
  const own = new Map<string, Attempt>();
  for (const [person, attempts] of known.attempts) {
    for (const attempt of attempts) if (attempt.teams.includes(team)) own.set(person, attempt);
  }
  const divers = [...own.keys()].sort();
  const where = (person: string) => known.where.get(person)!;
  const inWater = divers.filter((person) => openAttempt(known.attempts.get(person)!, where(person))?.teams.includes(team));
  const dues = inWater.map((person) => known.due.get(person)!);
  const dueAt = least(dues.map((due) => due.dueAt));
  const overdueAt = least(dues.map((due) => due.overdueAt));
  const downs = divers.map((person) => downOf(own.get(person)!));
  const down: Span | null =
    downs.length > 0 ? [Math.min(...downs.map(([low]) => low)), Math.max(...downs.map(([, high]) => high))] : null;
  let status: TeamStatus;
  if (inWater.length > 0) {
    status = overdueAt !== null && now >= overdueAt ? "overdue" : dueAt !== null && now >= dueAt ? "due" : "down";
  } else if (divers.length > 0) {
    status = divers.some((person) => !where(person).accountedFor) ? "up" : "aboard";
  } else if (standing.members.length === 0) {
    status = "dissolved";
  } else {
    status = divePlan(state, standing.dive)?.calledOff === true ? "called_off" : "ready";
  }
  const quiet = decided(state, "overdue_quieted")
    .filter((claim) => claim.entry.subject === team)
    .at(-1);
  return {
    dive: standing.dive,
    members: divers.length > 0 ? divers : standing.members,
    lead: standing.lead,
    status,
    in_water: inWater,
    up: divers.filter((person) => where(person).state === "up" && !inWater.includes(person)),
    down,
    due_at: dueAt,
    overdue_at: overdueAt,
    marker_seen_at: down === null ? null : markerSeen(state, [team], down[0]),
    quiet_until: (quiet?.data["until"] as number | undefined) ?? null,
    checked: decided(state, "team_check_done").some((claim) => claim.entry.subject === team),
  };
}

function least(instants: readonly (number | null)[]): number | null {
  const known = instants.filter((instant) => instant !== null);
  return known.length > 0 ? Math.min(...known) : null;
}

/** When the marker of a team was last seen after it went down (ms). */
function markerSeen(state: State, teams: readonly string[], since: number): number | null {
  const seen = (state.byKind.get("marker_seen") ?? [])
    .filter((entry) => teams.includes(entry.subject))
    .flatMap((entry) => readings(state, entry).claims)
    .filter((claim) => claim.latest >= since)
    .map((claim) => claim.at);
  return seen.length > 0 ? Math.max(...seen) : null;
}

function isEmergency(state: State): boolean {
  const signs = [...decided(state, "emergency_started"), ...decided(state, "emergency_ended")];
  return greatest(signs, (claim) => told(claim.at, claim.entry))?.entry.kind === "emergency_started";
}
