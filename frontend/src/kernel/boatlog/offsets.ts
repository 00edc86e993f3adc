// How far a phone's clock lies from the log's time: learnt from another phone, or from a step of the clock itself.
// The twin of boatlog/offsets.py.

import { lastCompared } from "./claims.ts";
import type { State } from "./fold.ts";

// The schema's most: a clock that may be a day off says nothing.
export const MOST_ERROR_MS = 86_400_000;
// A smaller step of a clock goes unnoticed: our own choice, well under the minute that tables count in.
export const STEP_MS = 1000;

/** What to add to a phone's clock to have the log's time (ms), give or take `error_ms`. */
export interface Offset {
  readonly offset_ms: number;
  readonly error_ms: number;
}

const lowOf = (known: Offset): number => known.offset_ms - known.error_ms;
const highOf = (known: Offset): number => known.offset_ms + known.error_ms;

/** What a phone last wrote of its own clock, by its own sequence; null: it was never compared. */
export function lastOffset(state: State, device: string): Offset | null {
  const last = lastCompared(state, device);
  return last === null ? null : { offset_ms: last.data["offset_ms"] as number, error_ms: last.data["error_ms"] as number };
}

/**
 * My offset after reading off another phone that its clock said `shownMs` when mine said `readMs`. It was read after it
 * was shown, within `shownForMs`; null there: it may have been any time after, as with an entry, which cannot be read
 * before it is written. null: nothing new is learnt, or they know less than I do.
 */
export function met(mine: Offset | null, theirs: Offset | null, shownMs: number, readMs: number, shownForMs: number | null = null): Offset | null {
  if (theirs === null && mine !== null) return null;
  const low = (theirs === null ? 0 : lowOf(theirs)) + shownMs - readMs;
  const high = shownForMs === null ? null : (theirs === null ? 0 : highOf(theirs)) + shownMs - readMs + shownForMs;
  // One that was never compared is taken as right; an entry alone can only contradict that.
  if (mine === null && high !== null) return between(low, high);
  const own = mine ?? { offset_ms: 0, error_ms: 0 };
  // One of the two was moved and nobody can say which: both stay possible.
  if (low > highOf(own)) return between(lowOf(own), high ?? low);
  if (high !== null && high < lowOf(own)) return between(low, highOf(own));
  const narrow = between(Math.max(low, lowOf(own)), high === null ? highOf(own) : Math.min(high, highOf(own)));
  return narrow.error_ms * 2 <= own.error_ms && narrow.error_ms < own.error_ms ? narrow : null;
}

/**
 * The offset after the clock was seen to jump by `stepMs` against a steady one. `awake`: it ran all the while. Back while
 * awake: known. Forward while awake: moved by hand, or the phone slept unseen; both stay possible. Back over a sleep or
 * while closed, with no steady clock: by at least so much, so doubted by as much again. Forward over a sleep looks like
 * the sleep itself.
 */
export function stepped(known: Offset | null, stepMs: number, awake: boolean): Offset {
  const before = known ?? { offset_ms: 0, error_ms: 0 };
  if (stepMs > 0) return awake ? between(lowOf(before) - stepMs - STEP_MS, highOf(before) + STEP_MS) : before;
  const doubt = awake ? STEP_MS : -stepMs + STEP_MS;
  return between(lowOf(before) - stepMs - doubt, highOf(before) - stepMs + doubt);
}

/** The offset that may be anything from `low` to `high`. */
export function between(low: number, high: number): Offset {
  const middle = Math.floor((low + high) / 2);
  return { offset_ms: middle, error_ms: Math.min(high - middle, MOST_ERROR_MS) };
}
