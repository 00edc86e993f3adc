/** Until when no road over a pass and no plane, as the deck says it. */
import type { BeforeAltitude, NoFlyTime } from "../../kernel/boatlog/nitrogen.ts";
import { PASSED, USUAL_ROAD_M } from "../../kernel/physics/no_fly.ts";
import { dayAndTime } from "./format.ts";
import { missingText } from "./plan.ts";

/** The road that counts, as it is named on every page. */
export const ROAD = `${USUAL_ROAD_M.toLocaleString("en")} m`;

/** "No road above 1,000 m before Sat 12 Jun, 21:17; no plane before Sun 13 Jun, 05:12", or what is missing. */
export function roadAndPlane(wait: NoFlyTime, now: number, zone: string): string {
  const { road } = wait;
  const either = `no road above ${ROAD} and no plane`;
  if (typeof road.until === "number" && typeof wait.until === "number") {
    if (road.until <= now && wait.until <= now) return sentence(PASSED);
    if (road.until === wait.until) return sentence(part(either, wait, now, zone));
  } else if (JSON.stringify(road.until) === JSON.stringify(wait.until)) return sentence(part(either, wait, now, zone));
  return sentence(`${part(`no road above ${ROAD}`, road, now, zone)}; ${part("no plane", wait, now, zone)}`);
}

function part(what: string, wait: BeforeAltitude, now: number, zone: string): string {
  const { until } = wait;
  if (until === null) return `${what} until it is known when to count from`;
  if (typeof until !== "number") return `${what} yet: not known (${missingText(until.not_known)})`;
  return until <= now ? `${what.replace("no ", "")}: ${PASSED}` : `${what} before ${dayAndTime(until, zone)}`;
}

/** Why: the rule, the table's own figure, and what is taken for granted. */
export function waitingReason(wait: BeforeAltitude): readonly string[] {
  const table = wait.table_wait_min;
  const alone = typeof table === "number" ? [`By the table alone ${Math.floor(table / 60)} h ${String(table % 60).padStart(2, "0")} min after surfacing.`] : [];
  return [sentence(wait.rule) + ".", ...alone, ...wait.assumptions];
}

function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
