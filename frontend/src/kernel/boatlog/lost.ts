// What to know of a diver who is late, separated or out of sight. Nothing here is a reason to wait.
// The twin of boatlog/lost.py.

import { decided, readings } from "./claims.ts";
import type { Claim } from "./claims.ts";
import { downOf, named, surfacedOf } from "./dives.ts";
import type { Attempt, Span } from "./dives.ts";
import { openAttempt } from "./facts.ts";
import type { Facts } from "./facts.ts";
import { about } from "./fold.ts";
import type { State } from "./fold.ts";
import { compareKeys, greatest, sortedBy, told } from "./order.ts";
import { divePlan } from "./plan.ts";
import type { Where } from "./presence.ts";
import type { DepthQuantity, PressureQuantity } from "./snapshot.ts";
import { drift, gasEndsAt, pressureMbar, visibleForS } from "./sums.ts";
import type { Sight } from "./sums.ts";

const SEEN = ["down", "lost_from_sight", "marker_seen", "seen_at_surface", "surfaced", "surfaced_alone"];
const LISTS: Readonly<Record<string, "members" | "people">> = { down: "members", surfaced: "people" };
const CONDITIONS = [
  "current_tenths_kn",
  "current_toward_deg",
  "wind_kn",
  "wind_from_deg",
  "wave_cm",
  "visibility_cm",
  "water_tenths_c",
] as const;

/** The conditions as last found; null: not measured. `at`: ms. */
export type Conditions = { readonly at: number } & Readonly<Record<(typeof CONDITIONS)[number], number | null>>;

/** Where a phone was, `age_s` seconds before the entry that carries it. */
export interface Fix {
  readonly lat_e6: number;
  readonly lon_e6: number;
  readonly accuracy_m: number;
  readonly age_s?: number;
}

export interface Place {
  readonly lat_e6: number;
  readonly lon_e6: number;
  readonly accuracy_m: number;
  readonly at: number;
  readonly unsure_ms: number;
  readonly from: string;
  readonly entry: string;
}

export interface LostCard {
  readonly person: string;
  readonly state: Where;
  readonly with: readonly string[];
  readonly dive: string | null;
  readonly down: Span | null;
  readonly due_at: number | null;
  readonly overdue_at: number | null;
  readonly last_seen_at: number | null;
  readonly last_seen_unsure_ms: number;
  readonly last_seen_told: boolean;
  readonly place: Place | null;
  readonly boat_place: Place | null;
  readonly marker_seen_at: number | null;
  readonly marker_seen_unsure_ms: number;
  readonly depth: DepthQuantity | null;
  readonly planned_depth: DepthQuantity | null;
  readonly conditions: Conditions | null;
  readonly drift: { readonly toward_deg: number | null; readonly run_m: number; readonly radius_m: number } | null;
  readonly visible_for_s: Readonly<Record<Sight, number | null>> | null;
  readonly gas: { readonly pressure: PressureQuantity; readonly at: number; readonly unsure_ms: number; readonly cannot_breathe_after: number | null } | null;
}

/**
 * The facts about one person for whoever searches: instants in ms, null for what nobody entered. `unsure_ms`: how wide clocks
 * and corrections leave the instant beside it. `last_seen_told` false: nobody said when, and it was before the instant at
 * which a team-mate came up or the team was said to be apart.
 */
export function lostCard(state: State, known: Facts, person: string, now: number): LostCard {
  const attempts = known.attempts.get(person) ?? [];
  const where = known.where.get(person)!;
  // Whoever is no longer down is looked for from the dive they last made.
  const attempt = openAttempt(attempts, where) ?? attempts.at(-1) ?? null;
  const due = known.due.get(person);
  const claims = claimsAbout(state, person, attempt);
  const place = placeOf(latest(claims.filter(hasFix)));
  const conditions = conditionsAt(state);
  const current = conditions?.current_tenths_kn ?? null;
  const plan = attempt === null ? null : divePlan(state, attempt.dive, downOf(attempt)[0]);
  const drifting = place === null || current === null ? null : drift(current, Math.floor(Math.max(0, now - place.at) / 1000));
  const marker = attempt === null ? undefined : latest(claims.filter((claim) => claim.entry.kind === "marker_seen"));
  const together = due?.together ?? null;
  const sign = latest(claims.filter((claim) => claim.entry.kind !== "marker_seen"));
  return {
    person,
    state: where.state,
    with: attempt?.mates ?? [],
    dive: attempt?.dive ?? null,
    down: attempt === null ? null : downOf(attempt),
    due_at: due?.dueAt ?? null,
    overdue_at: due?.overdueAt ?? null,
    last_seen_at: together?.at ?? sign?.at ?? null,
    last_seen_unsure_ms: together?.unsureMs ?? unsureMs(sign),
    last_seen_told: together === null || !together.guessed,
    place,
    boat_place: placeOf(newestFix(state)),
    marker_seen_at: marker?.at ?? null,
    marker_seen_unsure_ms: unsureMs(marker),
    depth: attempt?.depth ?? null,
    planned_depth: plan?.depth ?? null,
    conditions,
    drift: drifting === null ? null : { toward_deg: conditions?.current_toward_deg ?? null, ...drifting },
    visible_for_s: current === null ? null : visibleForS(current),
    gas: gasOf(state, person, attempt, attempts),
  };
}

