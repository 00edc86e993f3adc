import { openDB, type DBSchema, type IDBPDatabase, type OpenDBCallbacks } from "idb";
import type { Cursor, DeviceRecord, Head, MakeEntry, NamesRecord, PieceRecord, SnapshotRecord, StoredEntry, StrayRecord } from "./records.ts";
import { emptyHead, headAfter, withNews, type Store } from "./store.ts";

interface Tables extends DBSchema {
  snapshots: { key: string; value: SnapshotRecord };
  names: { key: string; value: NamesRecord };
  devices: { key: string; value: DeviceRecord };
  heads: { key: string; value: Head };
  entries: { key: string; value: StoredEntry; indexes: { by_trip: string; by_trip_sent: [string, number] } };
  cursors: { key: string; value: Cursor };
  pieces: { key: [string, string, number]; value: PieceRecord; indexes: { by_trip: string } };
  strays: { key: [string, string]; value: StrayRecord; indexes: { by_trip: string } };
}

/** 2: pieces; 3: strays. Each version only adds; a phone may come from any of them. */
const VERSION = 3;
/** On the disk, not only handed to the system, before a promise answers. */
const STRICT = { durability: "strict" } as const;

export class IndexedStore implements Store {
  readonly kind = "indexeddb";
  private constructor(private readonly db: IDBPDatabase<Tables>) {}

  /** `onLost` is called when the browser takes the connection away, as phones do in the background. */
  static async open(name: string, onLost: () => void = () => {}): Promise<IndexedStore> {
    const how: OpenDBCallbacks<Tables> = {
      upgrade(database, before) {
        if (before < 1) {
          database.createObjectStore("snapshots", { keyPath: "trip" });
          database.createObjectStore("names", { keyPath: "trip" });
          database.createObjectStore("devices", { keyPath: "trip" });
          database.createObjectStore("heads", { keyPath: "device" });
          database.createObjectStore("cursors", { keyPath: "trip" });
          const entries = database.createObjectStore("entries", { keyPath: "id" });
          entries.createIndex("by_trip", "trip");
          entries.createIndex("by_trip_sent", ["trip", "sent"]);
        }
        if (before < 2) database.createObjectStore("pieces", { keyPath: ["trip", "whole", "index"] }).createIndex("by_trip", "trip");
        if (before < 3) database.createObjectStore("strays", { keyPath: ["trip", "mark"] }).createIndex("by_trip", "trip");
      },
      blocking(_present, _wanted, event) {
        (event.target as IDBDatabase).close();
        onLost();
      },
      terminated: onLost,
    };
    const db = await openDB<Tables>(name, VERSION, how).catch((error: unknown) => {
      // A later version of the app was here, or is in another window: it only added, so all that this one needs is there.
      if (error instanceof Error && error.name === "VersionError") return openDB<Tables>(name, undefined, how);
      throw error;
    });
    return new IndexedStore(db);
  }

  snapshots(): Promise<readonly SnapshotRecord[]> {
    return this.db.getAll("snapshots");
  }
  async snapshot(trip: string): Promise<SnapshotRecord | null> {
    return (await this.db.get("snapshots", trip)) ?? null;
  }
  async names(trip: string): Promise<NamesRecord | null> {
    return (await this.db.get("names", trip)) ?? null;
  }
  async putTrip(snapshot: SnapshotRecord, names: NamesRecord, device: DeviceRecord | null, entries: readonly StoredEntry[] = []): Promise<void> {
    const tx = this.db.transaction(["snapshots", "names", "devices", "entries"], "readwrite", STRICT);
    const puts: Promise<unknown>[] = [tx.objectStore("snapshots").put(snapshot), tx.objectStore("names").put(names)];
    if (device !== null) puts.push(tx.objectStore("devices").put(device));
    for (const stored of entries) if ((await tx.objectStore("entries").get(stored.id)) === undefined) puts.push(tx.objectStore("entries").put(stored));
    await Promise.all([...puts, tx.done]);
  }
  async putNames(names: NamesRecord): Promise<void> {
    await this.db.put("names", names);
  }
  async device(trip: string): Promise<DeviceRecord | null> {
    return (await this.db.get("devices", trip)) ?? null;
  }
  async head(device: string): Promise<Head | null> {
    return (await this.db.get("heads", device)) ?? null;
  }
  entries(trip: string): Promise<readonly StoredEntry[]> {
    return this.db.getAllFromIndex("entries", "by_trip", trip);
  }

