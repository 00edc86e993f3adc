// Two windows of one phone on one disk, and a disk that comes and goes under them.
import { expect, test, vi } from "vitest";
import { check } from "../../src/kernel/boatlog/chain.ts";
import { Keeper } from "../../src/store/keeper.ts";
import { MemoryStore } from "../../src/store/memory.ts";
import { TripLog } from "../../src/store/trip_log.ts";
import { exchange } from "../../src/sync/exchange.ts";
import { Unreachable } from "../../src/sync/server.ts";
import { ANA, id, phone, Server, TRIP, type Phone } from "../sync/boat.ts";

const note = { by: ANA, kind: "note", subject: TRIP };
const noLock = <T>(work: () => Promise<T>): Promise<T> => work();
const silent = () => new Promise<never>(() => {});
const full = () => Promise.reject(new DOMException("", "QuotaExceededError"));
vi.spyOn(console, "error").mockImplementation(() => {});

/** One more window of this phone, or the same one opened again; it has its own handle on the disk. */
async function open(one: Phone, disk = one.store, answerMs?: number): Promise<TripLog> {
  const handle = Object.assign(Object.create(disk) as MemoryStore, {});
  const machine = { now: () => (one.clock += 1000), random: (bytes: number) => crypto.getRandomValues(new Uint8Array(bytes)) };
  return (await TripLog.open(new Keeper(async () => handle, noLock, undefined, answerMs), TRIP, machine))!;
}

test("what only memory held is handed in again where another window met a restored server before it came home", async () => {
  const [one, server] = [await phone(51), new Server()];
  await one.log.write(note);
  const round = (log: TripLog) => exchange(log, server, () => one.clock);
  await round(one.log);
  const other = await open(one);
  const ordinary = { append: one.store.append, receive: one.store.receive };
  const own = Object.create(one.store) as MemoryStore;
  const log = (await TripLog.open(new Keeper(async () => own, noLock), TRIP, { now: () => (one.clock += 1000), random: (bytes) => crypto.getRandomValues(new Uint8Array(bytes)) }))!;
  Object.assign(own, { append: full, receive: full });
  const kept = await log.write(note);
  await round(log).catch(() => {});
  expect(server.kept.map((entry) => entry.id)).toContain(kept.id);
  server.kept = server.kept.slice(0, 1);
  server.epoch = id(902);
  await round(other);
  Object.assign(own, { append: ordinary.append, receive: ordinary.receive });
  await round(log);
  await round(other);
  expect(server.kept.map((entry) => entry.id)).toContain(kept.id);
  expect([log.onlyInMemory, log.onlyHere]).toEqual([0, 0]);
});

test("a window counts as only here what another one learned that the server may lack", async () => {
  const [one, server] = [await phone(51), new Server()];
  await one.log.write(note);
  const other = await open(one);
  await exchange(one.log, server, () => one.clock);
  expect(one.log.onlyHere).toBe(0);
  await other.offerAllAgain(id(902));
  await one.log.reread();
  expect([one.log.onlyHere, other.onlyHere]).toEqual([1, 1]);
  await other.mark(id(902), [one.log.entries[0]!.id], 2);
  await one.log.reread();
  expect(one.log.refused).toBe(1);
});

test("a database that was read and never answers again leaves no fork: memory goes on from where it ended", async () => {
  const one = await phone(51);
  const handle = Object.create(one.store) as MemoryStore;
  const machine = { now: () => (one.clock += 1000), random: (bytes: number) => crypto.getRandomValues(new Uint8Array(bytes)) };
  const log = (await TripLog.open(new Keeper(async () => handle, noLock, undefined, 20), TRIP, machine))!;
  await log.write(note);
  const other = await open(one);
  await other.write(note);
  const append: MemoryStore["append"] = async (device, _id, make) => {
    make((await one.store.head(device))!);
    return silent();
  };
  Object.assign(handle, { append, snapshots: silent });
  await log.write(note);
  Object.assign(handle, { append: one.store.append, snapshots: one.store.snapshots });
  await vi.waitFor(() => expect(log.onlyInMemory).toBe(0));
  expect(check((await one.store.entries(TRIP)).map(({ entry }) => entry))).toEqual([]);
  expect(await one.store.entries(TRIP)).toHaveLength(3);
});

