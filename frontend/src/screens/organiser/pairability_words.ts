/** Whom to book, and which dives are one step away, as sentences. */
import type { Pairability } from "../words/answers_teams.ts";
import { plain } from "../words/plain.ts";

type Found = NonNullable<Pairability["pairability"]>;
const MOST_NAMED = 3;

/** The bookings that would give the most divers a place, those first that place more than themselves. */
export function bookingsThatHelp(list: Found["waiting_list"]): readonly Found["waiting_list"]["each"][number][] {
  const each = new Map(list.each.map((one) => [one.diver, one]));
  return list.best_fit_first
    .flatMap((id) => each.get(id) ?? [])
    .filter((one) => one.places.some((id) => id !== one.diver))
    .slice(0, MOST_NAMED);
}

/** Whether somebody has done all of this dive at once, lately enough. */
export function hasDoneAll(one: Found["next_steps"][number]): boolean {
  return Array.isArray(one.lacks) && one.lacks.length === 0;
}

export function stepLines(one: Found["next_steps"][number], nameOf: (id: string) => string): string[] {
  if (!Array.isArray(one.lacks)) return ["No past dives on record: bring them first."];
  if (one.steps.length === 0) return [`More than one step: ${(one.lacks as readonly string[]).map(said).join(", ")}.`];
  return one.steps.map((step) => (step.message === "this dive is one step" ? `This dive is one step: ${(one.lacks as readonly string[]).map(said).join(", ")}.` : plain(step.message, nameOf)));
}

function said(dimension: string): string {
  return dimension.replaceAll("_", " ");
}
