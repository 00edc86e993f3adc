// Waits before flying or going to altitude, as JSON. The twin of calculations/no_fly_answer.py.

import type { Day, Settings } from "../physics/dive.ts";
import { type Missing, isMissing } from "../physics/known.ts";
import { ASSUMPTIONS, type Breathed, type NoFly, PASSED, noFly } from "../physics/no_fly.ts";
import { minutesDown } from "../physics/rounding.ts";
import type { Json } from "./body.ts";
import type { Destination, NoFlyAsked } from "./no_fly_reading.ts";

interface Departure {
  readonly inMin: number;
  /** What is left over; negative: so much too early. */
  readonly over: number | Missing;
  readonly latest: number | Missing;
}

/** The longest wait of all destinations, and each of them where several were asked; `counted` dives for the consensus. */
export function noFlyAnswer(
  asked: NoFlyAsked,
  made: Day,
  counted: number,
  gas: Breathed,
  settings: Settings,
  days: number | null,
  sinceS: number,
): Json {
  const found = asked.destinations.map((to): readonly [Destination, NoFly] => [
    to,
    noFly(made.state, settings, to.altitudeFt, counted, days, asked.club, {
      by: to.by,
      breathed: gas,
      symptoms: asked.symptoms,
    }),
  ]);
  const each = found.map(([to, wait]) => one(to, wait, asked, sinceS));
  const answer: Record<string, Json> = { ...each[longest(found)]! };
  const leaving = found.flatMap(([to, wait]) => (to.inMin === null ? [] : [departure(to.inMin, wait, sinceS)]));
  if (leaving.length > 0) answer["departure"] = departureJson(tightest(leaving));
  if (asked.listed) answer["destinations"] = each;
  return answer;
}

/** Position of the longest wait; one that is not known stands before every other. */
function longest(found: readonly (readonly [Destination, NoFly])[]): number {
  let at = 0;
  found.forEach(([, wait], i) => {
    const most = found[at]![1].waitMin;
    if (!isMissing(most) && (isMissing(wait.waitMin) || wait.waitMin > most)) at = i;
  });
  return at;
}

function one(to: Destination, wait: NoFly, asked: NoFlyAsked, sinceS: number): Record<string, Json> {
  const remaining = isMissing(wait.waitMin) ? null : Math.max(0, wait.waitMin - minutesDown(sinceS));
  const cabin = asked.cabinAssumed && to.by === "flight" ? [ASSUMPTIONS.cabin] : [];
  const found: Record<string, Json> = {
    wait_min: json(wait.waitMin),
    rule: wait.rule,
    consensus_wait_min: json(wait.consensusWaitMin),
    table_wait_min: json(wait.tableWaitMin),
    club_wait_min: wait.clubWaitMin,
    remaining_min: remaining ?? json(wait.waitMin),
    to_altitude_ft: to.altitudeFt,
    by: to.by,
    message: remaining === 0 ? PASSED : null,
    assumptions: [...cabin, ...wait.assumptions],
  };
  if (to.inMin !== null) found["departure"] = departureJson(departure(to.inMin, wait, sinceS));
  return found;
}

/** A departure `inMin` from now against the wait: what is left over, or how much too early it is. */
function departure(inMin: number, wait: NoFly, sinceS: number): Departure {
  const least = wait.waitMin;
  if (isMissing(least)) return { inMin, over: least, latest: least };
  return { inMin, over: inMin + minutesDown(sinceS) - least, latest: inMin - least };
}

function departureJson({ inMin, over, latest }: Departure): Json {
  return {
    in_min: inMin,
    margin_min: isMissing(over) ? over.asJson() : Math.max(0, over),
    too_early_min: isMissing(over) ? over.asJson() : Math.max(0, -over),
    latest_surfacing_in_min: json(latest),
  };
}

/** The departure that leaves least; one that is not known before every other. */
function tightest(leaving: readonly Departure[]): Departure {
  let found = leaving[0]!;
  for (const next of leaving.slice(1)) {
    if (isMissing(found.over)) return found;
    if (isMissing(next.over) || next.over < found.over) found = next;
  }
  return found;
}

function json(value: number | Missing): Json {
  return isMissing(value) ? value.asJson() : value;
}
