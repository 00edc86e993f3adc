import type { View } from "../../kernel/boatlog/view.ts";

/**
 * Who is tapping on a shared phone: whoever last said "I have the deck" on it, and no password asked. Counting is done by
 * someone named for it, so the roll call asks for its own name.
 */
export function acting(view: View): string | null {
  return view.deck_holder;
}
