import "fake-indexeddb/auto";
import { describe, expect, test } from "vitest";
import { IndexedStore } from "../../src/store/indexed.ts";
import { MemoryStore } from "../../src/store/memory.ts";
import type { DeviceRecord, Head, NamesRecord, SnapshotRecord, StoredEntry } from "../../src/store/records.ts";
import type { Store } from "../../src/store/store.ts";

/** One suite over every store: what holds for the phone's disk holds for memory. */
const TRIP = "11111111-1111-4111-8111-111111111111";
const OTHER = "22222222-2222-4222-8222-222222222222";
const DEVICE = "33333333-3333-4333-8333-333333333333";

let databases = 0;
const kinds: readonly (readonly [string, () => Promise<Store>])[] = [
  ["indexeddb", () => IndexedStore.open(`acceptance-${(databases += 1)}`)],
  ["memory", async () => new MemoryStore()],
];

function entryAfter(head: Head, id: string, trip = TRIP): StoredEntry["entry"] {
  return {
    id,
    v: 1,
    trip,
    device: DEVICE,
    seq: head.seq + 1,
    by: null,
    clock: { ms: 1_000 + head.seq, n: 0 },
    at: 1_000 + head.seq,
    kind: "note",
    subject: trip,
    data: {},
    prev_hash: head.hash,
    hash: `hash of ${id}`,
  } as StoredEntry["entry"];
}

function from(id: string, seq: number, sent: 0 | 1 | 2 = 1, trip = TRIP): StoredEntry {
  const entry = entryAfter({ device: DEVICE, seq: seq - 1, hash: null, clock: { ms: 0, n: 0 } }, id, trip);
  return { id, trip, entry, text: null, sent };
}

