import { IndexedStore } from "./indexed.ts";
import { Keeper } from "./keeper.ts";
import { MemoryStore } from "./memory.ts";
import type { DeviceRecord, NamesRecord, PieceRecord, SnapshotRecord, StoredEntry } from "./records.ts";
import type { Seen } from "./clock_watch.ts";
import { TripLog } from "./trip_log.ts";
import { onOtherWindow } from "./windows.ts";

/** The one store of this phone, and the trips opened from it. */
const opened = new Map<string, Promise<TripLog | null>>();

const keeper = new Keeper(
  async (onLost) => (typeof indexedDB === "undefined" ? new MemoryStore() : IndexedStore.open("teamdive", onLost)),
  undefined,
  () => void forEachOpen((log) => log.tell()),
);

/** How often the page has gone out of sight: the phone may have slept then. */
let hides = 0;
if (typeof document !== "undefined") document.addEventListener("visibilitychange", () => (hides += 1));

/** Small things kept beside the database, by trip; a browser that keeps none loses what the words at each of them say. */
const beside = (what: string) => ({
  read(trip: string): string | null {
    try {
      return localStorage.getItem(`teamdive.${what}.${trip}`);
    } catch {
      return null;
    }
  },
  keep(trip: string, text: string): void {
    try {
      localStorage.setItem(`teamdive.${what}.${trip}`, text);
    } catch {
      // Said below.
    }
  },
});

/** Without it a clock set back while the app is closed goes unnoticed until it is compared. */
const clockSeen = beside("clock_seen");

const machine = {
  now: () => Date.now(),
  random: (bytes: number) => crypto.getRandomValues(new Uint8Array(bytes)),
  clocks: { wall: () => Date.now(), steady: () => performance.now(), hides: () => hides },
  seen: { read: seenOf, keep: (trip: string, { ms, asleepMs }: Seen) => clockSeen.keep(trip, `${ms} ${asleepMs}`) },
  /** Without it that is asked again when the app is opened next. */
  boat: beside("boat"),
  /** Without it a phone that died with entries in memory begins a fork, though the server may hold them. */
  inMemory: beside("in_memory"),
};

function seenOf(trip: string): Seen | null {
  const [ms, asleepMs] = (clockSeen.read(trip) ?? "").split(" ").map(Number);
  return ms === undefined || !(ms > 0) ? null : { ms, asleepMs: Number.isFinite(asleepMs) ? asleepMs! : 0 };
}

export function openTrip(trip: string): Promise<TripLog | null> {
  const known = opened.get(trip);
  if (known !== undefined) return known;
  const opening = TripLog.open(keeper, trip, machine);
  opened.set(trip, opening);
  opening.then(
    (log) => log === null && opened.delete(trip),
    () => opened.delete(trip),
  );
  return opening;
}

export function tripsHere(): Promise<readonly SnapshotRecord[]> {
  return keeper.use((store) => store.snapshots());
}

export function namesHere(trip: string): Promise<NamesRecord | null> {
  return keeper.use((store) => store.names(trip));
}

/** The pictures read off another phone for a trip: they outlast a closed app, until their row is whole and taken in. */
export const pieces = {
  here: (trip: string) => keeper.use((store) => store.pieces(trip)),
  keep: (piece: PieceRecord) => keeper.use((store) => store.keepPiece(piece)),
  drop: (trip: string, whole: string) => keeper.use((store) => store.dropPieces(trip, whole)),
};

export async function keepTrip(snapshot: SnapshotRecord, names: NamesRecord, device: DeviceRecord | null, entries: readonly StoredEntry[] = []): Promise<void> {
  await keeper.use((store) => store.putTrip(snapshot, names, device, entries));
  opened.delete(snapshot.trip);
  for (const heard of replaced) heard(snapshot.trip);
}

/** The phone joined a trip anew that it had: whoever follows it, the alarms before all, must follow what is written from now on. */
const replaced = new Set<(trip: string) => void>();
export function onReplaced(heard: (trip: string) => void): () => void {
  replaced.add(heard);
  return () => replaced.delete(heard);
}

/** Asks the browser not to clear this phone's entries when space runs out; answers whether it promised. */
export async function askToPersist(): Promise<boolean> {
  const storage = navigator.storage as StorageManager | undefined;
  if (storage?.persist === undefined) return false;
  return (await storage.persisted()) || (await storage.persist());
}

async function forEachOpen(work: (log: TripLog) => void): Promise<void> {
  for (const opening of opened.values()) {
    const log = await opening.catch(() => null);
    if (log !== null) work(log);
  }
}

onOtherWindow((trip) => void opened.get(trip)?.then((log) => log?.reread()).catch(() => {
  // Read at the next word of it: nothing is lost by that.
}));
