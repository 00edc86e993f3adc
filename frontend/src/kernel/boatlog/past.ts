// The log as it was known at a past moment: only what had been received by then.
// The twin of boatlog/past.py.

import { digest } from "./canonical.ts";
import type { Entry } from "./entries.ts";
import { fold } from "./fold.ts";
import type { State } from "./fold.ts";
import type { Snapshot } from "./snapshot.ts";

/** The state at `moment` (ms) from entries with the instants at which they were received, in any order. */
export function knownAt(snapshot: Snapshot, received: readonly (readonly [number, Entry])[], moment: number): State {
  return fold(
    snapshot,
    received.filter(([instant]) => instant <= moment).map(([, entry]) => entry),
  );
}

/** One hash of all entries held, the snapshot's included: equal on two phones that hold the same log. */
export function setHash(state: State): string {
  return digest([state.snapshot.hash, ...[...state.entries.keys()].sort()]);
}