for (const [kind, make] of kinds) {
  describe(kind, () => {
    test("a trip is stored whole and read back", async () => {
      const store = await make();
      expect(await store.snapshot(TRIP)).toBeNull();
      const record = { trip: TRIP, hash: "h", snapshot: {} as SnapshotRecord["snapshot"], storedAt: 1 };
      const names: NamesRecord = { trip: TRIP, names: { p: "A Person" }, labels: { trip: "A day out" } };
      const device: DeviceRecord = { trip: TRIP, device: DEVICE, token: "t", label: "Phone", key: null };
      await store.putTrip(record, names, device);
      expect(await store.snapshot(TRIP)).toEqual(record);
      expect(await store.names(TRIP)).toEqual(names);
      expect(await store.device(TRIP)).toEqual(device);
      expect(await store.snapshots()).toHaveLength(1);
      expect(await store.device(OTHER)).toBeNull();
    });

    test("replaces what stands beside a snapshot, and nothing else", async () => {
      const store = await make();
      const record = { trip: TRIP, hash: "h", snapshot: {} as SnapshotRecord["snapshot"], storedAt: 1 };
      const device: DeviceRecord = { trip: TRIP, device: DEVICE, token: "t", label: "Phone", key: null };
      await store.putTrip(record, { trip: TRIP, names: { p: "A Person" }, labels: {} }, device);
      await store.putNames({ trip: TRIP, names: { p: "A Person" }, labels: { ashore: ["B"] } });
      expect(await store.names(TRIP)).toEqual({ trip: TRIP, names: { p: "A Person" }, labels: { ashore: ["B"] } });
      expect([await store.snapshot(TRIP), await store.device(TRIP)]).toEqual([record, device]);
    });

    test("storing a trip again without a device keeps the device", async () => {
      const store = await make();
      const record = { trip: TRIP, hash: "h", snapshot: {} as SnapshotRecord["snapshot"], storedAt: 1 };
      const device: DeviceRecord = { trip: TRIP, device: DEVICE, token: "t", label: "Phone", key: null };
      await store.putTrip(record, { trip: TRIP, names: {}, labels: {} }, device);
      await store.putTrip({ ...record, hash: "h2" }, { trip: TRIP, names: {}, labels: {} }, null);
      expect((await store.snapshot(TRIP))?.hash).toBe("h2");
      expect(await store.device(TRIP)).toEqual(device);
    });

    test("what the server found wrong is added to an entry that was here, and what it said once stays", async () => {
      const store = await make();
      await store.receive([from("a", 1, 0)], null);
      await store.receive([{ ...from("a", 1), trouble: ["device_revoked"] }], null);
      await store.receive([from("a", 1), from("a", 1, 0)], null);
      expect(await store.entries(TRIP)).toEqual([{ ...from("a", 1), trouble: ["device_revoked"] }]);
    });

    test("each entry is built from the head that the one before left", async () => {
      const store = await make();
      for (const id of ["a", "b", "c"]) await store.append(DEVICE, id, (head) => ({ entry: entryAfter(head, id), text: null }));
      const kept = [...(await store.entries(TRIP))].sort((x, y) => x.entry.seq - y.entry.seq);
      expect(kept.map((one) => one.entry.seq)).toEqual([1, 2, 3]);
      expect(kept.map((one) => one.entry.prev_hash)).toEqual([null, "hash of a", "hash of b"]);
      expect(await store.head(DEVICE)).toMatchObject({ seq: 3, hash: "hash of c" });
    });

    test("many appends at once leave one unbroken chain", async () => {
      const store = await make();
      const ids = Array.from({ length: 40 }, (_, n) => `e${n}`);
      await Promise.all(ids.map((id) => store.append(DEVICE, id, (head) => ({ entry: entryAfter(head, id), text: null }))));
      const kept = [...(await store.entries(TRIP))].sort((x, y) => x.entry.seq - y.entry.seq);
      expect(kept.map((one) => one.entry.seq)).toEqual(ids.map((_, n) => n + 1));
      for (let n = 1; n < kept.length; n += 1) expect(kept[n]?.entry.prev_hash).toBe(kept[n - 1]?.entry.hash);
    });

    test("the same id again writes nothing and answers what is stored", async () => {
      const store = await make();
      const first = await store.append(DEVICE, "a", (head) => ({ entry: entryAfter(head, "a"), text: null }));
      const second = await store.append(DEVICE, "a", () => {
        throw new Error("must not be built again");
      });
      expect(second).toEqual(first);
      expect(await store.entries(TRIP)).toHaveLength(1);
      expect((await store.head(DEVICE))?.seq).toBe(1);
    });

    test("an entry that cannot be built leaves nothing behind", async () => {
      const store = await make();
      const broken = store.append(DEVICE, "a", () => {
        throw new Error("not an entry");
      });
      await expect(broken).rejects.toThrow("not an entry");
      expect(await store.entries(TRIP)).toHaveLength(0);
      expect(await store.head(DEVICE)).toBeNull();
      await store.append(DEVICE, "b", (head) => ({ entry: entryAfter(head, "b"), text: null }));
      expect((await store.head(DEVICE))?.seq).toBe(1);
    });

    test("what is unsent is offered until it is confirmed; a refused entry stays and is not offered", async () => {
      const store = await make();
      for (const id of ["a", "b", "c"]) await store.append(DEVICE, id, (head) => ({ entry: entryAfter(head, id), text: null }));
      await store.receive([from("x", 9, 1, OTHER)], null);
      expect((await store.unsent(TRIP, 2)).length).toBe(2);
      expect((await store.unsent(TRIP, 10)).map((one) => one.id).sort()).toEqual(["a", "b", "c"]);
      await store.receive([], { trip: TRIP, epoch: "e1", after: 0 });
      expect(await store.mark(TRIP, "e1", ["a"], 1)).toBe(true);
      expect(await store.mark(TRIP, "e1", ["b"], 2)).toBe(true);
      expect((await store.unsent(TRIP, 10)).map((one) => one.id)).toEqual(["c"]);
      expect(await store.entries(TRIP)).toHaveLength(3);
    });

    test("what a server said before it was set back is not noted once another window met its new epoch", async () => {
      const store = await make();
      await store.append(DEVICE, "a", (head) => ({ entry: entryAfter(head, "a"), text: null }));
      await store.offerAllAgain({ trip: TRIP, epoch: "e2", after: 0 });
      expect(await store.mark(TRIP, "e1", ["a"], 1)).toBe(false);
      expect((await store.unsent(TRIP, 10)).map((one) => one.id)).toEqual(["a"]);
    });

    test("receiving is a set union, moves the cursor with it and tells what was new", async () => {
      const store = await make();
      const cursor = { trip: TRIP, epoch: "e1", after: 2 };
      expect(await store.receive([from("a", 1), from("b", 2)], cursor)).toHaveLength(2);
      expect(await store.receive([from("b", 2), from("c", 3)], { ...cursor, after: 3 })).toHaveLength(1);
      expect(await store.entries(TRIP)).toHaveLength(3);
      expect(await store.cursor(TRIP)).toEqual({ ...cursor, after: 3 });
      expect(await store.head(DEVICE)).toBeNull();
    });

    test("our own entry coming back from the server counts as confirmed", async () => {
      const store = await make();
      const own = await store.append(DEVICE, "a", (head) => ({ entry: entryAfter(head, "a"), text: null }));
      await store.receive([{ ...own, sent: 1 }], null);
      expect(await store.unsent(TRIP, 10)).toHaveLength(0);
      await store.receive([{ ...own, sent: 0 }], null);
      expect(await store.unsent(TRIP, 10)).toHaveLength(0);
    });

    test("a new epoch offers all of the trip again and leaves other trips alone", async () => {
      const store = await make();
      await store.receive([from("a", 1), from("b", 2, 2), from("x", 3, 1, OTHER)], { trip: TRIP, epoch: "e1", after: 2 });
      await store.offerAllAgain({ trip: TRIP, epoch: "e2", after: 0 });
      expect((await store.unsent(TRIP, 10)).map((one) => one.id).sort()).toEqual(["a", "b"]);
      expect(await store.unsent(OTHER, 10)).toHaveLength(0);
      expect(await store.cursor(TRIP)).toEqual({ trip: TRIP, epoch: "e2", after: 0 });
    });

    test("pieces of pictures are kept by trip and place, once each, and dropped by row", async () => {
      const store = await make();
      const piece = (trip: string, whole: string, index: number) => ({ trip, whole, count: 9, index, piece: new Uint8Array([index]) });
      for (const one of [piece(TRIP, "aa", 1), piece(TRIP, "aa", 0), piece(TRIP, "aa", 1), piece(TRIP, "bb", 1), piece(OTHER, "aa", 1)]) await store.keepPiece(one);
      expect((await store.pieces(TRIP)).map(({ whole, index }) => `${whole}${index}`).sort()).toEqual(["aa0", "aa1", "bb1"]);
      expect((await store.pieces(TRIP)).every(({ index, piece: bytes }) => bytes[0] === index)).toBe(true);
      await store.dropPieces(TRIP, "aa");
      expect((await store.pieces(TRIP)).map(({ whole }) => whole)).toEqual(["bb"]);
      expect(await store.pieces(OTHER)).toHaveLength(1);
      await store.dropPieces(TRIP, "bb");
      expect(await store.pieces(TRIP)).toEqual([]);
    });

    test("a trip comes with its log, and what is no entry is kept as it came", async () => {
      const store = await make();
      const record = { trip: TRIP, hash: "h", snapshot: {} as SnapshotRecord["snapshot"], storedAt: 1 };
      await store.append(DEVICE, "a", (head) => ({ entry: entryAfter(head, "a"), text: null }));
      await store.putTrip(record, { trip: TRIP, names: {}, labels: {} }, null, [from("b", 1, 0), { ...from("a", 1), text: { salt: "s", text: "another" } }]);
      expect((await store.entries(TRIP)).map(({ id, text }) => [id, text])).toEqual([["a", null], ["b", null]]);
      const stray = { trip: TRIP, mark: "m", text: "[1]" };
      await store.keepStrays([stray, stray, { ...stray, trip: OTHER }]);
      expect(await store.strays(TRIP)).toEqual([stray]);
    });

    test("entries that come home from memory move the head on, never back", async () => {
      const store = await make();
      await store.append(DEVICE, "a", (head) => ({ entry: entryAfter(head, "a"), text: null }));
      await store.receive([from("b", 2, 0)], null, { device: DEVICE, seq: 2, hash: "hash of b", clock: { ms: 2, n: 0 } });
      expect((await store.head(DEVICE))?.seq).toBe(2);
      await store.receive([], null, { device: DEVICE, seq: 1, hash: "hash of a", clock: { ms: 1, n: 0 } });
      expect(await store.head(DEVICE)).toMatchObject({ seq: 2, hash: "hash of b" });
    });
  });
}

