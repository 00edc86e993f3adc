// The plan as it stands: the snapshot's dives and teams, changed by what was entered since.
// The twin of boatlog/plan.py.

import { Depth, shallowerIn } from "../physics/units.ts";
import { decided, standing } from "./claims.ts";
import { OF_A_PERSON } from "./corrections.ts";
import type { Data } from "./entries.ts";
import { PEOPLE_LISTS, roots } from "./fold.ts";
import type { State } from "./fold.ts";
import { sortedBy } from "./order.ts";
import type { DepthQuantity, PlannedTeam } from "./snapshot.ts";

/** Who dives together on which dive. `planned` null: made up on board, so its limits are not known. */
export interface Team {
  readonly id: string;
  readonly dive: string;
  readonly members: readonly string[];
  readonly lead: string | null;
  readonly planned: PlannedTeam | null;
}

/** Depth and times of a dive as announced; seconds. */
export interface DivePlan {
  readonly dive: string;
  readonly number: number;
  readonly depth: DepthQuantity;
  readonly bottom_time_s: number;
  readonly run_time_s: number;
  readonly calledOff: boolean;
}

export interface Listed {
  readonly role: string;
  readonly dives: boolean;
}

const sortedMap = <T>(found: ReadonlyMap<string, T>): Map<string, T> => new Map([...found].sort(([a], [b]) => (a < b ? -1 : 1)));

/** Everyone to bring home, by id. Whoever an entry names counts, on the list or not. */
export function people(state: State): Map<string, Listed> {
  const found = new Map<string, Listed>();
  const name = (person: string, role: string, dives: boolean) => {
    if (!found.has(person)) found.set(person, { role, dives });
  };
  for (const person of state.snapshot.people) name(person.id, person.role, person.dives);
  for (const entry of state.byKind.get("joined") ?? []) name(entry.subject, entry.data["role"] as string, entry.data["dives"] as boolean);
  for (const [kind, list] of [
    ["down", "members"],
    ["surfaced", "people"],
    ["roll_call_taken", "seen"],
  ] as const) {
    for (const entry of state.byKind.get(kind) ?? []) {
      for (const person of entry.data[list] as string[]) name(person, "not_on_list", kind === "down");
    }
  }
  for (const kind of ["aboard", "back_aboard", "person_went_in", "transferred", "surfaced_alone", "seen_at_surface", "lost_from_sight"]) {
    for (const entry of state.byKind.get(kind) ?? []) name(entry.subject, "not_on_list", kind === "surfaced_alone");
  }
  for (const correction of state.byKind.get("correction") ?? []) {
    for (const list of PEOPLE_LISTS) {
      const listed = (correction.data["data"] as Data | undefined)?.[list];
      if (!Array.isArray(listed)) continue;
      for (const person of listed) if (typeof person === "string") name(person, "not_on_list", list === "members");
    }
    const another = correction.data["subject"] as string | undefined;
    if (another !== undefined && roots(state, correction).some(({ kind }) => OF_A_PERSON.has(kind))) name(another, "not_on_list", false);
  }
  return sortedMap(found);
}

/** Every team that was announced, changed or went down, as it stands now. */
export function teams(state: State): Map<string, Team> {
  const found = new Map<string, Team>();
  for (const dive of state.snapshot.dives) {
    for (const team of dive.teams) {
      found.set(team.id, { id: team.id, dive: dive.id, members: team.members, lead: team.lead, planned: team });
    }
  }
  for (const claim of decided(state, "team_changed")) {
    const id = claim.entry.subject;
    const known = found.get(id)?.planned ?? null;
    const members = claim.data["members"] as string[];
    const same = known !== null && sameSet(members, known.members);
    found.set(id, {
      id,
      dive: claim.data["dive"] as string,
      members,
      lead: claim.data["lead"] as string | null,
      planned: same ? known : null,
    });
  }
  for (const entry of state.byKind.get("down") ?? []) {
    if (found.has(entry.subject)) continue;
    const members = entry.data["members"] as string[];
    found.set(entry.subject, { id: entry.subject, dive: entry.data["dive"] as string, members, lead: null, planned: null });
  }
  return sortedMap(found);
}

