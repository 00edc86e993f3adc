// Questions that two people looked at and left: the careful reading stays, and nobody needs to be asked again.
// The twin of boatlog/looked_at.py.

import { decided } from "./claims.ts";
import type { Question } from "./claims.ts";
import type { State } from "./fold.ts";
import { twoOthers } from "./settling.ts";

// What is past, or about the entries themselves. A question that means danger now, or that a correction answers, stays.
export const MAY_BE_LEFT: ReadonlySet<string> = new Set([
  "altered",
  "deck_accepted_by_two",
  "deck_holder_down",
  "departed_not_accounted_for",
  "dives_overlap",
  "ended_not_accounted_for",
  "forked",
  "last_seen_not_known",
  "no_deck_holder",
  "not_understood",
  "other_trip",
  "override_for_oneself",
  "run_time_not_known",
  "up_before_down",
  "up_not_recorded",
]);

/** Whether two named people, neither of them one it is about, looked at this question; a further entry opens it anew. */
export function lookedAt(state: State, question: Question): boolean {
  return MAY_BE_LEFT.has(question.code) && twoOthers(whoLooked(state, question), new Set(question.people));
}

/** Everyone who said that they looked at this question. */
export function whoLooked(state: State, question: Question): ReadonlySet<string> {
  const named: (string | null)[] = [];
  for (const claim of decided(state, "question_settled")) {
    const entries = claim.data["entries"] as readonly string[];
    const covers = claim.data["code"] === question.code && question.entries.every((id) => entries.includes(id));
    if (covers) named.push(claim.entry.by, claim.data["with"] as string);
  }
  return new Set(named.filter((person) => person !== null));
}