/** The tables as version 1 made them, before pieces were kept: a phone may come from any version. */
async function firstVersion(name: string): Promise<void> {
  await new Promise<void>((done, failed) => {
    const asked = indexedDB.open(name, 1);
    asked.onupgradeneeded = () => {
      for (const table of ["snapshots", "names", "devices", "cursors"]) asked.result.createObjectStore(table, { keyPath: "trip" });
      asked.result.createObjectStore("heads", { keyPath: "device" });
      const entries = asked.result.createObjectStore("entries", { keyPath: "id" });
      entries.createIndex("by_trip", "trip");
      entries.createIndex("by_trip_sent", ["trip", "sent"]);
      entries.put(from("a", 1));
    };
    asked.onsuccess = () => (asked.result.close(), done());
    asked.onerror = () => failed(asked.error);
  });
}

/** Every table with its key and its indexes: a change here is a new version and a step of the upgrade. */
async function tables(name: string): Promise<unknown> {
  return new Promise((done, failed) => {
    const asked = indexedDB.open(name);
    asked.onsuccess = () => {
      const database = asked.result;
      const found = [...database.objectStoreNames].map((table) => {
        const here = database.transaction(table).objectStore(table);
        return [table, here.keyPath, [...here.indexNames].map((index) => [index, here.index(index).keyPath])];
      });
      database.close();
      done([database.version, found]);
    };
    asked.onerror = () => failed(asked.error);
  });
}

