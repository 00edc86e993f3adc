import "fake-indexeddb/auto";
import { describe, expect, test, vi } from "vitest";
import { check } from "../../src/kernel/boatlog/chain.ts";
import { IndexedStore } from "../../src/store/indexed.ts";
import { alone, Keeper } from "../../src/store/keeper.ts";
import { MemoryStore } from "../../src/store/memory.ts";
import type { Head, MakeEntry, StoredEntry } from "../../src/store/records.ts";
import type { Store } from "../../src/store/store.ts";
import { TripLog } from "../../src/store/trip_log.ts";
import { ANA, BEN, CLEO, DIVE, phone, START, TEAM } from "../sync/boat.ts";

const TRIP = "11111111-1111-4111-8111-111111111111";
const DEVICE = "33333333-3333-4333-8333-333333333333";
const noLock = <T>(work: () => Promise<T>): Promise<T> => work();

const building =
  (id: string, device = DEVICE): MakeEntry =>
  (head: Head) => ({
    entry: { id, trip: TRIP, device, seq: head.seq + 1, prev_hash: head.hash, hash: `hash of ${id}`, clock: { ms: head.seq, n: 0 } } as StoredEntry["entry"],
    text: null,
  });

/** A database that can be made to fail: `failing` writes fail, whichever handle is used. */
class Weak extends MemoryStore {
  failing = 0;
  override append(device: string, id: string, make: MakeEntry): Promise<StoredEntry> {
    return this.failing-- > 0 ? Promise.reject(new Error("the connection is closed")) : super.append(device, id, make);
  }
  override receive(...args: Parameters<MemoryStore["receive"]>): ReturnType<MemoryStore["receive"]> {
    return this.failing-- > 0 ? Promise.reject(new Error("the connection is closed")) : super.receive(...args);
  }
}

