// A team's dive: how long, whose limit, which one, what is behind it, and what each diver's gauge must show.
// The twin of calculations/plan.py.

import SOURCES from "@data/plan_sources.json" with { type: "json" };
import { after } from "../physics/dive.ts";
import { type Diver, type DiverLimits, type Limit, type TeamDive, nextLonger, said } from "../physics/diver.ts";
import { type Missing, isMissing, missing } from "../physics/known.ts";
import * as options from "../physics/options.ts";
import { minutesUp, scaledNearest, scaledUp, tenthsOfMinutesDown, tenthsUp } from "../physics/rounding.ts";
import { floorDiv } from "../physics/rounding.ts";
import * as slate from "../physics/slate.ts";
import { type DiverPlan, LIMITS, LIMIT_NAMES, type TeamLimits } from "../physics/team.ts";
import { depthText, travelS } from "../physics/units.ts";
import * as backwards from "./backwards.ts";
import { boundJson, nextJson, valueJson } from "./backwards.ts";
import { type Asked, readAsked } from "./backwards_reading.ts";
import * as sentences from "./backwards_sentences.ts";
import { Errors, Fields, type Json, type JsonObject } from "./body.ts";
import { breathingJson, cylinderJson, firstToMinimumGasJson, firstToTurnJson, turnJson } from "./gas_answers.ts";
import { overstay } from "./stops_owed.ts";
import { type Reading, readTeamSettings, warn } from "./team_reading.ts";
import { changeJson, whatIf } from "./what_if.ts";

/** Answer a team's dive; `body` is the parsed JSON. Throws Problem with every error of the body. */
export function plan(body: Json): Json {
  const errors = new Errors();
  const fields = new Fields(errors, body);
  const reading = readTeamSettings(fields);
  const asked = readAsked(fields, reading);
  if (asked.find === "order") return { order: backwards.orderJson(reading, asked), ...tail(reading) };
  return { ...planJson(reading, asked), ...tail(reading) };
}

function planJson(reading: Reading, asked: Asked): JsonObject {
  const { settings } = reading;
  const { dive, divers } = asked;
  const [members, found] = options.solve(dive, divers, settings);
  warnOf(reading, dive, divers, found);
  const answer: Record<string, Json> = {
    team: teamJson(reading, asked, members, found),
    divers: members.map((member, i) => diverJson(reading, asked, member, found.divers[i] as DiverPlan, found)),
  };
  if (asked.find === "surface_interval") {
    answer["surface_interval"] = backwards.surfaceInterval(reading, asked, found);
  }
  if (asked.intervalSteps) answer["interval_steps"] = backwards.intervalStepsJson(reading, asked);
  const coming = backwards.nextDive(reading, asked, members, slate.bottomS(dive, found));
  if (coming !== null) answer["next_dive"] = { surface_interval: backwards.intervalJson(coming) };
  if (asked.whatIf) answer["what_if"] = whatIf(reading, asked, found);
  const past = overstay(dive, members, settings, asked.overstay);
  if (past !== null) answer["overstay"] = past;
  return answer;
}

function tail(reading: Reading): JsonObject {
  const { settings } = reading;
  return {
    method: settings.dive.method,
    gf: [settings.dive.gfLowPm / 1000, settings.dive.gfHighPm / 1000],
    sharing: {
      stressed_rmv_l_min: settings.sharing.stressedRmvLMin,
      delay_at_depth_min: settings.sharing.delayMin,
      surface_reserve: tenthsUp(settings.sharing.surfaceReserve),
      regulator_minimum: tenthsUp(settings.sharing.regulatorMinimum),
    },
    gas_law: reading.gasLaw,
    warnings: reading.warnings.map((warning) => ({ ...warning })),
    sources: SOURCES,
  };
}

// --- the team ---

function teamJson(
  reading: Reading,
  asked: Asked,
  members: readonly DiverLimits[],
  found: TeamLimits,
): Json {
  const { settings } = reading;
  const { dive } = asked;
  const stayS = slate.bottomS(dive, found);
  const limits: Record<string, Json> = {};
  for (const kind of LIMITS) limits[kind] = { ...limitJson(found.limits[kind]), diver: found.owners[kind] };
  const answer: Record<string, Json> = { limits, ...boundJson(found.limit) };
  if (found.atMost !== null) answer["at_most"] = nextJson(found.atMost);
  answer["next_limit"] = found.nextLimit === null ? null : nextJson(found.nextLimit);
  const turning = slate.firstToTurn(dive, members, found, settings);
  const ending = slate.firstToMinimumGas(dive, members, found, settings);
  answer["first_to_turn"] = firstToTurnJson(turning, members);
  answer["first_to_minimum_gas"] = firstToMinimumGasJson(ending, members);
  if (dive.taskUnitMin !== null) {
    const last = slate.lastStartS(dive, members, stayS);
    answer["last_start_min"] = last === null ? null : floorDiv(last, 60);
  }
  return {
    ...answer,
    run_time_min: stayS === 0 ? null : minutesUp(stayS + slate.ascentS(dive, settings, stayS)),
    profile: stayS === 0 ? [] : profileJson(reading, dive, stayS),
    buys_time: options.buysTime(dive, asked.divers, settings, found, asked.alternatives).map((outcome) => ({
      ...changeJson(outcome.change),
      ...boundJson(outcome.limit),
      gain_min: floorDiv(outcome.gainS, 6) / 10,
    })),
  };
}

