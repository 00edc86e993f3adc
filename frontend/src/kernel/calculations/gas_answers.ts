// What an answer of `plan` says of gas: the rates behind a limit, what a cylinder counts for, who turns first.
// The twin of calculations/gas_answers.py.

import type { Diver, DiverLimits, TeamDive, TeamSettings } from "../physics/diver.ts";
import { type Missing, isMissing, missing } from "../physics/known.ts";
import { counted } from "../physics/real_gas.ts";
import { scaledDown, scaledNearest, scaledUp, tenthsOfMinutesDown, tenthsUp } from "../physics/rounding.ts";
import type * as slate from "../physics/slate.ts";
import { type DiverPlan, turnRule } from "../physics/team.ts";
import { valueJson } from "./backwards.ts";
import type { Json, JsonObject } from "./body.ts";

/** The rates behind the gas limit: the mean, what it was raised by, the multipliers, and the rate planned with. */
export function breathingJson(dive: TeamDive, member: DiverLimits, settings: TeamSettings): Json {
  const { rmv } = member.diver;
  const raised: JsonObject = rmv.sd !== null ? { rmv_sd_l_min: rmv.sd } : { gas_margin_percent: rmv.marginPercent };
  return {
    rmv_l_min: rmv.mean,
    ...raised,
    work: dive.work,
    current_kn: dive.currentKn,
    multiplier: member.multiplier === null ? null : scaledUp(member.multiplier, 100) / 100,
    planned_l_min: rateJson(member.rateLMin),
    sharing_l_min: rateJson(member.sharingRateLMin),
    ...(settings.breathing.own ? { model: "club" } : {}),
    ...(rmv.log === null
      ? {}
      : { log: { dives: rmv.log.dives, own_weight_percent: scaledNearest(rmv.log.ownWeight, 100) } }),
  };
}

function rateJson(rate: number | Missing): Json {
  return isMissing(rate) ? rate.asJson() : tenthsUp(rate);
}

/** What the gauge shows in the water, what that counts for, and the litres above minimum gas. */
export function cylinderJson(diver: Diver, own: DiverPlan): Json {
  const { cylinder } = diver;
  if (isMissing(cylinder)) return cylinder.asJson();
  if (cylinder.start === null) return missing(`start pressure of diver ${diver.id}`).asJson();
  const usable = own.usableLitres;
  return {
    start_in_water: scaledDown(cylinder.start, 10) / 10,
    counts_as: scaledDown(counted(cylinder.rule, cylinder.start), 10) / 10,
    usable_l: isMissing(usable) ? usable.asJson() : scaledDown(usable > 0 ? usable : 0.0, 1),
  };
}

/** A turn pressure with the rule it comes from. */
export function turnJson(dive: TeamDive, own: DiverPlan, settings: TeamSettings): JsonObject {
  return {
    turn_pressure: valueJson(own.turnPressure),
    turn_rule: dive.way === null ? null : turnRule(dive.way, settings),
  };
}

/** Who comes first, with what probability, and that of each. */
export function firstToTurnJson(first: slate.First | Missing, members: readonly DiverLimits[]): JsonObject {
  if (isMissing(first)) return first.asJson();
  const { chances } = first;
  if (isMissing(chances)) return { diver: first.diver, probability: chances.asJson() };
  return {
    diver: first.diver,
    probability: chanceJson(Math.max(...chances)),
    each: members.map((member, i) => ({ diver: member.diver.id, probability: chanceJson(chances[i] as number) })),
  };
}

/** Who comes first, and how long the gas of all lasts in half of such dives and in nineteen of twenty. */
export function firstToMinimumGasJson(first: slate.First | Missing, members: readonly DiverLimits[]): Json {
  const answer = firstToTurnJson(first, members);
  if (isMissing(first) || isMissing(first.chances)) return answer;
  return {
    ...answer,
    gas_lasts_median_min: tenthsJson(first.medianS),
    gas_lasts_19_in_20_min: tenthsJson(first.nineteenInTwentyS),
  };
}

function chanceJson(chance: number): number {
  return scaledNearest(chance, 100) / 100;
}

function tenthsJson(seconds: number | Missing): Json {
  return isMissing(seconds) ? seconds.asJson() : tenthsOfMinutesDown(seconds);
}