describe("a handle that dies", () => {
  test("is opened again and asked once more; nobody notices", async () => {
    const disk = new Weak();
    let opened = 0;
    const keeper = new Keeper(async () => ((opened += 1), disk), noLock);
    await keeper.append(DEVICE, "a", building("a"));
    disk.failing = 1;
    await keeper.append(DEVICE, "b", building("b"));
    expect(opened).toBe(2);
    expect(keeper.onlyInMemory).toBe(0);
    expect((await disk.entries(TRIP)).map((one) => one.entry.seq)).toEqual([1, 2]);
  });

  test("twice: the entry is kept in memory, said so, and brought home with the chain unbroken", async () => {
    const disk = new Weak();
    let told = 0;
    const keeper = new Keeper(async () => disk, noLock, () => (told += 1));
    await keeper.append(DEVICE, "a", building("a"));
    disk.failing = 2;
    const kept = await keeper.append(DEVICE, "b", building("b"));
    expect(kept.entry).toMatchObject({ seq: 2, prev_hash: "hash of a" });
    expect(keeper.onlyInMemory).toBe(1);
    expect(told).toBe(1);
    expect(await keeper.entries(TRIP)).toHaveLength(2);
    await keeper.append(DEVICE, "c", building("c"));
    expect(keeper.onlyInMemory).toBe(0);
    const all = [...(await disk.entries(TRIP))].sort((x, y) => x.entry.seq - y.entry.seq);
    expect(all.map((one) => one.entry.prev_hash)).toEqual([null, "hash of a", "hash of b"]);
  });

  test("for good: every entry stays in memory in one chain, and all are there to be read", async () => {
    const disk = new Weak();
    const keeper = new Keeper(async () => disk, noLock);
    await keeper.append(DEVICE, "a", building("a"));
    disk.failing = Number.POSITIVE_INFINITY;
    for (const id of ["b", "c", "d"]) await keeper.append(DEVICE, id, building(id));
    expect(keeper.onlyInMemory).toBe(3);
    expect((await keeper.entries(TRIP)).map((one) => one.entry.seq).sort()).toEqual([1, 2, 3, 4]);
  });

  test("a phone with two trips goes on in the chain of each", async () => {
    const disk = new Weak();
    const keeper = new Keeper(async () => disk, noLock);
    const other = "44444444-4444-4444-8444-444444444444";
    for (const device of [DEVICE, other]) await keeper.append(device, `a ${device}`, building(`a ${device}`, device));
    disk.failing = 4;
    for (const device of [DEVICE, other]) await keeper.append(device, `b ${device}`, building(`b ${device}`, device));
    expect(keeper.onlyInMemory).toBe(2);
    await keeper.bringHome();
    for (const device of [DEVICE, other]) {
      await keeper.append(device, `c ${device}`, building(`c ${device}`, device));
      const chain = [...(await disk.entries(TRIP))].filter(({ entry }) => entry.device === device).sort((x, y) => x.entry.seq - y.entry.seq);
      expect(chain.map(({ entry }) => [entry.seq, entry.prev_hash])).toEqual([[1, null], [2, `hash of a ${device}`], [3, `hash of b ${device}`]]);
    }
  });

  test("what goes to memory while the rest is brought home is not forgotten, and the head on the disk is not ahead of it", async () => {
    const disk = new Weak();
    const keeper = new Keeper(async () => disk, noLock);
    disk.failing = 2;
    await keeper.append(DEVICE, "a", building("a"));
    const ordinary = disk.receive.bind(disk);
    let meanwhile: Promise<StoredEntry> | null = null;
    disk.receive = async (...args) => {
      if (meanwhile === null) {
        disk.append = () => Promise.reject(new Error("the disk is full"));
        meanwhile = Promise.resolve().then(() => keeper.append(DEVICE, "b", building("b")));
        await new Promise((done) => setTimeout(done, 20));
      } else if (args[0].some(({ id }) => id === "b")) throw new Error("the disk is full");
      return ordinary(...args);
    };
    await keeper.bringHome();
    await meanwhile;
    expect(keeper.onlyInMemory).toBe(1);
    expect((await keeper.entries(TRIP)).map(({ id }) => id).sort()).toEqual(["a", "b"]);
    expect((await disk.head(DEVICE))?.seq).toBe(1);
  });

  test("a database that never answers holds nobody up: to memory, and home once it answers", async () => {
    const disk = new Weak();
    const keeper = new Keeper(async () => disk, noLock, undefined, 30);
    await keeper.append(DEVICE, "a", building("a"));
    const ordinary = { append: disk.append.bind(disk), snapshots: disk.snapshots.bind(disk) };
    const silent = () => new Promise<never>(() => {});
    Object.assign(disk, { append: silent, snapshots: silent });
    expect((await keeper.append(DEVICE, "b", building("b"))).entry.seq).toBe(2);
    const began = performance.now();
    await keeper.append(DEVICE, "c", building("c"));
    expect(performance.now() - began).toBeLessThan(25);
    expect(keeper.onlyInMemory).toBe(2);
    Object.assign(disk, ordinary);
    await vi.waitFor(() => expect(keeper.onlyInMemory).toBe(0));
    await keeper.append(DEVICE, "d", building("d"));
    expect((await disk.entries(TRIP)).map(({ entry }) => entry.prev_hash)).toEqual([null, "hash of a", "hash of b", "hash of c"]);
  });

  test("another window that keeps the writer's place and does nothing is passed by", async () => {
    const held = new Promise<never>(() => {});
    void navigator.locks.request("held for ever", () => held);
    expect(await alone("held for ever", async () => "done")).toBe("done");
    await expect(alone("free", () => Promise.reject(new Error("refused")))).rejects.toThrow("refused");
  });

  test("a database that the browser threw away is filled again from what the page holds, before anything is lost", async () => {
    const { store, log } = await phone(51);
    for (let n = 0; n < 3; n += 1) await log.write({ by: CLEO, kind: "note", subject: log.trip });
    let disk = store;
    const machine = { now: () => START, random: (bytes: number) => crypto.getRandomValues(new Uint8Array(bytes)) };
    const open = () => TripLog.open(new Keeper(async () => disk, noLock), log.trip, machine);
    const here = (await open())!;
    // Its handle is dead, and what is opened in its place is empty.
    store.append = () => Promise.reject(new Error("the connection is closed"));
    disk = new MemoryStore();
    await here.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
    expect(here.onlyInMemory).toBe(0);
    const again = (await open())!;
    expect(again.name(ANA)).toBe("Ana Wick");
    const chain = again.entries.map(({ entry }) => entry).sort((a, b) => a.seq - b.seq);
    expect(chain.map(({ kind }) => kind)).toEqual(["note", "note", "note", "down"]);
    expect(check(chain)).toEqual([]);
    expect((await disk.unsent(log.trip, 9)).length).toBe(4);
  });

  test("a log that cannot be read is not shown as an empty one", async () => {
    const { log, store } = await phone(51);
    await log.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
    for (const part of ["entries", "head"] as const) {
      const broken = Object.assign(Object.create(store) as MemoryStore, { [part]: () => Promise.reject(new Error("cannot be read")) });
      const machine = { now: () => START, random: (bytes: number) => new Uint8Array(bytes) };
      await expect(TripLog.open(new Keeper(async () => broken, noLock), log.trip, machine)).rejects.toThrow("cannot be read");
    }
  });

  test("the browser closing a real database under us costs nothing", async () => {
    const opened: Store[] = [];
    const keeper = new Keeper(async (onLost) => {
      const store = await IndexedStore.open("taken away", onLost);
      opened.push(store);
      return store;
    }, noLock);
    await keeper.append(DEVICE, "a", building("a"));
    opened[0]?.close();
    await keeper.append(DEVICE, "b", building("b"));
    expect(opened).toHaveLength(2);
    expect(await keeper.entries(TRIP)).toHaveLength(2);
  });
});

test("an entry that cannot be built is an error to the caller and nothing is kept", async () => {
  const keeper = new Keeper(async () => new MemoryStore(), noLock);
  const broken = keeper.append(DEVICE, "a", () => {
    throw new Error("not an entry");
  });
  await expect(broken).rejects.toThrow("not an entry");
  expect(keeper.onlyInMemory).toBe(0);
});
