// The hybrid logical clock that stamps entries: a time of day that never runs backwards.
// The twin of boatlog/clock.py.

export interface Clock {
  readonly ms: number;
  readonly n: number;
}

// A phone set an hour wrong must not drag every other phone along.
export const FURTHEST_AHEAD_MS = 5 * 60 * 1000;

/** The stamp of an entry written now on this phone, later than `last` whatever the wall clock says. */
export function tick(last: Clock | null, wallMs: number): Clock {
  if (last === null || wallMs > last.ms) return { ms: wallMs, n: 0 };
  return { ms: last.ms, n: last.n + 1 };
}

/** Our clock after an entry stamped `seen` came in: not behind it, unless it is far ahead of our own wall clock. */
export function receive(last: Clock | null, seen: Clock, wallMs: number): Clock | null {
  if (seen.ms > wallMs + FURTHEST_AHEAD_MS) return last;
  return last === null || compare(seen, last) > 0 ? seen : last;
}

/** -1, 0 or 1: whether `left` is before, at or after `right`. */
export function compare(left: Clock, right: Clock): number {
  return Math.sign(left.ms - right.ms || left.n - right.n);
}
