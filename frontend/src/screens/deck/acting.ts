import type { View } from "../../kernel/boatlog/view.ts";

/** Everyone in the water: divers, whose marker alone is seen, and whoever went in without diving. */
export function inWater(view: View): readonly string[] {
  return Object.keys(view.people).filter((person) => ["down", "marker_seen", "in_water"].includes(view.people[person]?.state ?? ""));
}

/**
 * Who is tapping on a shared phone: whoever last said "I have the deck" on it, and no password asked. Counting is done by
 * someone named for it, so the roll call asks for its own name. Nobody taps from the water.
 */
export function acting(view: View): string | null {
  return view.deck_holder !== null && inWater(view).includes(view.deck_holder) ? null : view.deck_holder;
}
