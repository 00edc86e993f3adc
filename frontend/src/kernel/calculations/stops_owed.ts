// What an overstay obliges, as the answers of `day` and `plan` write it. The twin of calculations/stops_owed.py.

import { type Ascent, ascentMin, stopMin } from "../physics/ascent.ts";
import { type Missing, isMissing } from "../physics/known.ts";
import { minutesUp } from "../physics/rounding.ts";
import { depthText } from "../physics/units.ts";
import type { JsonObject } from "./body.ts";

export const NOT_A_PLAN =
  "This says what an overstay obliges; it is never a plan. Stops are for divers trained for them: training and " +
  "makers' manuals come first.";

/** The stops in the depths of the question and whole minutes, the ceiling, and the whole ascent with them. */
export function stopsOwed(ascent: Ascent | Missing): JsonObject {
  if (isMissing(ascent)) return ascent.asJson();
  return {
    ceiling: ascent.ceiling.number,
    stops: ascent.stops.map((stop) => ({ depth: stop.depth.number, min: minutesUp(stop.seconds) })),
    stop_min: stopMin(ascent),
    ascent_min: ascentMin(ascent),
    message: `Past the tissue limit: this dive owes ${stopsText(ascent)}.`,
    caution: NOT_A_PLAN,
  };
}

/** As the end of a sentence: `12 min of stops, the first at 6 m`. */
export function stopsText(ascent: Ascent): string {
  const first = ascent.stops[0];
  return first === undefined ? "no stop" : `${stopMin(ascent)} min of stops, the first at ${depthText(first.depth)}`;
}
