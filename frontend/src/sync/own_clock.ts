import { HONEST_CLOCK_MS } from "../kernel/boatlog/claims.ts";
import type { TripLog } from "../store/trip_log.ts";

/** How this phone's clock lies to the server's: server time minus phone time, and how far that may be wrong. */
export interface ClockOffset {
  readonly offsetMs: number;
  readonly errorMs: number;
}

/** A first measurement over a slow network as rough as this is written down again once a better one is had. */
const ROUGH_MS = 1_000;

/** The server read its clock at some moment between asking and having the answer, both by this phone's clock. */
export function measure(started: number, serverTime: number, ended: number): ClockOffset {
  return { offsetMs: Math.round(serverTime - (started + ended) / 2), errorMs: Math.ceil(Math.max(0, ended - started) / 2) + 1 };
}

export function best(left: ClockOffset | null, right: ClockOffset): ClockOffset {
  return left !== null && left.errorMs <= right.errorMs ? left : right;
}

/** Written into the log, so that every reader can place this phone's times; not again while it still holds. */
export async function noteOffset(log: TripLog, offset: ClockOffset): Promise<void> {
  const device = log.device;
  if (device === null) return;
  const last = lastOffset(log);
  if (last !== null && stillHolds(last, offset)) return;
  await log.write({ by: null, kind: "clock_compared", subject: device.device, data: { offset_ms: offset.offsetMs, error_ms: offset.errorMs } });
}

/** Whether what was written down still says it all: both right enough, or nothing between them that neither allows. */
function stillHolds(last: ClockOffset, now: ClockOffset): boolean {
  if ([last, now].every(({ offsetMs, errorMs }) => Math.abs(offsetMs) + errorMs <= HONEST_CLOCK_MS)) return true;
  const rough = last.errorMs > ROUGH_MS && now.errorMs * 2 < last.errorMs;
  return !rough && Math.abs(last.offsetMs - now.offsetMs) <= last.errorMs + now.errorMs;
}

/** What this phone last wrote about its own clock; null when it was never compared. */
export function lastOffset(log: TripLog): ClockOffset | null {
  const line = log.device === null ? [] : (log.state.compared.get(log.device.device) ?? []);
  if (line.length === 0) return null;
  const { data } = line.reduce((last, entry) => (entry.seq > last.seq ? entry : last));
  return { offsetMs: Number(data["offset_ms"]), errorMs: Number(data["error_ms"]) };
}