function limitJson(limit: Limit | Missing): JsonObject {
  if (isMissing(limit)) return { min: limit.asJson(), reason: "Not known." };
  if (limit.seconds === null) return { min: null, unlimited: true, reason: limit.reason };
  return { min: tenthsOfMinutesDown(limit.seconds), reason: limit.reason };
}

/** [minute, depth] at every turn of the line; a dive shorter than its descent never reaches the depth. */
function profileJson(reading: Reading, dive: TeamDive, stayS: number): Json {
  const used = reading.settings.dive;
  const downS = travelS(dive.depth, used.descent, false);
  const endS = stayS + slate.ascentS(dive, reading.settings, stayS);
  const deepest = slate.reached(dive, reading.settings, stayS);
  const points: [number, number][] = [
    [0, 0.0],
    [Math.min(downS, stayS), deepest.number],
  ];
  if (downS < stayS) points.push([stayS, deepest.number]);
  if (dive.stopMin > 0) {
    const stop = dive.stopDepth.mswE7 < deepest.mswE7 ? dive.stopDepth : deepest;
    const leftS = endS - travelS(stop, used.ascent, true);
    points.push([leftS - scaledUp(dive.stopMin, 60), stop.number], [leftS, stop.number]);
  }
  points.push([endS, 0.0]);
  return points.map(([second, at]) => [scaledNearest(second / 60, 10) / 10, at]);
}

// --- a diver ---

function diverJson(
  reading: Reading,
  asked: Asked,
  member: DiverLimits,
  own: DiverPlan,
  found: TeamLimits,
): Json {
  const { dive } = asked;
  const stayS = slate.bottomS(dive, found);
  const { diver } = member;
  const limits: Record<string, Json> = {};
  for (const kind of LIMITS) limits[kind] = limitJson(own.limits[kind]);
  const bound = boundJson(own.limit);
  const flying = backwards.flightJson(asked, dive, member, stayS, reading.settings);
  return {
    id: diver.id,
    limits,
    limit_min: bound["limit_min"] as Json,
    limited_by: bound["limited_by"] as Json,
    minimum_gas: valueJson(own.minimumGas),
    ...turnJson(dive, own, reading.settings),
    gas_at_surface: stayS === 0 ? null : valueJson(slate.gasAtSurface(dive, member, stayS, reading.settings)),
    mod: isMissing(member.mod) ? member.mod.asJson() : floorDiv(member.mod.hundredths, 100),
    group_before: groupJson(diver, member.noStop.groupBefore),
    group_after: stayS === 0 ? null : groupAfterJson(reading, dive, member, stayS),
    breathing: breathingJson(dive, member, reading.settings),
    cylinder: cylinderJson(diver, own),
    counts_as_sharing: diver.canShare,
    ...(flying === null ? {} : { flight: flying }),
    ...(diver.earlier === null ? { frees: sentences.frees(diver.id) } : {}),
  };
}

function groupJson(diver: Diver, group: string | Missing | null): Json {
  return diver.earlier === null ? missing(`earlier dives of diver ${diver.id}`).asJson() : valueJson(group);
}

function groupAfterJson(reading: Reading, dive: TeamDive, member: DiverLimits, stayS: number): Json {
  const { diver } = member;
  const made = {
    depth: dive.depth,
    bottomTimeS: stayS,
    mix: diver.mix,
    intervalS: 0,
    caution: diver.caution,
    coldOrHard: nextLonger(dive),
    samples: null,
  };
  const [answer] = after(member.state, made, reading.settings.dive);
  return groupJson(diver, answer.groupAfter);
}

// --- warnings ---

function warnOf(reading: Reading, dive: TeamDive, divers: readonly Diver[], found: TeamLimits): void {
  const { limit } = found;
  if (!isMissing(limit) && limit.seconds < dive.bottomTimeS) {
    const whose = limit.diver === null ? "" : ` of diver ${limit.diver}`;
    const message =
      `${said(dive.bottomTimeS / 60)} min asked; not more than ` +
      `${said(tenthsOfMinutesDown(limit.seconds))} min: ${LIMIT_NAMES[limit.limitedBy]}${whose}.`;
    warn(reading, "longer_than_limit", "/dive/bottom_time_min", message);
  }
  const stayS = slate.bottomS(dive, found);
  const downS = travelS(dive.depth, reading.settings.dive.descent, false);
  if (stayS > 0 && stayS < downS) {
    const message =
      `${said(tenthsOfMinutesDown(stayS))} min is shorter than the descent, ` +
      `${said(tenthsUp(downS / 60))} min to ${depthText(dive.depth)}: ` +
      "the team would turn on the way down. Plan a shallower dive.";
    warn(reading, "shorter_than_descent", "/dive/depth", message);
  }
  if (divers.length === 1) {
    const message = "A plan is for a team: a second diver at the stressed rate is counted for sharing.";
    warn(reading, "one_diver", "/divers", message);
  }
  divers.forEach((diver, i) => {
    if (divers.length > 1 && !divers.some((other) => other.canShare && other !== diver)) {
      const message = `Nobody counts as the one who shares with diver ${diver.id}: no junior, no supervised diver does.`;
      warn(reading, "nobody_to_share", `/divers/${i}`, message);
    }
  });
}
