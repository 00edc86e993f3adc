/** What another day costs and how it differs, as sentences a leader would say. */
import type { OtherDay } from "../words/answers_teams.ts";
import { count, names } from "../words/format.ts";

/** The number that matters of another day: minutes under water lost by all divers together. */
export function minutesLost(day: OtherDay): number {
  return Math.max(0, Math.ceil(day.more.cost_s / 60));
}

/** What else it costs, worst first; then whose time changes. Empty: nothing but the names. */
export function differences(day: OtherDay, nameOf: (id: string) => string): string[] {
  const lines: string[] = [];
  if (day.more.placed < 0) lines.push(`${count(-day.more.placed, "diver")} more without a team: ${names(day.not_placed.map(nameOf))}.`);
  if (day.more.overrides > 0) lines.push(`${count(day.more.overrides, "more rule")} would be set aside.`);
  if (day.more.safety_penalty > 0) lines.push("Less margin for those who are new to part of this dive.");
  if (day.worse.length > 0) lines.push(`Less time: ${changed(day.worse, nameOf)}.`);
  if (day.better.length > 0) lines.push(`More time: ${changed(day.better, nameOf)}.`);
  return lines;
}

function changed(some: OtherDay["better"], nameOf: (id: string) => string): string {
  return some.map((one) => `${nameOf(one.diver)} ${one.min} min`).join(", ");
}
