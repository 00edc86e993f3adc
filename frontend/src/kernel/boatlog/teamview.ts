// One team as the deck shows it.
// The twin of boatlog/teamview.py; field names are those of the JSON in both.

import { dueSoonMs, quieted, quietUntil } from "./alarm.ts";
import { decided, readings } from "./claims.ts";
import { downOf } from "./dives.ts";
import type { Attempt, Span } from "./dives.ts";
import { openAttempt } from "./facts.ts";
import type { Facts } from "./facts.ts";
import type { State } from "./fold.ts";
import { divePlan } from "./plan.ts";

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
  /** Until when (ms) each phone keeps quiet, by device. */
  readonly quieted: Readonly<Record<string, number>>;
  readonly due_soon: boolean;
  readonly recalled_at: number | null;
  readonly recall_acknowledged_at: number | null;
  readonly turned_at: number | null;
  readonly checked: boolean;
}

const kept = new WeakMap<Facts, ReadonlyMap<string, ReadonlyMap<string, Attempt>>>();

/** The last attempt of each diver with a team, worked out once for all teams. */
function attemptsByTeam(known: Facts): ReadonlyMap<string, ReadonlyMap<string, Attempt>> {
  let found = kept.get(known);
  if (found === undefined) {
    const made = new Map<string, Map<string, Attempt>>();
    for (const [person, attempts] of known.attempts) {
      for (const attempt of attempts) for (const team of attempt.teams) made.set(team, (made.get(team) ?? new Map<string, Attempt>()).set(person, attempt));
    }
    kept.set(known, (found = made));
  }
  return found;
}

/** One team as the deck shows it at `now` (ms since 1970). */
export function teamView(state: State, known: Facts, team: string, now: number): TeamView {
  const standing = known.teams.get(team)!;
  const own = attemptsByTeam(known).get(team) ?? new Map<string, Attempt>();
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
    marker_seen_at: down === null ? null : markerSeenAt(state, [team], down[0]),
    quiet_until: quiet === undefined ? null : quietUntil(state, quiet),
    quieted: quieted(state, team),
    due_soon: status === "down" && dueAt !== null && now >= dueAt - dueSoonMs(state),
    recalled_at: lastAt(state, "recall_given", team, down),
    recall_acknowledged_at: lastAt(state, "recall_acknowledged", team, down),
    turned_at: lastAt(state, "turned", team, down),
    checked: decided(state, "team_check_done").some((claim) => claim.entry.subject === team),
  };
}

function least(instants: readonly (number | null)[]): number | null {
  const known = instants.filter((instant) => instant !== null);
  return known.length > 0 ? Math.min(...known) : null;
}

/** When the marker of a team was last seen after it went down (ms). */
export function markerSeenAt(state: State, teams: readonly string[], since: number): number | null {
  const seen = (state.byKind.get("marker_seen") ?? [])
    .flatMap((entry) => readings(state, entry).claims)
    .filter((claim) => teams.includes(claim.subject) && claim.latest >= since)
    .map((claim) => claim.at);
  return seen.length > 0 ? Math.max(...seen) : null;
}

/** When (ms) something was last entered of the team since it went down; null: not since then. */
function lastAt(state: State, kind: string, team: string, down: Span | null): number | null {
  if (down === null) return null;
  const found = (state.byKind.get(kind) ?? [])
    .filter((entry) => entry.subject === team || ((entry.data["teams"] as string[] | undefined) ?? []).includes(team))
    .flatMap((entry) => readings(state, entry).claims)
    .filter((claim) => claim.latest >= down[0])
    .map((claim) => claim.at);
  return found.length > 0 ? Math.max(...found) : null;
}
