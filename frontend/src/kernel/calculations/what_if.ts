// What changes if the team goes deeper, stays longer or leaves sooner: one sentence each, with its new limit.
// The twin of calculations/what_if.py.

import type { DiverLimits, TeamDive, TeamSettings } from "../physics/diver.ts";
import { afterDive } from "../physics/flight.ts";
import { intervalAfter } from "../physics/interval.ts";
import { type Missing, isMissing } from "../physics/known.ts";
import type { Group } from "../physics/nitrogen.ts";
import * as options from "../physics/options.ts";
import { minutesUp } from "../physics/rounding.ts";
import { higherGroup } from "../physics/tables.ts";
import type { Bound, TeamLimits } from "../physics/team.ts";
import { boundJson, intervalJson, valueJson } from "./backwards.ts";
import type { Asked } from "./backwards_reading.ts";
import * as sentences from "./backwards_sentences.ts";
import type { Json, JsonObject } from "./body.ts";
import { type Reading, USUAL_DEEPEST } from "./team_reading.ts";

export function changeJson(change: options.Change): JsonObject {
  const answer = { change: change.code, diver: change.diver, by: change.by, to: change.to, unit: change.unit };
  return change.other === undefined ? answer : { ...answer, with: change.other };
}

/** The three changes, each solved as a plan of its own. */
export function whatIf(reading: Reading, asked: Asked, found: TeamLimits): Json {
  return options.whatIf(asked.dive, asked.divers).map((change) => one(reading, asked, change, found.limit));
}

function one(reading: Reading, asked: Asked, change: options.Change, now: Bound | Missing): Json {
  const head = sentences.change(change);
  if (change.dive.depth.hundredths > USUAL_DEEPEST[reading.unit] && !reading.beyond40mEnabled) {
    const message = "Deeper than 40 m / 130 ft is not planned here.";
    const refused = { code: "beyond_40_m", message };
    return { ...changeJson(change), refused, message: `${head}: not planned here.` };
  }
  const [members, found] = options.solve(change.dive, change.divers, reading.settings);
  const answer = { ...changeJson(change), ...boundJson(found.limit) };
  if (change.code !== "longer") return { ...answer, message: sentences.whatIf(head, found.limit, now) };
  const obliges = obligesJson(reading, asked, change.dive, members, found);
  return { ...answer, obliges, message: sentences.longer(head, found.limit, obliges) };
}

/** What staying that long costs: minutes past the limit, 24 h ashore, the highest group, the next dive's wait. */
function obligesJson(
  reading: Reading,
  asked: Asked,
  dive: TeamDive,
  members: readonly DiverLimits[],
  found: TeamLimits,
): JsonObject {
  if (isMissing(found.limit)) return found.limit.asJson();
  const { settings } = reading;
  const stayS = dive.bottomTimeS;
  const pastS = stayS - found.limit.seconds;
  const ashore = endsTheDay(dive, members, stayS, settings);
  const answer: Record<string, Json> = {
    beyond_min: pastS > 0 ? minutesUp(pastS) : 0,
    no_dive_for_min: ashore ? 1440 : 0,
    group_after: pastS > 0 ? null : valueJson(highest(dive, members, stayS, settings)),
  };
  if (asked.nextDive !== null && pastS <= 0) {
    const surfaced = members.map((m) => [m.diver, afterDive(dive, m, stayS, settings.dive)] as const);
    answer["next_dive"] = intervalJson(
      intervalAfter(asked.nextDive, surfaced, settings, reading.leastIntervalMin),
    );
  }
  return answer;
}

function endsTheDay(
  dive: TeamDive,
  members: readonly DiverLimits[],
  stayS: number,
  settings: TeamSettings,
): boolean {
  return members.some((member) => afterDive(dive, member, stayS, settings.dive).beyond);
}

/** The highest group on surfacing among the members; not known where one is not. */
function highest(
  dive: TeamDive,
  members: readonly DiverLimits[],
  stayS: number,
  settings: TeamSettings,
): Group {
  let found: string | null = null;
  for (const member of members) {
    const group = afterDive(dive, member, stayS, settings.dive).surfacedGroup;
    if (isMissing(group)) return group;
    found = higherGroup(found, group);
  }
  return found;
}
