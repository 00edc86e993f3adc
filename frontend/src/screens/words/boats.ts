/** Which boat people of a trip go on, in words. */
import type { Trip, TripSummary } from "./answers.ts";
import { names } from "./format.ts";

/** The boat or the boats of a trip; "" where none is named. */
export function boatsText(trip: Pick<TripSummary, "boat" | "boats">): string {
  const several = Object.values(trip.boats ?? {}).sort();
  return several.length > 0 ? names(several) : (trip.boat?.name ?? "");
}

/** Of several boats how many go on each; "" with one boat. */
export function onEachBoat(trip: Trip): string {
  const named = Object.entries(trip.boats ?? {}).sort(([, a], [, b]) => a.localeCompare(b));
  return named.length < 2 ? "" : named.map(([id, name]) => `${name} ${trip.bookings.filter((one) => one.boat === id).length}`).join(", ");
}

/** Of several boats the one that a person goes on; "" with one boat, or while none is said. */
export function boatOfPerson(trip: Trip, person: string): string {
  const boat = trip.bookings.find((one) => one.id === person)?.boat;
  return typeof boat === "string" ? (trip.boats?.[boat] ?? "") : "";
}