  async append(device: string, id: string, make: MakeEntry): Promise<StoredEntry> {
    const tx = this.db.transaction(["entries", "heads"], "readwrite", STRICT);
    try {
      const there = await tx.objectStore("entries").get(id);
      if (there !== undefined) {
        await tx.done;
        return there;
      }
      const head = (await tx.objectStore("heads").get(device)) ?? emptyHead(device);
      const { entry, text } = make(head);
      const stored: StoredEntry = { id: entry.id, trip: entry.trip, entry, text, sent: 0 };
      await Promise.all([tx.objectStore("entries").add(stored), tx.objectStore("heads").put(headAfter(device, stored)), tx.done]);
      return stored;
    } catch (error) {
      await abandon(tx);
      throw error;
    }
  }

  async receive(entries: readonly StoredEntry[], cursor: Cursor | null, head?: Head): Promise<readonly StoredEntry[]> {
    const tx = this.db.transaction(["entries", "cursors", "heads"], "readwrite", STRICT);
    try {
      const table = tx.objectStore("entries");
      const fresh: StoredEntry[] = [];
      for (const stored of entries) {
        const there = await table.get(stored.id);
        if (there === undefined) fresh.push(stored);
        const now = there === undefined ? stored : withNews(there, stored);
        if (now !== null) await table.put(now);
      }
      if (cursor !== null) await tx.objectStore("cursors").put(cursor);
      const heads = tx.objectStore("heads");
      if (head !== undefined && head.seq > ((await heads.get(head.device))?.seq ?? 0)) await heads.put(head);
      await tx.done;
      return fresh;
    } catch (error) {
      await abandon(tx);
      throw error;
    }
  }

  unsent(trip: string, most: number): Promise<readonly StoredEntry[]> {
    return this.db.getAllFromIndex("entries", "by_trip_sent", [trip, 0], most);
  }
  async mark(trip: string, epoch: string, ids: readonly string[], sent: 1 | 2): Promise<boolean> {
    const tx = this.db.transaction(["entries", "cursors"], "readwrite", STRICT);
    const same = (await tx.objectStore("cursors").get(trip))?.epoch === epoch;
    const table = tx.objectStore("entries");
    for (const id of same ? ids : []) {
      const there = await table.get(id);
      if (there !== undefined) await table.put({ ...there, sent });
    }
    await tx.done;
    return same;
  }
  async cursor(trip: string): Promise<Cursor | null> {
    return (await this.db.get("cursors", trip)) ?? null;
  }
  async offerAllAgain(cursor: Cursor): Promise<void> {
    const tx = this.db.transaction(["entries", "cursors"], "readwrite", STRICT);
    const table = tx.objectStore("entries");
    for (const stored of await table.index("by_trip").getAll(cursor.trip)) await table.put({ ...stored, sent: 0 });
    await Promise.all([tx.objectStore("cursors").put(cursor), tx.done]);
  }
  pieces(trip: string): Promise<readonly PieceRecord[]> {
    return this.db.getAllFromIndex("pieces", "by_trip", trip);
  }
  async keepPiece(piece: PieceRecord): Promise<void> {
    const tx = this.db.transaction("pieces", "readwrite", STRICT);
    await Promise.all([tx.store.put(piece), tx.done]);
  }
  async dropPieces(trip: string, whole: string): Promise<void> {
    const tx = this.db.transaction("pieces", "readwrite", STRICT);
    await Promise.all([tx.store.delete(IDBKeyRange.bound([trip, whole], [trip, whole, []])), tx.done]);
  }
  strays(trip: string): Promise<readonly StrayRecord[]> {
    return this.db.getAllFromIndex("strays", "by_trip", trip);
  }
  async keepStrays(strays: readonly StrayRecord[]): Promise<void> {
    const tx = this.db.transaction("strays", "readwrite", STRICT);
    await Promise.all([...strays.map((stray) => tx.store.put(stray)), tx.done]);
  }
  close(): void {
    this.db.close();
  }
}

/** An error inside must leave nothing half-written; the transaction's own rejection is then expected. */
async function abandon(tx: { abort(): void; readonly done: Promise<void> }): Promise<void> {
  try {
    tx.abort();
  } catch {
    // Already ended by the error itself.
  }
  await tx.done.catch(() => {});
}
