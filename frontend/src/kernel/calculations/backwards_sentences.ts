// The sentences of a plan answered backwards, in whole minutes, limits down and waits up.
// The twin of calculations/backwards_sentences.py.

import { type TeamDive, said } from "../physics/diver.ts";
import type { LatestSurfacing } from "../physics/flight.ts";
import type { Interval } from "../physics/interval.ts";
import { type Missing, isMissing } from "../physics/known.ts";
import { PASSED } from "../physics/no_fly.ts";
import type { Change } from "../physics/options.ts";
import type { Order } from "../physics/order.ts";
import { floorDiv, minutesUp } from "../physics/rounding.ts";
import { NOT_REPETITIVE_AFTER_MIN } from "../physics/tables.ts";
import { type Bound, LIMIT_NAMES } from "../physics/team.ts";
import { depthText } from "../physics/units.ts";
import type { Steps } from "../physics/waiting.ts";
import type { JsonObject } from "./body.ts";

const METHODS = {
  table: "by the table",
  tissue: "by the tissue model",
  club: "by the club's own rule",
} as const;
const CLEAR_MIN = NOT_REPETITIVE_AFTER_MIN.get("Z")!;

export function missing(unknown: Missing): string {
  return `not known: ${unknown.what.join(", ")}`;
}

/** "not more than 17 min (diver b: gas)". */
export function limit(bound: Bound): string {
  return `not more than ${floorDiv(bound.seconds, 60)} min (${whose(bound)})`;
}

export function whose(bound: Bound): string {
  const name = LIMIT_NAMES[bound.limitedBy];
  return bound.diver === null ? name : `diver ${bound.diver}: ${name}`;
}

export function change(asked: Change): string {
  const by = said(asked.by ?? 0);
  const to = said(asked.to ?? 0);
  if (asked.code === "deeper") return `${by} ${asked.unit} deeper (${to} ${asked.unit})`;
  if (asked.code === "longer") return `${by} min longer (${to} min)`;
  return `${by} min less on the surface`;
}

/** The new limit in one sentence, and how much less it is. */
export function whatIf(head: string, found: Bound | Missing, now: Bound | Missing): string {
  if (isMissing(found)) return `${head}: ${missing(found)}.`;
  if (found.limitedBy === "planned") return `${head}: the planned ${floorDiv(found.seconds, 60)} min still fit.`;
  if (found.seconds < 60) return `${head}: no dive (${whose(found)}).`;
  const less = isMissing(now) ? 0 : floorDiv(now.seconds, 60) - floorDiv(found.seconds, 60);
  return `${head}: ${limit(found)}${less > 0 ? `; ${less} min less` : ""}.`;
}

/** Whether it fits and what it obliges. */
export function longer(head: string, found: Bound | Missing, obliges: JsonObject): string {
  if (isMissing(found)) return `${head}: ${missing(found)}.`;
  const past = obliges["beyond_min"] as number;
  if (past > 0) {
    const ashore = (obliges["no_dive_for_min"] as number) > 0 ? "; then no further dive for at least 24 h" : "";
    return `${head}: ${past} min too long, ${limit(found)}${ashore}.`;
  }
  const parts = [`${head}: it fits`];
  const group = obliges["group_after"];
  if (typeof group === "string") parts.push(`group ${group} after it`);
  const least = obliges["next_dive"] as JsonObject | undefined;
  if (least !== undefined && "min" in least) {
    parts.push(`the next dive ${least["min"] as number} min after surfacing`);
  } else if (least !== undefined && "none" in least) {
    parts.push("no wait makes the next dive possible");
  }
  return `${parts.join("; ")}.`;
}

/** "Not less than 53 min on the surface, by the table for diver a". */
export function interval(least: Interval): string {
  if (least.diver === null) return "No wait: nobody has a dive before it.";
  return `Not less than ${least.min} min on the surface${askedText(least)}.`;
}

function askedText(least: Interval): string {
  if (least.askedBy === null) return ": under it two dives are one";
  const text = `, ${METHODS[least.askedBy]} for diver ${least.diver}`;
  if (typeof least.tissueMin === "number" && least.askedBy === "table") {
    return `${text}; ${least.tissueMin} ${METHODS.tissue}`;
  }
  if (typeof least.tableMin === "number" && least.askedBy === "tissue") {
    return `${text}; ${least.tableMin} ${METHODS.table}`;
  }
  return text;
}

/** What the next step is worth: "4 min more on the surface buy 7: not more than 57 min". */
export function steps(found: Steps): string {
  const step = found.steps[0];
  if (step === undefined) return `Waiting does not help: ${limit(found.ends)}.`;
  return `${step.afterMin} min more on the surface buy ${step.gainMin}: ${limit(step.limit)}.`;
}

/** The dives in their order and the price of it in waiting. */
export function order(dives: readonly TeamDive[], each: Order): string {
  if (each.refused !== null) return each.refused;
  const head = each.dives
    .map((i) => `${depthText(dives[i]!.depth)} for ${minutesUp(dives[i]!.bottomTimeS)} min`)
    .join(", then ");
  if (isMissing(each.none)) return `${head}: ${missing(each.none)}.`;
  if (each.none !== null) return `${head}: ${each.none.why}`;
  const waits = each.legs.flatMap((leg, place) => (leg.waitingMin > 0 ? [{ leg, place }] : []));
  const [only] = waits;
  if (only !== undefined && waits.length === 1) {
    return `${head}: ${each.waitingMin} min of waiting${askedText(only.leg.wait)}.`;
  }
  const parts = waits.map(
    ({ leg, place }) => `; ${leg.waitingMin} before dive ${place + 1}${askedText(leg.wait)}`,
  );
  return `${head}: ${each.waitingMin} min of waiting${parts.join("")}.`;
}

/** The one fact that frees a diver whose earlier dives are not known. */
export function frees(diver: string): string {
  const hours = floorDiv(CLEAR_MIN, 60);
  return (
    `One fact frees diver ${diver}: when the last dive surfaced. Within no-stop limits the highest group is Z, ` +
    `clear after ${hours} h ${CLEAR_MIN - hours * 60} min: longer ago than that there is no dive in the table's ` +
    "reach. Or say with whom it was made."
  );
}

/** When the diver must be out, why, and how this dive stands to it. */
export function flight(diver: string, found: LatestSurfacing, surfaces: number): string {
  const latest = found.latestMin;
  if (isMissing(latest)) return `Flight of diver ${diver}: ${missing(latest)}.`;
  if (latest < surfaces) {
    return (
      `Diver ${diver} would surface ${surfaces - latest} min too late for the flight (${found.wait.rule}): ` +
      "not this dive."
    );
  }
  return (
    `Diver ${diver} must be at the surface within ${latest} min of this descent (${found.wait.rule}); ` +
    `planned after ${surfaces} min. Then ${PASSED}.`
  );
}
