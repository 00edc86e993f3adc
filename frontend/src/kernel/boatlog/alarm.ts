// The overdue sound: quieted on one phone for a while it comes back; the state never leaves overdue for it.
// The twin of boatlog/alarm.py.

import { decided, happened, type Claim } from "./claims.ts";
import type { State } from "./fold.ts";

// Before due: our own choice, for clubs that set none. It makes no sound.
export const DUE_SOON_MIN = 5;

/** How long before it is due a team is due soon. */
export function dueSoonMs(state: State): number {
  return (state.snapshot.settings.due_soon_min ?? DUE_SOON_MIN) * 60_000;
}

/** Until when (ms) each phone keeps quiet about a team; never longer than the club lets it. */
export function quieted(state: State, team: string): Record<string, number> {
  const longest = state.snapshot.settings.quiet_min;
  const found: Record<string, number> = {};
  for (const claim of decided(state, "overdue_quieted")) {
    if (claim.entry.subject !== team) continue;
    const until = quietUntil(state, claim);
    found[claim.entry.device] = longest === undefined ? until : Math.min(until, claim.at + longest * 60_000);
  }
  return found;
}

/** Until when (ms) a phone was told to keep quiet: said and heard by one phone, so by its own clock put right. */
export function quietUntil(state: State, claim: Claim): number {
  return (claim.data["until"] as number) + happened(state, claim.entry) - claim.entry.at;
}

interface Shown {
  readonly emergency: boolean;
  readonly teams: Readonly<Record<string, { readonly status: string; readonly quieted: Readonly<Record<string, number>> }>>;
}

/** Whether this phone has to sound for a team of a view: until they are seen or the emergency plan runs. */
export function mustSound(shown: Shown, team: string, device: string, now: number): boolean {
  const late = shown.teams[team]!;
  return late.status === "overdue" && !shown.emergency && (late.quieted[device] ?? now) <= now;
}
