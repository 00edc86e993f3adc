import { NotASnapshot, read } from "../kernel/boatlog/snapshot.ts";
import { askToPersist, keepTrip, openTrip } from "../store/phone.ts";
import { hasJoined } from "../store/records.ts";
import type { TripLog } from "../store/trip_log.ts";
import { OtherPictures, packedIn, sorted, takeIn, type Packed } from "./pictures.ts";

/**
 * Takes in a trip that was read off another phone, its log with it, and answers which trip it is. A phone that did not
 * have it becomes one that has not joined: it writes a chain of its own, which says so, and nobody signs.
 */
export async function bringTrip(data: Uint8Array<ArrayBuffer>): Promise<string> {
  const packed = await packedIn(data);
  const { trip } = packed;
  const log = (await openTrip(trip)) ?? (await madeHere(packed));
  const { device } = log;
  if (device !== null && !hasJoined(device) && !log.entries.some(({ entry }) => entry.device === device.device && entry.kind === "snapshot_taken")) {
    await log.write({ by: null, kind: "snapshot_taken", subject: trip, data: { hash: log.record.hash, joined: false } });
  }
  await takeIn(log, data);
  return trip;
}

async function madeHere(packed: Packed): Promise<TripLog> {
  const { trip, ready } = packed;
  if (ready === undefined) throw new OtherPictures(`These pictures hold the log alone. On the other phone tap "For a phone that does not have this trip".`);
  const hash = hashOf(ready);
  if (ready.snapshot.trip !== trip || hash === null) throw new OtherPictures("The trip in these pictures cannot be read here. Use a phone that has the trip, or the paper sheet.");
  await keepTrip(
    { trip, hash, snapshot: ready.snapshot, storedAt: Date.now() },
    { trip, names: isObject(ready.names) ? ready.names : {}, labels: isObject(ready.labels) ? ready.labels : {} },
    { trip, device: crypto.randomUUID(), token: "", label: "", key: null },
    // With the trip, at once: had the app to close now, a trip without its log would look like a day on which nobody went down.
    sorted(packed).found,
  );
  await askToPersist().catch(() => false);
  const log = await openTrip(trip);
  if (log === null) throw new Error("The trip was stored and cannot be read again.");
  return log;
}

/** Another phone's pictures may hold anything. */
function isObject(value: unknown): boolean {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function hashOf({ snapshot }: NonNullable<Packed["ready"]>): string | null {
  try {
    return read(snapshot).hash;
  } catch (error) {
    if (error instanceof NotASnapshot) return null;
    throw error;
  }
}
