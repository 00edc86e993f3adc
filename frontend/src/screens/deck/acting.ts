import type { View } from "../../kernel/boatlog/view.ts";

/**
 * Who is tapping: a name tapped on this phone, until the deck changes hands; else the deck holder. The entry says it of
 * that person, no password asked.
 */
const key = (trip: string) => `teamdive.acting.${trip}`;

export function acting(trip: string, view: View): string | null {
  try {
    const kept = JSON.parse(localStorage.getItem(key(trip)) ?? "null") as { person: string; holder: string | null } | null;
    if (kept !== null && kept.holder === view.deck_holder) return kept.person;
  } catch {
    // Without storage the deck holder is taken to act.
  }
  return view.deck_holder;
}

export function actAs(trip: string, view: View, person: string): void {
  try {
    localStorage.setItem(key(trip), JSON.stringify({ person, holder: view.deck_holder }));
  } catch {
    // As above.
  }
}
