import type { Cursor, DeviceRecord, Head, MakeEntry, NamesRecord, PieceRecord, SnapshotRecord, StoredEntry, StrayRecord } from "./records.ts";

/** What the phone keeps. One interface over IndexedDB and over memory; one acceptance suite runs on both. */
export interface Store {
  readonly kind: "indexeddb" | "memory";

  snapshots(): Promise<readonly SnapshotRecord[]>;
  snapshot(trip: string): Promise<SnapshotRecord | null>;
  names(trip: string): Promise<NamesRecord | null>;
  /**
   * Stores a trip whole or not at all; without a device the phone can show it and record nothing. `entries`: a log that
   * comes with it, so that no trip is ever here that looks as if nothing had happened.
   */
  putTrip(snapshot: SnapshotRecord, names: NamesRecord, device: DeviceRecord | null, entries?: readonly StoredEntry[]): Promise<void>;
  /** Replaces what stands beside the snapshot of a trip that is here. */
  putNames(names: NamesRecord): Promise<void>;

  device(trip: string): Promise<DeviceRecord | null>;
  head(device: string): Promise<Head | null>;

  entries(trip: string): Promise<readonly StoredEntry[]>;
  /**
   * Reads the head, lets `make` build the entry, writes entry and head: one transaction, on disk before it answers.
   * An id that is already there is answered with what is stored, so that a retry after a lost answer writes nothing twice.
   */
  append(device: string, id: string, make: MakeEntry): Promise<StoredEntry>;
  /**
   * Set union with what came from elsewhere, and the cursor with it; answers those that were new. `head` is given when
   * this phone's own entries come back from memory: it is taken when it lies further on than the one that is stored.
   */
  receive(entries: readonly StoredEntry[], cursor: Cursor | null, head?: Head): Promise<readonly StoredEntry[]>;
  unsent(trip: string, most: number): Promise<readonly StoredEntry[]>;
  /**
   * Says of entries whether the server holds them (1) or refused them (2), as it answered in `epoch`. Answers false, and
   * notes nothing, where another window met a later epoch meanwhile: that server may lack them.
   */
  mark(trip: string, epoch: string, ids: readonly string[], sent: 1 | 2): Promise<boolean>;
  cursor(trip: string): Promise<Cursor | null>;
  /** A server restored from a backup may lack what it once confirmed: everything is offered again. */
  offerAllAgain(cursor: Cursor): Promise<void>;

  /** The pictures read off another phone's screen for a trip, as long as their row is not whole. */
  pieces(trip: string): Promise<readonly PieceRecord[]>;
  keepPiece(piece: PieceRecord): Promise<void>;
  /** Those of one row of pictures. */
  dropPieces(trip: string, whole: string): Promise<void>;

  /** What was read off another phone and is no entry that this version can read, as it came. */
  strays(trip: string): Promise<readonly StrayRecord[]>;
  keepStrays(strays: readonly StrayRecord[]): Promise<void>;

  close(): void;
}

export function emptyHead(device: string): Head {
  return { device, seq: 0, hash: null, clock: { ms: 0, n: 0 } };
}

/** What is kept of an entry that came once more, with what the server said of it; null: nothing new. */
export function withNews(there: StoredEntry, came: StoredEntry): StoredEntry | null {
  if (came.sent !== 1 || (there.sent === 1 && (came.trouble === undefined || there.trouble !== undefined))) return null;
  return { ...there, sent: 1, ...(came.trouble && { trouble: came.trouble }) };
}

/** The head after `entry`. */
export function headAfter(device: string, stored: StoredEntry): Head {
  const { seq, hash, clock } = stored.entry;
  return { device, seq, hash, clock };
}
