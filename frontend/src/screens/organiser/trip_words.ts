/** What a trip needs next, and where each reason that blocks it is mended. */
import type { Trip, TripDive } from "../words/answers.ts";

export interface Step {
  readonly label: string;
  readonly path: string;
}

/** The one thing to do next on this trip. */
export function nextStep(trip: Trip): Step {
  const base = `/organise/trips/${trip.id}`;
  if (trip.state === "ready") return { label: "Bring the trip onto this phone", path: `/trips/${trip.id}/take` };
  if (!trip.bookings.some((booking) => booking.dives)) return { label: "Add people", path: `${base}/people/add` };
  const dives = [...trip.dives_planned].sort((a, b) => a.number - b.number);
  if (dives.length === 0) return { label: "Plan dive 1", path: `${base}/dives/new` };
  const open = dives.find((dive) => dive.teams.length === 0);
  if (open !== undefined) return { label: `Find teams for dive ${open.number}`, path: `${base}/dives/${open.id}/teams` };
  return { label: "Make the trip ready", path: `${base}/ready` };
}

/** Where a reason that blocks is mended; null when no page of ours does. */
export function remedyStep(reason: { readonly code: string; readonly pointer: string }, trip: Trip): Step | null {
  const base = `/organise/trips/${trip.id}`;
  const dive = diveAt(reason.pointer, trip.dives_planned);
  if (reason.pointer === "/club/shore_call_every_min") return { label: "Set how the alarm ashore calls", path: `/organise/clubs/${trip.club}/on-deck` };
  if (reason.pointer.startsWith("/float_plan")) return { label: "Open the float plan", path: `${base}/shore/change` };
  if (/overdue|club|setting/.test(reason.code)) return { label: "Open the club’s settings", path: `/organise/clubs/${trip.club}/settings` };
  if (/gas|pressure|analys|cylinder/.test(reason.code) && dive !== null) return { label: `Open the gas of dive ${dive.number}`, path: `${base}/dives/${dive.id}/gas` };
  if (/no_dives|dives_missing/.test(reason.code)) return { label: "Plan a dive", path: `${base}/dives/new` };
  if (/team|place|lead|limit|plan/.test(reason.code) && dive !== null) return { label: `Open the teams of dive ${dive.number}`, path: `${base}/dives/${dive.id}/teams` };
  if (/booking|people|person|diver|deck|name/.test(reason.code) || reason.pointer.startsWith("/bookings")) return { label: "Open the people", path: `${base}/people` };
  if (dive !== null) return { label: `Open dive ${dive.number}`, path: `${base}/dives/${dive.id}` };
  return null;
}

/** The dive that a JSON Pointer such as /dives/0/teams or /dives_planned/<id> means. */
export function diveAt(pointer: string, dives: readonly TripDive[]): TripDive | null {
  const piece = /^\/dives(?:_planned)?\/([^/]+)/.exec(pointer)?.[1];
  if (piece === undefined) return null;
  return dives.find((dive) => dive.id === piece) ?? (/^\d+$/.test(piece) ? (dives[Number(piece)] ?? null) : null);
}

const DAY_MS = 86_400_000;

/** 2027-06-12T09:30 as typed in the zone of the trip, as an instant; null when it is no time. */
export function instantIn(zone: string, typed: string): string | null {
  const found = /^(\d{4})-(\d{2})-(\d{2})T(\d{2}):(\d{2})/.exec(typed);
  if (found === null) return null;
  const wall = Date.UTC(Number(found[1]), Number(found[2]) - 1, Number(found[3]), Number(found[4]), Number(found[5]));
  // By the offset of the day before and of the day after: around a change of clocks a time is there twice, or not at all.
  const read = [wall - offsetAt(zone, wall - DAY_MS), wall - offsetAt(zone, wall + DAY_MS)];
  const there = read.filter((ms) => ms + offsetAt(zone, ms) === wall);
  // The earlier one, since nobody may be looked for too late.
  const instant = Math.min(...(there.length > 0 ? there : read));
  return new Date(instant).toISOString().replace(".000Z", "Z");
}

/** The text of a date-and-time field for an instant, in the zone of the trip. */
export function typedIn(zone: string, iso: string | null): string {
  if (iso === null) return "";
  const ms = Date.parse(iso);
  if (Number.isNaN(ms)) return "";
  return new Date(ms + offsetAt(zone, ms)).toISOString().slice(0, 16);
}

function offsetAt(zone: string, ms: number): number {
  const parts = new Intl.DateTimeFormat("en-GB", {
    timeZone: zone,
    hourCycle: "h23",
    year: "numeric",
    month: "numeric",
    day: "numeric",
    hour: "numeric",
    minute: "numeric",
    second: "numeric",
  }).formatToParts(ms);
  const at = (type: string) => Number(parts.find((part) => part.type === type)?.value ?? "0");
  const wall = Date.UTC(at("year"), at("month") - 1, at("day"), at("hour"), at("minute"), at("second"));
  return wall - Math.floor(ms / 1000) * 1000;
}