describe("indexeddb alone", () => {
  test("the tables are those of this version, made new or from the first, and what was kept is kept", async () => {
    await firstVersion("grown");
    const grown = await IndexedStore.open("grown");
    expect(await grown.entries(TRIP)).toEqual([from("a", 1)]);
    await grown.keepPiece({ trip: TRIP, whole: "aa", count: 2, index: 1, piece: new Uint8Array([7]) });
    grown.close();
    (await IndexedStore.open("made new")).close();
    const expected = [
      3,
      [
        ["cursors", "trip", []],
        ["devices", "trip", []],
        ["entries", "id", [["by_trip", "trip"], ["by_trip_sent", ["trip", "sent"]]]],
        ["heads", "device", []],
        ["names", "trip", []],
        ["pieces", ["trip", "whole", "index"], [["by_trip", "trip"]]],
        ["snapshots", "trip", []],
        ["strays", ["trip", "mark"], [["by_trip", "trip"]]],
      ],
    ];
    expect(await tables("grown")).toEqual(expected);
    expect(await tables("made new")).toEqual(expected);
  });

  test("what was stored is there after the database was closed and opened again", async () => {
    const store = await IndexedStore.open("again");
    await store.append(DEVICE, "a", (head) => ({ entry: entryAfter(head, "a"), text: null }));
    store.close();
    const later = await IndexedStore.open("again");
    expect(await later.entries(TRIP)).toHaveLength(1);
    expect((await later.head(DEVICE))?.hash).toBe("hash of a");
  });

  test("what a later version of the app left can be read and written by this one: an update that was taken back loses nothing", async () => {
    const first = await IndexedStore.open("taken back");
    await first.append(DEVICE, "a", (head) => ({ entry: entryAfter(head, "a"), text: null }));
    first.close();
    await new Promise<void>((done, failed) => {
      const opening = indexedDB.open("taken back", 99);
      opening.onupgradeneeded = () => opening.result.createObjectStore("something new");
      opening.onsuccess = () => (opening.result.close(), done());
      opening.onerror = () => failed(opening.error);
    });
    const again = await IndexedStore.open("taken back");
    await again.append(DEVICE, "b", (head) => ({ entry: entryAfter(head, "b"), text: null }));
    expect((await again.entries(TRIP)).map(({ entry }) => entry.seq)).toEqual([1, 2]);
  });

  test("every write asks for the disk, not only for the system's memory", async () => {
    const asked: (string | undefined)[] = [];
    const ordinary = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function (this: IDBDatabase, names, mode, options) {
      if (mode === "readwrite") asked.push(options?.durability);
      return ordinary.call(this, names, mode, options);
    };
    try {
      const store = await IndexedStore.open("strict");
      await store.append(DEVICE, "a", (head) => ({ entry: entryAfter(head, "a"), text: null }));
      await store.receive([from("b", 2)], null);
      await store.mark(TRIP, "e", ["b"], 1);
      await store.offerAllAgain({ trip: TRIP, epoch: "e", after: 0 });
      await store.putTrip({ trip: TRIP, hash: "h", snapshot: {} as SnapshotRecord["snapshot"], storedAt: 1 }, { trip: TRIP, names: {}, labels: {} }, null);
    } finally {
      IDBDatabase.prototype.transaction = ordinary;
    }
    expect(asked.length).toBe(5);
    expect(new Set(asked)).toEqual(new Set(["strict"]));
  });
});
