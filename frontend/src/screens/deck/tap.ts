/**
 * Which touches count on a wet deck. A drop of water or a sleeve makes many contacts at once or a second one at once, and
 * after a tap the button under the finger may already mean something else. So: one contact only; a row is dead for a
 * moment after it was tapped; and two taps anywhere keep a short distance.
 */
const ROW_MS = 1200;
const ANY_MS = 250;
const AFTER_MANY_MS = 400;

/** So long a button that took the place of another is dead: nobody comes up so soon after going down, nor aboard after coming up. */
const SETTLE_MS = 5000;
/** The page's clock ticks once a second: what was tapped just now may lie ahead of it. */
const TICK_MS = 1500;

/** Whether what put a button in its place happened too short a time ago (both ms since 1970). */
export function settling(since: number | null, now: number): boolean {
  return since !== null && now > since - TICK_MS && now < since + SETTLE_MS;
}

const contacts = new Set<number>();
let manyUntil = 0;
let lastAny = -ANY_MS;
const lastOfRow = new Map<string, number>();

/** Whether a tap at `at` (ms of one steady clock) on this row counts; if so it is noted. */
export function counts(row: string, at: number): boolean {
  if (at < manyUntil || at - lastAny < ANY_MS || at - (lastOfRow.get(row) ?? -ROW_MS) < ROW_MS) return false;
  lastAny = at;
  lastOfRow.set(row, at);
  return true;
}

/** The same for a tap that comes without its event. */
export function tapped(row: string): boolean {
  return counts(row, new Event("now").timeStamp);
}

export function touched(contact: number, at: number): void {
  contacts.add(contact);
  if (contacts.size > 1) manyUntil = at + AFTER_MANY_MS;
}

/** The whole page changed under the finger: taps meant for what was there do not count for what is there now. */
export function pageChanged(): void {
  const at = new Event("now").timeStamp;
  manyUntil = Math.max(manyUntil, at + ROW_MS);
}

export function lifted(contact: number): void {
  contacts.delete(contact);
}

export function forgetTaps(): void {
  contacts.clear();
  lastOfRow.clear();
  manyUntil = 0;
  lastAny = -ANY_MS;
}

if (typeof window !== "undefined") {
  addEventListener("pointerdown", (event) => event.pointerType === "touch" && touched(event.pointerId, event.timeStamp), { capture: true });
  for (const name of ["pointerup", "pointercancel"] as const) {
    addEventListener(name, (event) => lifted(event.pointerId), { capture: true });
  }
}
