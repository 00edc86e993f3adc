import "fake-indexeddb/auto";
import { describe, expect, test } from "vitest";
import { IndexedStore } from "../../src/store/indexed.ts";
import { Keeper } from "../../src/store/keeper.ts";
import { MemoryStore } from "../../src/store/memory.ts";
import type { Head, MakeEntry, StoredEntry } from "../../src/store/records.ts";
import type { Store } from "../../src/store/store.ts";

const TRIP = "11111111-1111-4111-8111-111111111111";
const DEVICE = "33333333-3333-4333-8333-333333333333";
const noLock = <T>(work: () => Promise<T>): Promise<T> => work();

const building =
  (id: string): MakeEntry =>
  (head: Head) => ({
    entry: { id, trip: TRIP, device: DEVICE, seq: head.seq + 1, prev_hash: head.hash, hash: `hash of ${id}`, clock: { ms: head.seq, n: 0 } } as StoredEntry["entry"],
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