/** The conditions as last found, each quantity as last measured; null: nobody entered any. */
export function conditionsAt(state: State): Conditions | null {
  const found = sortedBy(decided(state, "conditions_found"), (claim) => told(claim.at, claim.entry));
  const last = found.at(-1);
  if (last === undefined) return null;
  const merged = Object.fromEntries(CONDITIONS.map((name) => [name, null])) as Record<(typeof CONDITIONS)[number], number | null>;
  for (const claim of found) {
    for (const name of CONDITIONS) merged[name] = (claim.data[name] as number | null | undefined) ?? merged[name];
  }
  return { at: last.at, ...merged };
}

/** What was entered about the person, or about their team on this dive, that may have happened since it began. */
function claimsAbout(state: State, person: string, attempt: Attempt | null): Claim[] {
  const entries = [...about(state, person)];
  for (const team of attempt?.teams ?? []) entries.push(...about(state, team).filter((entry) => entry.kind === "marker_seen"));
  return entries
    .filter((entry) => SEEN.includes(entry.kind))
    .flatMap((entry) => readings(state, entry).claims)
    .filter((claim) => isOf(claim, person, attempt) && (attempt === null || claim.latest >= downOf(attempt)[0]));
}

/** Whether a reading is of this person: another name in the entry at first must not place a search. */
function isOf(claim: Claim, person: string, attempt: Attempt | null): boolean {
  if (claim.entry.kind === "marker_seen") return attempt?.teams.includes(claim.subject) ?? false;
  const listed = LISTS[claim.entry.kind];
  return listed === undefined ? claim.subject === person : named(claim, listed, person);
}

function hasFix(claim: Claim): boolean {
  return (claim.data["fix"] ?? null) !== null;
}

function unsureMs(claim: Claim | undefined): number {
  return claim === undefined ? 0 : claim.latest - claim.earliest;
}

function latest(claims: readonly Claim[]): Claim | undefined {
  return greatest(claims, (claim) => told(claim.at, claim.entry));
}

function newestFix(state: State): Claim | undefined {
  const kinds = [...SEEN, "overdue_reached", "conditions_found", "distress_call_made"];
  return latest(
    kinds
      .flatMap((kind) => state.byKind.get(kind) ?? [])
      .flatMap((entry) => readings(state, entry).claims)
      .filter(hasFix),
  );
}

function placeOf(claim: Claim | undefined): Place | null {
  if (claim === undefined) return null;
  const { lat_e6, lon_e6, accuracy_m, age_s } = claim.data["fix"] as Fix;
  // Where the phone was when it last knew: before the tap by the age of the fix.
  return { lat_e6, lon_e6, accuracy_m, at: claim.at - (age_s ?? 0) * 1000, unsure_ms: unsureMs(claim), from: claim.entry.kind, entry: claim.entry.id };
}

/** The last pressure known, and until when at the very longest it can have been breathed; null: not known. */
function gasOf(state: State, person: string, attempt: Attempt | null, attempts: readonly Attempt[]): LostCard["gas"] {
  if (attempt === null) return null;
  const isBefore = (each: Attempt) => compareKeys(downOf(each), downOf(attempt)) < 0;
  const ends = attempts.filter(isBefore).flatMap((each) => surfacedOf(each)?.[1] ?? []);
  // What was read before the diver last came up is of another cylinder, or of another filling.
  const since = Math.max(0, ...ends);
  const read: { claim: Claim; pressure: PressureQuantity }[] = [];
  for (const kind of ["gas_checked", "pressure_reported"]) {
    for (const claim of decided(state, kind)) {
      if (claim.entry.subject === person) read.push({ claim, pressure: claim.data["pressure"] as PressureQuantity });
    }
  }
  for (const claim of decided(state, "team_check_done")) {
    for (const each of claim.data["pressures"] as { person: string; pressure: PressureQuantity }[]) {
      if (each.person === person) read.push({ claim, pressure: each.pressure });
    }
  }
  const last = greatest(
    read.filter(({ claim }) => claim.at >= since),
    ({ claim }) => told(claim.at, claim.entry),
  );
  if (last === undefined) return null;
  const diver = state.snapshot.dives
    .filter((dive) => dive.id === attempt.dive)
    .flatMap((dive) => dive.teams)
    .flatMap((team) => team.divers)
    .find((each) => each.id === person);
  const cylinder = diver?.cylinder_dl ?? null;
  const rmvLow = diver?.rmv_low_dl_min ?? null;
  // A pressure read before the dive counts from the latest descent that is claimed.
  const start = Math.max(last.claim.latest, downOf(attempt)[1]);
  const known = cylinder !== null && rmvLow !== null;
  const pressure = { unit: last.pressure.unit, value: last.pressure.value };
  return {
    pressure,
    at: last.claim.at,
    unsure_ms: unsureMs(last.claim),
    cannot_breathe_after: known ? gasEndsAt(start, cylinder, pressureMbar(pressure), rmvLow) : null,
  };
}
