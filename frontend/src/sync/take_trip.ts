import { read } from "../kernel/boatlog/snapshot.ts";
import { hasJoined, type DeviceRecord, type NamesRecord, type SnapshotRecord, withShore } from "../store/records.ts";
import { keepTrip, openTrip } from "../store/phone.ts";
import type { TripLog } from "../store/trip_log.ts";
import { measure, noteOffset } from "./own_clock.ts";
import { Problem, server } from "./server.ts";

interface Ready {
  readonly snapshot: SnapshotRecord["snapshot"];
  readonly hash: string;
  readonly names: Readonly<Record<string, string>>;
  readonly labels: Readonly<Record<string, unknown>>;
}

interface Enrolled {
  readonly id: string;
  readonly token: string;
  readonly label: string;
}

/**
 * Brings a trip that is ready onto this phone and enrols the phone for it: snapshot, names and device are stored together.
 * Needs a network and a leader's sign-in, once, at the dock. A phone that is enrolled already stays what it is.
 */
export async function takeTrip(trip: string, label: string): Promise<void> {
  const ready = await server.get<Ready>(`/api/trips/${trip}/snapshot`);
  const here = (await openTrip(trip))?.device ?? null;
  const device = here !== null && hasJoined(here) && (await stillEnrolled(here)) ? here : await enrol(trip, label);
  await keep(ready, device);
}

/**
 * Brings the trip of a code that a leader shows onto this phone: no account, no password. Answers which trip it is.
 * A phone that joins again is enrolled anew; what it wrote before stays and is handed in as that of its former self.
 */
export async function joinTrip(code: string, label: string): Promise<string> {
  const pair = await makeKey();
  const enrolled = await server.post<Enrolled & { readonly trip: string }>("/api/boat-log/join", { code, label, public_key: pair?.published ?? null });
  const { trip } = enrolled;
  const ready = await server.get<Ready>(`/api/trips/${trip}/boat-log/snapshot`, { device: enrolled.token });
  await keep(ready, { trip, device: enrolled.id, token: enrolled.token, label: enrolled.label, key: pair?.key ?? null });
  return trip;
}

/** Stores the trip whole; the hash is worked out here again: what every later entry rests on must have arrived whole. */
async function keep(ready: Ready, device: DeviceRecord): Promise<void> {
  if (read(ready.snapshot).hash !== ready.hash) throw new Problem(0, "The trip did not arrive whole.", "Try again where the network is better.");
  const { trip } = device;
  const record: SnapshotRecord = { trip, hash: ready.hash, snapshot: ready.snapshot, storedAt: Date.now() };
  const names: NamesRecord = { trip, names: ready.names, labels: withShore(ready.labels, ready.labels, record.storedAt) };
  await keepTrip(record, names, device);
  const log = await openTrip(trip);
  if (log === null) throw new Error("The trip was stored and cannot be read again.");
  await compareClock(log, device);
  if (!log.entries.some(({ entry }) => entry.kind === "snapshot_taken" && entry.device === device.device)) {
    await log.write({ by: null, kind: "snapshot_taken", subject: trip, data: { hash: ready.hash } });
  }
}

/** Before anything is written, so that all of it is stamped by the log's time; without an answer a later round does it. */
async function compareClock(log: TripLog, device: DeviceRecord): Promise<void> {
  const started = Date.now();
  const answer = await server.get<{ readonly server_time: number }>(`/api/trips/${device.trip}/entries?limit=1`, { device: device.token }).catch(() => null);
  if (answer !== null) await noteOffset(log, measure(started, answer.server_time, Date.now()));
}

/** A server set back to an old backup may not know this phone any more, and a leader may have taken it off. */
async function stillEnrolled(device: DeviceRecord): Promise<boolean> {
  try {
    await server.get(`/api/trips/${device.trip}/entries?limit=1`, { device: device.token });
    return true;
  } catch (error) {
    if (error instanceof Problem && (error.status === 401 || error.status === 403)) return false;
    throw error;
  }
}

async function enrol(trip: string, label: string): Promise<DeviceRecord> {
  const pair = await makeKey();
  const enrolled = await server.post<Enrolled>(`/api/trips/${trip}/devices`, { label, public_key: pair?.published ?? null });
  return { trip, device: enrolled.id, token: enrolled.token, label: enrolled.label, key: pair?.key ?? null };
}

/** A signing key that cannot be read out of the phone; null where the browser offers none (a page without https). */
async function makeKey(): Promise<{ key: CryptoKey; published: string } | null> {
  const subtle = globalThis.crypto?.subtle as SubtleCrypto | undefined;
  if (subtle === undefined) return null;
  const pair = await subtle.generateKey({ name: "ECDSA", namedCurve: "P-256" }, false, ["sign", "verify"]);
  const bytes = new Uint8Array(await subtle.exportKey("spki", pair.publicKey));
  return { key: pair.privateKey, published: btoa(String.fromCharCode(...bytes)) };
}
