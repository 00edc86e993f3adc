import type { Cursor, DeviceRecord, Head, MakeEntry, NamesRecord, PieceRecord, SnapshotRecord, StoredEntry, StrayRecord } from "./records.ts";
import { emptyHead, headAfter, withNews, type Store } from "./store.ts";

/** Lasts as long as the page: for tests, and for a phone whose database is dead, which then says so on the screen. */
export class MemoryStore implements Store {
  readonly kind = "memory";
  private readonly snapshotByTrip = new Map<string, SnapshotRecord>();
  private readonly namesByTrip = new Map<string, NamesRecord>();
  private readonly deviceByTrip = new Map<string, DeviceRecord>();
  private readonly headByDevice = new Map<string, Head>();
  private readonly entryById = new Map<string, StoredEntry>();
  private readonly cursorByTrip = new Map<string, Cursor>();
  private readonly pieceByPlace = new Map<string, PieceRecord>();
  private readonly strayByMark = new Map<string, StrayRecord>();

  async snapshots(): Promise<readonly SnapshotRecord[]> {
    return [...this.snapshotByTrip.values()];
  }
  async snapshot(trip: string): Promise<SnapshotRecord | null> {
    return this.snapshotByTrip.get(trip) ?? null;
  }
  async names(trip: string): Promise<NamesRecord | null> {
    return this.namesByTrip.get(trip) ?? null;
  }
  async putTrip(snapshot: SnapshotRecord, names: NamesRecord, device: DeviceRecord | null, entries: readonly StoredEntry[] = []): Promise<void> {
    this.snapshotByTrip.set(snapshot.trip, snapshot);
    this.namesByTrip.set(names.trip, names);
    if (device !== null) this.deviceByTrip.set(device.trip, device);
    await this.receive(entries, null);
  }
  async putNames(names: NamesRecord): Promise<void> {
    this.namesByTrip.set(names.trip, names);
  }
  async device(trip: string): Promise<DeviceRecord | null> {
    return this.deviceByTrip.get(trip) ?? null;
  }
  async head(device: string): Promise<Head | null> {
    return this.headByDevice.get(device) ?? null;
  }
  async entries(trip: string): Promise<readonly StoredEntry[]> {
    return [...this.entryById.values()].filter((stored) => stored.trip === trip);
  }
  async append(device: string, id: string, make: MakeEntry): Promise<StoredEntry> {
    const there = this.entryById.get(id);
    if (there !== undefined) return there;
    const { entry, text } = make(this.headByDevice.get(device) ?? emptyHead(device));
    const stored: StoredEntry = { id: entry.id, trip: entry.trip, entry, text, sent: 0 };
    this.entryById.set(stored.id, stored);
    this.headByDevice.set(device, headAfter(device, stored));
    return stored;
  }
  async receive(entries: readonly StoredEntry[], cursor: Cursor | null, head?: Head): Promise<readonly StoredEntry[]> {
    const fresh: StoredEntry[] = [];
    for (const stored of entries) {
      const there = this.entryById.get(stored.id);
      if (there === undefined) fresh.push(stored);
      const now = there === undefined ? stored : withNews(there, stored);
      if (now !== null) this.entryById.set(stored.id, now);
    }
    if (cursor !== null) this.cursorByTrip.set(cursor.trip, cursor);
    if (head !== undefined && head.seq > (this.headByDevice.get(head.device)?.seq ?? 0)) this.headByDevice.set(head.device, head);
    return fresh;
  }
  async unsent(trip: string, most: number): Promise<readonly StoredEntry[]> {
    return [...this.entryById.values()].filter((stored) => stored.trip === trip && stored.sent === 0).slice(0, most);
  }
  async mark(trip: string, epoch: string, ids: readonly string[], sent: 1 | 2): Promise<boolean> {
    if (this.cursorByTrip.get(trip)?.epoch !== epoch) return false;
    for (const id of ids) {
      const there = this.entryById.get(id);
      if (there !== undefined) this.entryById.set(id, { ...there, sent });
    }
    return true;
  }
  async cursor(trip: string): Promise<Cursor | null> {
    return this.cursorByTrip.get(trip) ?? null;
  }
  async offerAllAgain(cursor: Cursor): Promise<void> {
    for (const [id, stored] of this.entryById) if (stored.trip === cursor.trip) this.entryById.set(id, { ...stored, sent: 0 });
    this.cursorByTrip.set(cursor.trip, cursor);
  }
  async pieces(trip: string): Promise<readonly PieceRecord[]> {
    return [...this.pieceByPlace.values()].filter((piece) => piece.trip === trip);
  }
  async keepPiece(piece: PieceRecord): Promise<void> {
    this.pieceByPlace.set(`${piece.trip} ${piece.whole} ${piece.index}`, piece);
  }
  async dropPieces(trip: string, whole: string): Promise<void> {
    for (const [place, piece] of this.pieceByPlace) if (piece.trip === trip && piece.whole === whole) this.pieceByPlace.delete(place);
  }
  async strays(trip: string): Promise<readonly StrayRecord[]> {
    return [...this.strayByMark.values()].filter((stray) => stray.trip === trip);
  }
  async keepStrays(strays: readonly StrayRecord[]): Promise<void> {
    for (const stray of strays) this.strayByMark.set(`${stray.trip} ${stray.mark}`, stray);
  }
  close(): void {}
}
