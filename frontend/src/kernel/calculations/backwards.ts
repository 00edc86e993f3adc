// Plans answered backwards, as JSON: intervals, the steps in which waiting pays, orders of dives, flights.
// The twin of calculations/backwards.py.

import type { Diver, DiverLimits, TeamDive, TeamSettings } from "../physics/diver.ts";
import { afterDive, latestSurfacing } from "../physics/flight.ts";
import { type Interval, type Never, type OwnInterval, intervalAfter, leastInterval } from "../physics/interval.ts";
import { type Missing, isMissing } from "../physics/known.ts";
import { solve } from "../physics/options.ts";
import { type Order, orders } from "../physics/order.ts";
import { minutesUp, tenthsOfMinutesDown } from "../physics/rounding.ts";
import { ascentS } from "../physics/slate.ts";
import type { Bound, TeamLimits } from "../physics/team.ts";
import { type Steps, intervalSteps, methodOnly } from "../physics/waiting.ts";
import type { Asked } from "./backwards_reading.ts";
import * as sentences from "./backwards_sentences.ts";
import type { Json, JsonObject } from "./body.ts";
import type { Reading } from "./team_reading.ts";

const BOTH = ["table", "tissue"] as const;

export function boundJson(bound: Bound | Missing): JsonObject {
  if (isMissing(bound)) return { limit_min: bound.asJson(), limited_by: null, limiting_diver: null };
  return {
    limit_min: tenthsOfMinutesDown(bound.seconds),
    limited_by: bound.limitedBy,
    limiting_diver: bound.diver,
  };
}

export function nextJson(bound: Bound): JsonObject {
  return { min: tenthsOfMinutesDown(bound.seconds), limited_by: bound.limitedBy, diver: bound.diver };
}

export function valueJson(value: number | string | Missing | null): Json {
  return isMissing(value) ? value.asJson() : value;
}

// --- intervals ---

/** The least interval; `without`: what it would be if one member sat out, or somebody else dived instead. */
export function surfaceInterval(reading: Reading, asked: Asked, found: TeamLimits): Json {
  const { dive, divers } = asked;
  const least = leastInterval(dive, divers, reading.settings, found, reading.leastIntervalMin);
  const answer = intervalJson(least);
  if (divers.length === 1) return answer;
  const without = divers.map((diver) =>
    withoutJson(
      reading,
      dive,
      diver,
      divers.filter((other) => other !== diver),
      null,
    ),
  );
  const out = isMissing(least) || least.kind === "never" ? undefined : divers.find((d) => d.id === least.diver);
  if (out !== undefined) {
    for (const other of asked.alternatives) {
      const team = divers.map((diver) => (diver.id === out.id ? other : diver));
      without.push(withoutJson(reading, dive, out, team, other.id));
    }
  }
  return { ...answer, without };
}

function withoutJson(
  reading: Reading,
  dive: TeamDive,
  out: Diver,
  team: readonly Diver[],
  instead: string | null,
): JsonObject {
  const [, found] = solve(dive, team, reading.settings);
  const least = leastInterval(dive, team, reading.settings, found, reading.leastIntervalMin);
  return { without: out.id, with: instead, ...briefJson(least) };
}

function briefJson(least: Interval | Never | Missing): JsonObject {
  if (isMissing(least)) return least.asJson();
  if (least.kind === "never") return { none: least.why };
  return { min: least.min, diver: least.diver, asked_by: least.askedBy };
}

/** Minutes from each diver's own last surfacing; a method's minutes are null where no wait is long enough. */
export function intervalJson(least: Interval | Never | Missing): JsonObject {
  if (isMissing(least) || least.kind === "never") return briefJson(least);
  return {
    min: least.min,
    diver: least.diver,
    more_min: least.moreMin,
    asked_by: least.askedBy,
    table_min: valueJson(least.tableMin),
    tissue_min: valueJson(least.tissueMin),
    divers: least.divers.map(ownJson),
    message: sentences.interval(least),
  };
}

function ownJson(own: OwnInterval): Json {
  return {
    id: own.diver,
    min: own.min,
    asked_by: own.askedBy,
    table_min: valueJson(own.tableMin),
    tissue_min: valueJson(own.tissueMin),
  };
}