/** The plan of a dive, or of what was announced up to `beforeMs`: a change cannot reach those already down. */
export function divePlan(state: State, dive: string, beforeMs: number | null = null): DivePlan | null {
  const planned = state.snapshot.dives.find((each) => each.id === dive);
  let depth = planned?.depth ?? null;
  let bottom = planned?.bottom_time_s ?? 0;
  let run = planned?.run_time_s ?? 0;
  let calledOff = false;
  for (const entry of state.about.get(dive) ?? []) {
    const claim = standing(state, entry);
    if (claim === null || entry.subject !== dive || (beforeMs !== null && claim.at > beforeMs)) continue;
    if (entry.kind === "plan_changed") {
      depth = claim.data["depth"] as DepthQuantity;
      bottom = claim.data["bottom_time_s"] as number;
      run = claim.data["run_time_s"] as number;
      calledOff = false;
    } else if (entry.kind === "dive_called_off") {
      calledOff = true;
    }
  }
  if (depth === null) return null;
  return { dive, number: planned?.number ?? 0, depth, bottom_time_s: bottom, run_time_s: run, calledOff };
}

/** The next planned dive that this person is to take part in and has not begun, with their team; null: none. */
export function nextDiveOf(state: State, person: string, done: ReadonlySet<string>): { plan: DivePlan; team: Team } | null {
  const last = Math.max(0, ...state.snapshot.dives.filter((dive) => done.has(dive.id)).map((dive) => dive.number));
  const out = new Set(
    decided(state, "sits_out")
      .filter((claim) => claim.entry.subject === person)
      .map((claim) => claim.data["dive"]),
  );
  for (const dive of sortedBy(state.snapshot.dives, (each) => [each.number, each.id])) {
    if (dive.number <= last || done.has(dive.id) || out.has(dive.id) || out.has(null)) continue;
    const plan = divePlan(state, dive.id);
    const team = teamOn(state, person, dive.id);
    if (plan !== null && !plan.calledOff && team !== null) return { plan, team };
  }
  return null;
}

/** The team that this person is in on a dive, as it stands now; null: none. */
export function teamOn(state: State, person: string, dive: string): Team | null {
  return [...teams(state).values()].find((each) => each.dive === dive && each.members.includes(person)) ?? null;
}

/**
 * The bottom time a team plans: the dive's, or the limit it was announced with where that is shorter. A limit was
 * worked out for the plan of the snapshot. A new plan no shallower than that can only have a shorter one, so it stays;
 * of a shallower one, or of another team, it says nothing.
 */
export function plannedBottomTimeS(state: State, plan: DivePlan, team: Team | null): number {
  const announced = state.snapshot.dives.find((dive) => dive.id === plan.dive);
  const limitS = team?.planned?.limit_s ?? null;
  if (announced === undefined || limitS === null || limitS === 0) return plan.bottom_time_s;
  const shallower = exact(plan.depth) < exact(announced.depth);
  return shallower ? plan.bottom_time_s : Math.min(plan.bottom_time_s, limitS);
}

/** Whole centimetres of a depth, rounded down; exact where it was typed in metres. */
export function depthCm(depth: DepthQuantity): number {
  return shallowerIn(new Depth(depth.hundredths, depth.unit), "m").hundredths;
}

/** The deeper of two depths, compared exactly as typed; null is not known. */
export function deeper(left: DepthQuantity | null, right: DepthQuantity | null): DepthQuantity | null {
  if (left === null || right === null) return left ?? right;
  return exact(right) > exact(left) ? right : left;
}

function exact(depth: DepthQuantity): number {
  return new Depth(depth.hundredths, depth.unit).mswE7;
}

function sameSet(left: readonly string[], right: readonly string[]): boolean {
  const words = new Set(left);
  return words.size === new Set(right).size && right.every((word) => words.has(word));
}
