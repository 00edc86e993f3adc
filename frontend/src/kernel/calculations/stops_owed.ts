// What an overstay obliges, as the answers of `day` and `plan` write it. The twin of calculations/stops_owed.py.

import { type Ascent, ascentMin, stopMin } from "../physics/ascent.ts";
import { type DiverLimits, type TeamDive, type TeamSettings, said } from "../physics/diver.ts";
import { type Missing, isMissing } from "../physics/known.ts";
import { type Overstay, overstays } from "../physics/overstay.ts";
import { minutesUp, tenthsOfMinutesDown, tenthsUp } from "../physics/rounding.ts";
import { depthText } from "../physics/units.ts";
import type { Json, JsonObject } from "./body.ts";

export const NOT_A_PLAN =
  "This says what an overstay obliges; it is never a plan. Stops are for divers trained for them: training and " +
  "makers' manuals come first.";

/** A straight ascent in whole seconds is past it and one exactly at the rate is not. */
export const NO_STOP_YET = "no stop yet, for the limit is a few seconds on the safe side";

/** The stops in the depths of the question and whole minutes, the ceiling, and the whole ascent with them. */
export function stopsOwed(ascent: Ascent | Missing): JsonObject {
  if (isMissing(ascent)) return ascent.asJson();
  return ascentJson(ascent, `Past the tissue limit: this dive owes ${stopsText(ascent)}.`);
}

function ascentJson(ascent: Ascent, message: string): JsonObject {
  return {
    ceiling: ascent.ceiling.number,
    stops: ascent.stops.map((stop) => ({ depth: stop.depth.number, min: minutesUp(stop.seconds) })),
    stop_min: stopMin(ascent),
    ascent_min: ascentMin(ascent),
    message,
    caution: NOT_A_PLAN,
  };
}

/** The team's overstays; null where nobody asked and the time planned is within the limit or it is not known. */
export function overstay(
  dive: TeamDive,
  members: readonly DiverLimits[],
  settings: TeamSettings,
  asked: boolean,
): Json | null {
  const found = overstays(dive, members, settings, asked);
  if (isMissing(found)) return asked ? found.asJson() : null;
  return asked || found.length > 0 ? found.map(overstayJson) : null;
}

function overstayJson(item: Overstay): Json {
  const pastMin = tenthsUp(item.pastS / 60);
  const owes = stopsText(item.ascent);
  return {
    past_min: pastMin,
    bottom_time_min: tenthsOfMinutesDown(item.bottomTimeS),
    diver: item.diver,
    ...ascentJson(
      item.ascent,
      `${said(pastMin)} min past the tissue limit would owe ${owes} (diver ${item.diver}); ` +
        "minimum gas does not count it.",
    ),
  };
}

/** As the end of a sentence: `12 min of stops, the first at 6 m`. */
export function stopsText(ascent: Ascent): string {
  const first = ascent.stops[0];
  return first === undefined ? NO_STOP_YET : `${stopMin(ascent)} min of stops, the first at ${depthText(first.depth)}`;
}
