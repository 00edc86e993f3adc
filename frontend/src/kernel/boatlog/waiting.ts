// When waiting on the surface pays for a team: the next moments at which its limit, in whole minutes, rises.
// The twin of boatlog/waiting.py.

import { leastMinute } from "../physics/interval.ts";
import { Missing } from "../physics/known.ts";
import { ceilDiv, floorDiv } from "../physics/rounding.ts";
import { facts } from "./facts.ts";
import type { State } from "./fold.ts";
import { FURTHEST_MIN, LEAST_INTERVAL_MIN, governing, limitsThen, planOf, waitedS } from "./nitrogen.ts";
import type { DivePlan } from "./plan.ts";
import { surfaced } from "./surfaced.ts";
import type { Surfaced } from "./surfaced.ts";

const MOST_STEPS = 3;
const MINUTE_MS = 60_000;

/** A moment (ms) at which the team's limit rises: seconds (null: no end), by which method, whose, whole minutes won. */
export interface NextStep {
  readonly at: number;
  readonly limit_s: number | null;
  readonly limited_by: "table" | "tissue" | null;
  readonly person: string | null;
  readonly gain_min: number | null;
}

interface Member {
  readonly person: string;
  readonly plan: DivePlan;
  readonly safe: Surfaced;
}

interface TeamLimit {
  readonly seconds: number | null;
  readonly by: "table" | "tissue" | null;
  readonly person: string | null;
}

/** The next rises of the team's limit on that dive, the soonest first, at most three. */
export function nextSteps(state: State, people: readonly string[], dive: string, now: number): NextStep[] {
  const known = facts(state);
  const members: Member[] = [];
  for (const person of people) {
    const plan = planOf(state, person, dive, known);
    const safe = surfaced(state, person, known);
    if (plan === null || safe instanceof Missing) return [];
    members.push({ person, plan, safe });
  }
  let first: number | null = null;
  for (const { safe } of members) {
    if (safe.at === null) continue;
    const parted = ceilDiv(safe.at, MINUTE_MS) + LEAST_INTERVAL_MIN;
    if (first === null || parted > first) first = parted;
  }
  const present = teamLimit(state, members, now);
  const lastMinute = floorDiv(now, MINUTE_MS) + FURTHEST_MIN;
  const ends = teamLimit(state, members, lastMinute * MINUTE_MS);
  if (first === null || present === null || ends === null || present.seconds === null) return [];
  let reached = floorDiv(present.seconds, 60);
  let after = Math.max(floorDiv(now, MINUTE_MS), first - 1);
  const found: NextStep[] = [];
  while (found.length < MOST_STEPS) {
    const wantedS = (reached + 1) * 60;
    const step = leastMinute(after + 1, lastMinute, (minute) => {
      const limit = teamLimit(state, members, minute * MINUTE_MS);
      return limit !== null && (limit.seconds === null || limit.seconds >= wantedS);
    });
    const limit = step === null ? null : teamLimit(state, members, step * MINUTE_MS);
    if (step === null || limit === null) break;
    found.push({
      at: step * MINUTE_MS,
      limit_s: limit.seconds,
      limited_by: limit.by,
      person: limit.person,
      gain_min: limit.seconds === null ? null : floorDiv(limit.seconds, 60) - floorDiv(present.seconds, 60),
    });
    if (limit.seconds === null) break;
    after = step;
    reached = floorDiv(limit.seconds, 60);
  }
  return found;
}

/** The least governing limit of the members; null where one is not known. */
function teamLimit(state: State, members: readonly Member[], now: number): TeamLimit | null {
  let least: TeamLimit = { seconds: null, by: null, person: null };
  for (const { person, plan, safe } of members) {
    const [limit, by] = governing(state, limitsThen(state, person, plan, safe, waitedS(state, safe, now)));
    if (limit instanceof Missing) return null;
    if (limit !== null && (least.seconds === null || limit < least.seconds)) {
      least = { seconds: limit, by, person };
    }
  }
  return least;
}
