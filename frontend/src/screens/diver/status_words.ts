/** Where a diver stands after a dive, in sentences; `now` decides only what has passed. */
import type { DiverStatus } from "../words/answers.ts";
import { clockTime, dayAndTime } from "../words/format.ts";
import { PASSED } from "../../kernel/physics/no_fly.ts";
import { isUnknown, missingText } from "../words/plan.ts";

export { PASSED };

export function groupText(status: DiverStatus): string {
  if (isUnknown(status.group)) return `not known: ${missingText(status.group.not_known)}`;
  return status.group ?? "none";
}

/** "from 11:02 on", "now", or why it is not known. */
export function nextDiveText(status: DiverStatus, now: number, zone: string): string {
  const earliest = status.earliest_next_dive_at;
  if (isUnknown(earliest)) return `not known: ${missingText(earliest.not_known)}`;
  if (earliest === null) return status.next_dive === null ? "no further dive is planned" : "not worked out yet";
  const at = Date.parse(earliest);
  return at <= now ? `reached at ${clockTime(at, zone)}` : `not before ${clockTime(at, zone)}`;
}

/** The same for a mountain road. */
export function noRoadText(status: DiverStatus, now: number, zone: string): string {
  const until = status.no_road?.until ?? null;
  if (isUnknown(until)) return `not known: ${missingText(until.not_known)}. Ask before you drive over a pass.`;
  if (until === null) return "no dive on this trip yet";
  const at = Date.parse(until);
  return at <= now ? PASSED : `not before ${dayAndTime(at, zone)}`;
}

/** "not before Sun 13 Jun, 05:12"; once it has passed, the words that promise nothing more. */
export function noFlyText(status: DiverStatus, now: number, zone: string): string {
  const until = status.no_fly_until;
  if (isUnknown(until)) return `not known: ${missingText(until.not_known)}. Do not fly before you have asked.`;
  if (until === null) return "no dive on this trip yet";
  const at = Date.parse(until);
  return at <= now ? PASSED : `not before ${dayAndTime(at, zone)}`;
}
