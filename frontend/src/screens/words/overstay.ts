/** What staying past the no-stop limit would oblige, in words. It is told so that nobody stays; it is no plan. */
import type { OverstayOwed } from "../../kernel/boatlog/overstay.ts";
import { NOT_A_PLAN, NO_STOP_YET } from "../../kernel/calculations/stops_owed.ts";
import type { OverstayAnswer } from "./answers.ts";
import type { Depth } from "./format.ts";

export { NOT_A_PLAN };

interface Owed {
  readonly who: string;
  readonly stop_min: number;
  readonly ascent_min: number;
  readonly first: string | null;
}

/** "Ana would owe 12 min of stops, the first at 6 m: 15 min to the surface". */
function owes(owed: Owed): string {
  if (owed.first === null) return `${owed.who} would owe ${NO_STOP_YET}`;
  return `${owed.who} would owe ${owed.stop_min} min of stops, the first at ${owed.first}: ${owed.ascent_min} min to the surface`;
}

/** Whole minutes past the limit, rounded up. */
export function pastText(min: number): string {
  return `${Math.ceil(min - 1e-9)} min past the no-stop limit`;
}

/** Of a plan. */
export function plannedOverstay(one: OverstayAnswer, unit: "m" | "ft", nameOf: (id: string) => string, show: (depth: Depth) => string): string {
  const stop = one.stops[0];
  const first = stop === undefined ? null : show({ unit, hundredths: Math.ceil(stop.depth * 100 - 1e-6) });
  return `${owes({ who: nameOf(one.diver), stop_min: one.stop_min, ascent_min: one.ascent_min, first })}. Minimum gas does not count it.`;
}

/** Of the boat log. */
export function loggedOverstay(one: OverstayOwed, nameOf: (id: string) => string, show: (depth: Depth) => string): string {
  const stop = one.stops[0];
  const first = stop === undefined ? null : show(stop.depth);
  return `${owes({ who: nameOf(one.person), stop_min: one.stop_min, ascent_min: one.ascent_min, first })}.`;
}
