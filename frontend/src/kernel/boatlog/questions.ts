// What the deck asks of the log: may this team go down, may the boat leave, what is due for whom.
// The twin of boatlog/questions.py.

import { togetherOn } from "./boats.ts";
import * as deckwatch from "./deckwatch.ts";
import { isOpen } from "./dives.ts";
import { departures, facts } from "./facts.ts";
import type { State } from "./fold.ts";
import { notFit } from "./holds.ts";
import { nextDive, noFly } from "./nitrogen.ts";
import { sortedBy } from "./order.ts";
import { divePlan } from "./plan.ts";
import { IN_WATER } from "./presence.ts";
import { departure } from "./rollcall.ts";
import type { Departure, RollCall } from "./rollcall.ts";
import type { Snapshot } from "./snapshot.ts";

/** Why not: a stable code and whom it concerns. */
export interface Refusal {
  readonly code: string;
  readonly people: readonly string[];
}

/** A call that ought to be made: what, for whom, about which dive or trip, when (ms), and why. */
export interface Duty {
  readonly kind: "surface_interval_reached" | "no_fly_passed";
  readonly person: string;
  readonly subject: string;
  readonly due_at: number;
  readonly why: readonly Readonly<Record<string, unknown>>[];
}

/**
 * Why this team cannot be marked down now; empty: it can. The deck holder must hand over first.
 *
 * Whoever swims, is up or lost from sight is not aboard; whom nobody has met yet is no reason: going down is seen.
 */
export function mayGoDown(state: State, team: string): Refusal[] {
  const known = facts(state);
  const standing = known.teams.get(team);
  if (standing === undefined || standing.members.length === 0) return [{ code: "team_unknown", people: [] }];
  const { boats, now } = known.afloat;
  const several: readonly (string | null)[] = boats.length > 0 ? boats : [null];
  const holders = new Map(several.map((boat) => [boat, deckwatch.holders(state, boat)]));
  const going: ReadonlySet<string | null> = boats.length > 0 ? togetherOn(standing.members.map((person) => now.get(person)!)) : new Set(several);
  const found: Refusal[] = [];
  if ([...going].every((boat) => holders.get(boat)?.size === 0)) found.push({ code: "no_deck_holder", people: [] });
  // Of whichever boat they hold the deck: nobody down watches one.
  const down = standing.members.filter((person) => [...holders.values()].some((each) => each.has(person))).sort();
  if (down.length > 0) found.push({ code: "deck_holder_in_team", people: down });
  const under = standing.members.filter((person) => (known.attempts.get(person) ?? []).some(isOpen)).sort();
  if (under.length > 0) found.push({ code: "already_down", people: under });
  const ashore = standing.members.filter((person) => known.where.get(person)?.state === "ashore").sort();
  if (ashore.length > 0) found.push({ code: "ashore", people: ashore });
  const away = standing.members.filter((person) => known.where.get(person)?.state === "transferred").sort();
  if (away.length > 0) found.push({ code: "with_others", people: away });
  const afloat = standing.members.filter((person) => IN_WATER.has(known.where.get(person)?.state ?? "") && !under.includes(person)).sort();
  if (afloat.length > 0) found.push({ code: "not_aboard", people: afloat });
  const held = standing.members.filter((person) => known.held.get(person) === true).sort();
  if (held.length > 0) found.push({ code: "held_from_diving", people: held });
  const unfit = standing.members.filter((person) => notFit(state, person)).sort();
  if (unfit.length > 0) found.push({ code: "not_fit_to_dive_said", people: unfit });
  if (divePlan(state, standing.dive)?.calledOff === true) found.push({ code: "dive_called_off", people: [] });
  return found;
}

/** Why the boat (null: any of them) cannot be declared leaving; empty: it can. Two may override, on record. */
export function mayDepart(state: State, boat: string | null = null): Refusal[] {
  const known = facts(state);
  if (boat === null && known.calls.size === 0) {
    const missing = [...known.where].filter(([, where]) => !where.accountedFor).map(([person]) => person);
    return refusals(known.rollCall, departure(state, known.rollCall, missing));
  }
  const people = new Map<string, Set<string>>();
  for (const [each, left] of departures(state, known)) {
    if (boat !== null && each !== boat) continue;
    for (const refusal of refusals(known.calls.get(each)!, left)) {
      people.set(refusal.code, new Set([...(people.get(refusal.code) ?? []), ...refusal.people]));
    }
  }
  return LEAVING.filter((code) => people.has(code)).map((code) => ({ code, people: [...people.get(code)!].sort() }));
}

const LEAVING = ["not_accounted_for", "roll_call_not_complete", "counts_differ"];

function refusals(call: RollCall, left: Departure): Refusal[] {
  if (left.overridden) return [];
  const found: Refusal[] = left.missing.length > 0 ? [{ code: "not_accounted_for", people: left.missing }] : [];
  if (!call.complete) {
    found.push({ code: "roll_call_not_complete", people: call.missing });
    const { stage, differ } = call.compared;
    if (call.needed > 1 && (stage === "recount" || stage === "emergency")) found.push({ code: "counts_differ", people: differ });
  }
  return found;
}

/** The calls of this trip whose instant is known, past ones included, in order of their instants. */
export function due(snapshot: Snapshot, state: State, now: number): Duty[] {
  const known = facts(state);
  const found: Duty[] = [];
  for (const person of known.people.keys()) {
    if (known.attempts.get(person)!.length === 0) continue;
    const coming = nextDive(state, person, now);
    if (coming !== null && typeof coming.ready_at === "number") {
      const { number, depth, planned_bottom_time_s } = coming;
      const why = { code: "planned_bottom_time_fits", number, depth, planned_bottom_time_s };
      found.push({ kind: "surface_interval_reached", person, subject: coming.dive, due_at: coming.ready_at, why: [why] });
    }
    const flying = noFly(state, person);
    if (flying !== null && typeof flying.until === "number") {
      const { wait_min, rule } = flying;
      const to_altitude_ft = snapshot.settings.ascent_to_altitude_ft;
      const why = { code: "waiting_time_passed", wait_min, rule, to_altitude_ft };
      found.push({ kind: "no_fly_passed", person, subject: snapshot.trip, due_at: flying.until, why: [why] });
    }
  }
  return sortedBy(found, (duty) => [duty.due_at, duty.kind, duty.person, duty.subject]);
}
