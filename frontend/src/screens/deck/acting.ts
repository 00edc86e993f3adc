import type { View } from "../../kernel/boatlog/view.ts";

/** Everyone in the water: divers, whose marker alone is seen, and whoever went in without diving. */
export function inWater(view: View): readonly string[] {
  return Object.keys(view.people).filter((person) => ["down", "marker_seen", "in_water"].includes(view.people[person]?.state ?? ""));
}

/** Whether the deck holder is not on the boat: under water, at the surface or out of sight. */
export function holderIsOut(view: View): boolean {
  const holder = view.deck_holder === null ? undefined : view.people[view.deck_holder];
  return holder !== undefined && ["down", "marker_seen", "in_water", "up", "lost_from_sight"].includes(holder.state);
}

/**
 * Who is tapping on a shared phone: whoever last said "I have the deck" on it, and no password asked. Counting is done by
 * someone named for it, so the roll call asks for its own name.
 */
export function acting(view: View): string | null {
  return view.deck_holder;
}
