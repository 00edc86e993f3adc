// Words to read over the radio for someone who is missing, filled with what was entered.
// The twin of boatlog/radio.py: the club's sheet and the coastguard's questions come first. A time that may be a minute off
// or more is "about".

import { DISPUTE_MS } from "./claims.ts";
import { IN_WATER } from "./presence.ts";
import { ceilDiv, floorDiv } from "../physics/rounding.ts";
import type { Conditions, LostCard } from "./lost.ts";
import type { DepthQuantity } from "./snapshot.ts";

interface Shown {
  readonly at: number;
  readonly people: Readonly<Record<string, { readonly state: string; readonly accounted_for: boolean; readonly overdue_at: number | null }>>;
}

/** The lines to read aloud: from a person's card, the view of the boat at that moment, the boat's name and call sign. */
export function radioWords(card: LostCard, shown: Shown, boat: string, callSign = ""): string[] {
  const { place, drift, conditions, gas } = card;
  const where = place ?? card.boat_place;
  const sign = callSign === "" ? "" : `, call sign ${callSign}`;
  const lines = ["MAYDAY, MAYDAY, MAYDAY.", `This is ${boat}, ${boat}, ${boat}${sign}.`, `MAYDAY, ${boat}${sign}.`];
  if (where === null) {
    lines.push("My position: read it from the plotter.");
  } else {
    const whose = place === null ? "My position" : "Last known position of the diver";
    lines.push(`${whose} ${atWords(where.at, where.unsure_ms)}: ${positionWords(where)}, within ${where.accuracy_m} metres.`);
  }
  const missing = missingOf(card, shown);
  const who = missing === 1 ? (card.down === null ? "A person is" : "A diver is") : `${missing} people are`;
  lines.push(`${who} missing. I need help with the search.`);
  if (card.down !== null) lines.push(`Went down ${between(...card.down)}.`);
  const seen = card.last_seen_at;
  if (seen === null) lines.push("Last seen: not known.");
  else if (card.last_seen_told) lines.push(`Last seen ${atWords(seen, card.last_seen_unsure_ms)}.`);
  else lines.push(`Last seen some time before ${about(seen, card.last_seen_unsure_ms)}, not known when.`);
  lines.push(`Depth: ${depthWords(card.depth, card.planned_depth)}.`);
  lines.push(card.marker_seen_at === null ? "No surface marker seen." : `Surface marker seen ${atWords(card.marker_seen_at, card.marker_seen_unsure_ms)}.`);
  lines.push(`Current: ${flow(conditions, "current_tenths_kn", "current_toward_deg", "toward", 10)}.`);
  lines.push(`Wind: ${flow(conditions, "wind_kn", "wind_from_deg", "from", 1)}.`);
  if (drift !== null && drift.toward_deg !== null) {
    lines.push(`By our reckoning ${drift.run_m} metres from there toward ${degreesWords(drift.toward_deg)}.`);
  }
  if (gas !== null) lines.push(`Last pressure read: ${gas.pressure.value} ${gas.pressure.unit} ${atWords(gas.at, gas.unsure_ms)}.`);
  lines.push(ofAll(shown), "Over.");
  return lines;
}

/** How many a search is for: this person, and whoever else is overdue or lost from sight. */
function missingOf(card: LostCard, shown: Shown): number {
  const late = new Set([card.person]);
  for (const [person, known] of Object.entries(shown.people)) {
    if (known.state === "lost_from_sight" || (known.overdue_at !== null && shown.at >= known.overdue_at)) late.add(person);
  }
  return late.size;
}

/** How many people belong to the boat, and how many of them are where; nobody not yet counted is called missing. */
export function ofAll(shown: Shown): string {
  const states = Object.values(shown.people)
    .filter((known) => known.state === "aboard" || !known.accounted_for)
    .map((known) => known.state);
  const aboard = states.filter((state) => state === "aboard").length;
  const water = states.filter((state) => IN_WATER.has(state)).length;
  const rest = states.length - aboard - water;
  const unsure = rest > 0 ? `, ${rest} not yet counted` : "";
  return `${peopleWords(states.length)} in all: ${aboard} aboard, ${water} in the water${unsure}.`;
}

/** An instant (ms) as hours and minutes UTC, which is what a rescue service writes. */
export function clockWords(instant: number): string {
  const minutes = floorDiv(instant, 60_000);
  return `${padded(floorDiv(minutes, 60) % 24, 2)}:${padded(minutes % 60, 2)} UTC`;
}

/** An instant (ms), said to be about right where it may be off by a minute or more. */
export function atWords(instant: number, unsureMs: number): string {
  return `at ${about(instant, unsureMs)}`;
}

function about(instant: number, unsureMs: number): string {
  return unsureMs < DISPUTE_MS ? clockWords(instant) : `about ${clockWords(instant)}`;
}

function between(earliest: number, latest: number): string {
  if (latest - earliest < DISPUTE_MS) return `at ${clockWords(earliest)}`;
  return `at ${clockWords(earliest)} at the earliest, ${clockWords(latest)} at the latest`;
}

/** Degrees and thousandths of a minute, to the nearest: as a plotter shows them. */
export function positionWords(fix: { readonly lat_e6: number; readonly lon_e6: number }): string {
  const north = angle(fix.lat_e6, 2) + (fix.lat_e6 >= 0 ? " North" : " South");
  return `${north}, ${angle(fix.lon_e6, 3)}${fix.lon_e6 >= 0 ? " East" : " West"}`;
}

/** The depth reported, else the one planned and that it is no more than that. */
export function depthWords(reported: DepthQuantity | null, planned: DepthQuantity | null): string {
  const depth = reported ?? planned;
  if (depth === null) return "not known";
  const words = `${ceilDiv(depth.hundredths, 100)} ${depth.unit === "m" ? "metres" : "feet"}`;
  return reported !== null ? words : `planned ${words}, real depth not known`;
}

/** Three digits, as a bearing is read aloud. */
export function degreesWords(degrees: number): string {
  return `${padded(degrees, 3)} degrees`;
}

export function peopleWords(count: number): string {
  return count === 1 ? "1 person" : `${count} people`;
}

function padded(value: number, digits: number): string {
  return String(value).padStart(digits, "0");
}

function angle(e6: number, digits: number): string {
  const thousandths = floorDiv(Math.abs(e6) * 60 + 500, 1000);
  const minutes = `${padded(floorDiv(thousandths, 1000) % 60, 2)}.${padded(thousandths % 1000, 3)}`;
  return `${padded(floorDiv(thousandths, 60_000), digits)} degrees ${minutes} minutes`;
}

type Speed = "current_tenths_kn" | "wind_kn";
type Direction = "current_toward_deg" | "wind_from_deg";

function flow(found: Conditions | null, speed: Speed, direction: Direction, word: string, parts: number): string {
  const measured = found?.[speed] ?? null;
  const degrees = found?.[direction] ?? null;
  if (measured === null) return "not measured";
  const knots = parts === 1 ? String(measured) : `${floorDiv(measured, parts)}.${measured % parts}`;
  return degrees === null ? `${knots} knots` : `${knots} knots ${word} ${degreesWords(degrees)}`;
}