test("a database that the browser threw away is filled again though nobody writes, and what it held is handed in", async () => {
  const [one, server] = [await phone(51), new Server()];
  let disk = one.store;
  const machine = { now: () => (one.clock += 1000), random: (bytes: number) => crypto.getRandomValues(new Uint8Array(bytes)) };
  const again = () => TripLog.open(new Keeper(async () => disk, noLock), TRIP, machine);
  const log = (await again())!;
  for (let n = 0; n < 3; n += 1) await log.write(note);
  one.store.head = one.store.cursor = one.store.unsent = () => Promise.reject(new Error("the connection is closed"));
  disk = new MemoryStore();
  await exchange(log, server, () => one.clock);
  expect([server.kept.length, log.onlyHere]).toEqual([3, 0]);
  const opened = (await again())!;
  expect(opened.entries).toHaveLength(3);
  expect(opened.name(ANA)).toBe("Ana Wick");
});

test("filling again does not take back the phone's joining anew in another window", async () => {
  const one = await phone(51);
  await one.log.write(note);
  let disk = one.store;
  const log = (await TripLog.open(new Keeper(async () => disk, noLock), TRIP, { now: () => (one.clock += 1000), random: (bytes) => new Uint8Array(bytes) }))!;
  one.store.head = () => Promise.reject(new Error("the connection is closed"));
  disk = new MemoryStore();
  const anew = { ...log.device!, device: id(59), token: "token 59" };
  await disk.putTrip(log.record, { trip: TRIP, names: {}, labels: {} }, anew);
  await log.bringHome();
  expect(await disk.device(TRIP)).toEqual(anew);
  expect(await disk.entries(TRIP)).toHaveLength(1);
});

test("what the server found wrong with an entry is known though the entry was here before", async () => {
  const one = await phone(51);
  const entry = await one.log.write(note);
  const stored = { id: entry.id, trip: TRIP, entry, text: null, sent: 1 as const, trouble: ["device_taken_off"] };
  await one.log.mark(id(901), [entry.id], 1);
  await one.log.receive([stored], { trip: TRIP, epoch: id(901), after: 1 });
  expect(one.log.entries[0]?.trouble).toEqual(["device_taken_off"]);
  expect((await open(one)).entries[0]?.trouble).toEqual(["device_taken_off"]);
});

test("of two copies of one id both reach the disk, though another window took the first one in", async () => {
  const [one, other] = [await phone(51), await phone(52)];
  const first = await other.log.write(note);
  const second = { ...first, by: null };
  const window = await open(one);
  const came = (entry: typeof first) => [{ id: entry.id, trip: TRIP, entry, text: null, sent: 1 as const }];
  await one.log.receive(came(first), null);
  await window.receive(came(second), null);
  expect(await one.store.entries(TRIP)).toHaveLength(2);
  await one.log.reread();
  expect([one.log.entries.length, window.entries.length]).toEqual([2, 2]);
});

test("a window that asked before another one met a restored server skips nothing of that server's log", async () => {
  const [one, writer, server] = [await phone(51), await phone(52), new Server()];
  for (let n = 0; n < 6; n += 1) await writer.log.write(note);
  const written = writer.log.entries.map(({ entry }) => entry);
  server.kept = written.slice(0, 3);
  const late = await open(one);
  await exchange(one.log, server, () => one.clock);
  [server.kept, server.epoch] = [written.slice(0, 1), id(902)];
  const ordinary = server.get.bind(server);
  let goOn = () => {};
  server.get = async (path, options) => {
    server.get = ordinary;
    await new Promise<void>((done) => (goOn = done));
    return ordinary(path, options);
  };
  const round = exchange(late, server, () => one.clock);
  while (server.get !== ordinary) await new Promise((done) => setTimeout(done, 0));
  // The line breaks before it hands its own copies back, and others fill the log in another order.
  const post = server.post.bind(server);
  server.post = () => Promise.reject(new Unreachable());
  await exchange(one.log, server, () => one.clock).catch(() => {});
  server.post = post;
  server.kept = [0, 3, 4, 1, 2, 5].map((n) => written[n]!);
  goOn();
  await round;
  await exchange(one.log, server, () => one.clock);
  expect((await one.store.entries(TRIP)).length).toBe(6);
});
