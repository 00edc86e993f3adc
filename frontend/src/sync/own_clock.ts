import { HONEST_CLOCK_MS, lastCompared } from "../kernel/boatlog/claims.ts";
import type { Entry } from "../kernel/boatlog/entries.ts";
import { lastOffset, met, type Offset } from "../kernel/boatlog/offsets.ts";
import type { Act, TripLog } from "../store/trip_log.ts";

/** A first measurement over a slow network as rough as this is written down again once a better one is had. */
const ROUGH_MS = 1_000;
/** A picture with a phone's clock in it is drawn anew at least this often, with the clock of that moment. */
export const SHOWN_FOR_MS = 2_000;

/** The server read its clock at some moment between asking and having the answer, both by this phone's clock. */
export function measure(started: number, serverTime: number, ended: number): Offset {
  return { offset_ms: Math.round(serverTime - (started + ended) / 2), error_ms: Math.ceil(Math.max(0, ended - started) / 2) + 1 };
}

export function best(left: Offset | null, right: Offset): Offset {
  return left !== null && left.error_ms <= right.error_ms ? left : right;
}

/** Written into the log, so that every reader can place this phone's times; not again while it still holds. */
export async function noteOffset(log: TripLog, offset: Offset): Promise<void> {
  const last = ownOffset(log);
  if (last !== null && stillHolds(last, offset)) {
    if (log.asleepMs > 0) log.clockIsRight();
    return;
  }
  const act = compared(log, offset, { how: "server" });
  if (act !== null) await log.write(act);
}

/**
 * What to write after another phone was read off its screen, its entries taken in first: `shownMs` by its own clock,
 * `readMs` by this phone's. `shownForMs` null: it was not a clock but an entry, which may have waited any time to be
 * read. Null: it tells nothing that this phone does not know better.
 */
export function readOffPhone(log: TripLog, phone: string, shownMs: number, readMs: number, shownForMs: number | null = SHOWN_FOR_MS): Act | null {
  const mine = ownOffset(log);
  const offset = met(mine, lastOffset(log.state, phone), shownMs, readMs, shownForMs);
  if (offset === null) return null;
  // The same phone again, saying the same, is no second opinion on which of the two was wrong.
  const within = mine !== null && Math.abs(offset.offset_ms - mine.offset_ms) + offset.error_ms <= mine.error_ms;
  return within && ownCompared(log)?.data["with"] === phone ? null : compared(log, offset, { how: "phone", with: phone });
}

/** The last entry of this phone about its own clock. */
export function ownCompared(log: TripLog): Entry | null {
  return log.device === null ? null : lastCompared(log.state, log.device.device);
}

/** What this phone last wrote about its own clock; null when it was never compared. */
export function ownOffset(log: TripLog): Offset | null {
  return log.device === null ? null : lastOffset(log.state, log.device.device);
}

/** Whether what was written down still says it all: both right enough, or nothing between them that neither allows. */
function stillHolds(last: Offset, now: Offset): boolean {
  if ([last, now].every(({ offset_ms, error_ms }) => Math.abs(offset_ms) + error_ms <= HONEST_CLOCK_MS)) return true;
  const rough = last.error_ms > ROUGH_MS && now.error_ms * 2 < last.error_ms;
  return !rough && Math.abs(last.offset_ms - now.offset_ms) <= last.error_ms + now.error_ms;
}

function compared(log: TripLog, offset: Offset, more: Readonly<Record<string, unknown>>): Act | null {
  return log.device === null ? null : { by: null, kind: "clock_compared", subject: log.device.device, data: { ...offset, ...more } };
}
