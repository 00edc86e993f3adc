// Words to read over the radio for someone who is missing, filled with what was entered.
// The twin of boatlog/radio.py: the club's sheet and the coastguard's questions come first.

import { ceilDiv, floorDiv } from "../physics/rounding.ts";
import type { Conditions, LostCard } from "./lost.ts";
import type { DepthQuantity } from "./snapshot.ts";

interface Shown {
  readonly people: Readonly<Record<string, { readonly state: string; readonly accounted_for: boolean }>>;
}

/** The lines to read aloud: from a person's card, the view of the boat at that moment, the boat's name and call sign. */
export function radioWords(card: LostCard, shown: Shown, boat: string, callSign = ""): string[] {
  const people = Object.values(shown.people);
  const aboard = people.filter((person) => person.state === "aboard").length;
  const missing = people.filter((person) => !person.accounted_for).length;
  const { place, drift, conditions, gas } = card;
  const where = place ?? card.boat_place;
  const sign = callSign === "" ? "" : `, call sign ${callSign}`;
  const lines = ["MAYDAY, MAYDAY, MAYDAY.", `This is ${boat}, ${boat}, ${boat}${sign}.`, `MAYDAY, ${boat}${sign}.`];
  if (where === null) {
    lines.push("My position: read it from the plotter.");
  } else {
    const whose = place === null ? "My position" : "Last known position of the diver";
    lines.push(`${whose} at ${clockWords(where.at)}: ${positionWords(where)}, within ${where.accuracy_m} metres.`);
  }
  lines.push("A diver is missing. I need help with the search.");
  if (card.down !== null) lines.push(`Went down at ${clockWords(card.down[0])}.`);
  lines.push(card.last_seen_at === null ? "Last seen: not known." : `Last seen at ${clockWords(card.last_seen_at)}.`);
  lines.push(`Depth: ${depthWords(card.depth, card.planned_depth)}.`);
  lines.push(card.marker_seen_at === null ? "No surface marker seen." : `Surface marker seen at ${clockWords(card.marker_seen_at)}.`);
  lines.push(`Current: ${flow(conditions, "current_tenths_kn", "current_toward_deg", "toward", 10)}.`);
  lines.push(`Wind: ${flow(conditions, "wind_kn", "wind_from_deg", "from", 1)}.`);
  if (drift !== null && drift.toward_deg !== null) {
    lines.push(`By our reckoning ${drift.run_m} metres from there toward ${degreesWords(drift.toward_deg)}.`);
  }
  if (gas !== null) lines.push(`Last pressure read: ${gas.pressure.value} ${gas.pressure.unit} at ${clockWords(gas.at)}.`);
  lines.push(`${peopleWords(aboard)} aboard, ${missing} not accounted for.`, "Over.");
  return lines;
}

/** An instant (ms) as hours and minutes UTC, which is what a rescue service writes. */
export function clockWords(instant: number): string {
  const minutes = floorDiv(instant, 60_000);
  return `${padded(floorDiv(minutes, 60) % 24, 2)}:${padded(minutes % 60, 2)} UTC`;
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
