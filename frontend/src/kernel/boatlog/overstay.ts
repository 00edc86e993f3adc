// What a team would owe for staying past its tissue no-stop limit, by the plan's depth: told, never planned.
// The twin of boatlog/overstay.py.

import { type Ascent, ascentMin, owed, stopMin, stopS } from "../physics/ascent.ts";
import { wait } from "../physics/dive.ts";
import { Missing } from "../physics/known.ts";
import { tissueLeftS } from "../physics/nitrogen.ts";
import { PAST_S } from "../physics/overstay.ts";
import { squareDive } from "../physics/profile.ts";
import { minutesUp } from "../physics/rounding.ts";
import { Depth } from "../physics/units.ts";
import { downOf, isOpen } from "./dives.ts";
import { type Facts, facts } from "./facts.ts";
import type { State } from "./fold.ts";
import { limitsThen, waitedS } from "./nitrogen.ts";
import { type DivePlan, type Team, divePlan } from "./plan.ts";
import type { DepthQuantity } from "./snapshot.ts";
import { type Surfaced, mixOf, settingsOf, surfaced } from "./surfaced.ts";

/** A bottom time past the team's limit (seconds), who would owe most for it, and what. */
export interface OverstayOwed {
  readonly past_s: number;
  readonly bottom_time_s: number;
  readonly person: string;
  readonly stops: readonly { readonly depth: DepthQuantity; readonly min: number }[];
  readonly stop_min: number;
  readonly ascent_min: number;
}

type Unknown = { readonly not_known: readonly string[] };
type Member = readonly [person: string, safe: Surfaced];

/** Before the descent what five and ten minutes past the limit would owe; under water what staying till `now` owes. */
export function overstay(state: State, team: string, now: number): readonly OverstayOwed[] | Unknown {
  const known = facts(state);
  const found = known.teams.get(team);
  const plan = found === undefined ? null : divePlan(state, found.dive);
  if (found === undefined || plan === null) return [];
  const of = (person: string) => known.attempts.get(person) ?? [];
  const under = found.members.flatMap((person) => of(person).filter((attempt) => attempt.dive === found.dive));
  if (under.some((attempt) => !isOpen(attempt))) return [];
  const down = under.length === 0 ? null : Math.min(...under.map((attempt) => downOf(attempt)[0]));
  // The dive itself is not behind them yet.
  const before = found.members.map((person) => [person, of(person).filter((attempt) => attempt.dive !== found.dive)] as const);
  return owedBy(state, found, plan, now, down, { ...known, attempts: new Map([...known.attempts, ...before]) });
}

function owedBy(state: State, team: Team, plan: DivePlan, now: number, down: number | null, known: Facts): readonly OverstayOwed[] | Unknown {
  const at = down ?? now;
  const members: Member[] = [];
  let limitS: number | null = null;
  for (const person of team.members) {
    const safe = surfaced(state, person, known);
    if (safe instanceof Missing) return safe.asJson();
    const left = tissueLeftS(limitsThen(state, person, plan, safe, waitedS(state, safe, at)));
    if (left instanceof Missing) return left.asJson();
    if (left !== null && (limitS === null || left < limitS)) limitS = left;
    members.push([person, safe]);
  }
  if (limitS === null) return [];
  const stayedS = down === null ? null : Math.max(0, Math.floor((now - down) / 1000));
  const told: OverstayOwed[] = [];
  for (const pastS of stayedS === null ? PAST_S : [stayedS - limitS]) {
    if (pastS <= 0) continue;
    const worst = worstOf(state, plan, members, limitS + pastS, at);
    if (worst instanceof Missing) return worst.asJson();
    told.push(json(pastS, limitS + pastS, worst[0], worst[1]));
  }
  return told;
}

/** The diver who owes most, the first of equals. */
function worstOf(state: State, plan: DivePlan, members: readonly Member[], bottomS: number, at: number): readonly [string, Ascent] | Missing {
  const depth = new Depth(plan.depth.hundredths, plan.depth.unit);
  const settings = settingsOf(state);
  let worst: readonly [string, Ascent] | null = null;
  for (const [person, safe] of members) {
    const stay = squareDive(depth, bottomS, mixOf(state, person, plan.dive, at));
    const ascent = owed(wait(safe.nitrogen, waitedS(state, safe, at)), stay, settings);
    if (ascent instanceof Missing) return ascent;
    if (worst === null || stopS(ascent) > stopS(worst[1])) worst = [person, ascent];
  }
  return worst ?? new Missing(["a diver of the team"]);
}

function json(pastS: number, bottomS: number, person: string, ascent: Ascent): OverstayOwed {
  return {
    past_s: pastS,
    bottom_time_s: bottomS,
    person,
    stops: ascent.stops.map((stop) => ({ depth: { unit: stop.depth.unit, hundredths: stop.depth.hundredths }, min: minutesUp(stop.seconds) })),
    stop_min: stopMin(ascent),
    ascent_min: ascentMin(ascent),
  };
}
