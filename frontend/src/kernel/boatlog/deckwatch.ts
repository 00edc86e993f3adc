// Who holds the deck: one named person at every moment, and never one who is under water.
// The twin of boatlog/deckwatch.py.

import { decided, readings } from "./claims.ts";
import type { Claim, Question } from "./claims.ts";
import type { State } from "./fold.ts";
import { compareEntries, compareKeys, sortedBy, told } from "./order.ts";

/** The deck was offered to `to` and not yet accepted. */
export interface Handover {
  readonly from: string | null;
  readonly to: string;
  readonly entry: string;
}

/** The person who last accepted the deck; null: nobody yet. */
export function holder(state: State): string | null {
  return decided(state, "deck_accepted").at(-1)?.entry.subject ?? null;
}

/** The offer that still waits to be accepted. */
export function handover(state: State): Handover | null {
  const offer = decided(state, "deck_handed_over").at(-1);
  const accepted = decided(state, "deck_accepted").at(-1);
  if (offer === undefined || (accepted !== undefined && compareEntries(accepted.entry, offer.entry) > 0)) return null;
  return { from: offer.data["from"] as string | null, to: offer.entry.subject, entry: offer.entry.id };
}

/** Two who took the deck from one holder, a holder who went down or is in the water, a dive nobody watched. */
export function asked(state: State, inWater: ReadonlySet<string>): Question[] {
  const accepted = decided(state, "deck_accepted");
  const found: Question[] = [];
  const last = accepted.at(-1);
  const before = accepted.at(-2);
  if (last !== undefined && inWater.has(last.entry.subject)) {
    found.push({ code: "deck_holder_in_water", entries: [last.entry.id], people: [last.entry.subject], subject: null });
  }
  if (last !== undefined && before !== undefined) {
    const people = [before.entry.subject, last.entry.subject];
    if (last.data["from"] !== people[0] && people[0] !== people[1]) {
      found.push({ code: "deck_accepted_by_two", entries: [before.entry.id, last.entry.id], people, subject: null });
    }
  }
  const byTime = sortedBy(accepted, (claim) => told(claim.at, claim.entry));
  for (const entry of state.byKind.get("down") ?? []) {
    const read = readings(state, entry);
    const claim = read.claims[0];
    if (claim === undefined || read.doubted) continue;
    const watch = watchAt(byTime, claim);
    if (watch === undefined) {
      found.push({ code: "no_deck_holder", entries: [entry.id], people: [], subject: entry.subject });
    } else if ((claim.data["members"] as string[]).includes(watch.entry.subject)) {
      const entries = [watch.entry.id, entry.id];
      found.push({ code: "deck_holder_down", entries, people: [watch.entry.subject], subject: entry.subject });
    }
  }
  return found;
}

/** Who held the deck when the team went down. */
function watchAt(accepted: readonly Claim[], down: Claim): Claim | undefined {
  const at = told(down.at, down.entry);
  return accepted.filter((claim) => compareKeys(told(claim.at, claim.entry), at) <= 0).at(-1);
}