/** The steps by the governing method, and by each of the two alone. */
export function intervalStepsJson(reading: Reading, asked: Asked): Json {
  const { settings } = reading;
  const found = intervalSteps(asked.dive, asked.divers, settings);
  if (isMissing(found)) return found.asJson();
  const byMethod: Record<string, Json> = {};
  for (const method of BOTH) {
    const alone = intervalSteps(asked.dive, asked.divers, methodOnly(settings, method));
    byMethod[method] = isMissing(alone) ? alone.asJson() : stepsJson(alone);
  }
  return {
    ...boundJson(found.now),
    steps: stepsJson(found),
    ends: nextJson(found.ends),
    more: found.more,
    ...byMethod,
    message: sentences.steps(found),
  };
}

function stepsJson(found: Steps): Json {
  return found.steps.map((step) => ({
    after_min: step.afterMin,
    limit_min: tenthsOfMinutesDown(step.limit.seconds),
    gain_min: step.gainMin,
    limited_by: step.limit.limitedBy,
    diver: step.limit.diver,
  }));
}

/** The interval that the dive after this one asks of the same divers; null where this one is no dive. */
export function nextDive(
  reading: Reading,
  asked: Asked,
  members: readonly DiverLimits[],
  stayS: number,
): Interval | Never | Missing | null {
  if (asked.nextDive === null || stayS === 0) return null;
  const used = reading.settings;
  const surfaced = members.map(
    (member) => [member.diver, afterDive(asked.dive, member, stayS, used.dive)] as const,
  );
  return intervalAfter(asked.nextDive, surfaced, used, reading.leastIntervalMin);
}

// --- the order of the day's dives ---

/** Every order with what it asks in waiting, the best first; `best` is null where none is possible. */
export function orderJson(reading: Reading, asked: Asked): Json {
  const found = orders(asked.dives, asked.divers, reading.settings, reading.leastIntervalMin);
  const first = found[0]!;
  const possible = first.none === null && first.refused === null;
  return {
    best: possible ? [...first.dives] : null,
    orders: found.map((each) => oneOrder(asked.dives, each)),
  };
}

function oneOrder(dives: readonly TeamDive[], each: Order): Json {
  const answer: Record<string, Json> = { dives: [...each.dives], deeper_later: each.reverse };
  if (each.refused !== null) {
    answer["refused"] = { code: "deeper_later", message: each.refused };
  } else if (each.none !== null) {
    answer["waiting_min"] = isMissing(each.none) ? each.none.asJson() : null;
    if (!isMissing(each.none)) answer["none"] = each.none.why;
  } else {
    answer["waiting_min"] = each.waitingMin;
    answer["legs"] = each.legs.map((leg) => ({
      dive: leg.dive,
      wait_min: leg.waitingMin,
      interval_min: leg.wait.min,
      asked_by: leg.wait.askedBy,
      asked_for: leg.wait.diver,
      table_min: valueJson(leg.wait.tableMin),
      tissue_min: valueJson(leg.wait.tissueMin),
      ...boundJson(leg.limit),
    }));
  }
  return { ...answer, message: sentences.order(dives, each) };
}

// --- flights ---

/** When one diver must be at the surface for a known flight; null: no flight, or no dive before it. */
export function flightJson(
  asked: Asked,
  dive: TeamDive,
  member: DiverLimits,
  stayS: number,
  settings: TeamSettings,
): Json {
  const known = asked.flights.get(member.diver.id);
  if (known === undefined || stayS === 0) return null;
  const surfaced = afterDive(dive, member, stayS, settings.dive);
  const found = latestSurfacing(known, member.diver, surfaced, settings.dive);
  const surfaces = minutesUp(stayS + ascentS(dive, settings, stayS));
  const latest = found.latestMin;
  return {
    wait_min: valueJson(found.wait.waitMin),
    rule: found.wait.rule,
    consensus_wait_min: valueJson(found.wait.consensusWaitMin),
    table_wait_min: valueJson(found.wait.tableWaitMin),
    club_wait_min: found.wait.clubWaitMin,
    assumptions: found.wait.assumptions,
    latest_surfacing_min: valueJson(latest),
    surfaces_min: surfaces,
    spare_min: isMissing(latest) ? latest.asJson() : latest - surfaces,
    message: sentences.flight(member.diver.id, found, surfaces),
  };
}
