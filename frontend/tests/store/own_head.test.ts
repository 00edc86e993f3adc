// An entry that only memory held was handed in, and the app died: the phone finds the end of its own chain again.
import { expect, test, vi } from "vitest";
import { check } from "../../src/kernel/boatlog/chain.ts";
import { hashOf, type Entry } from "../../src/kernel/boatlog/entries.ts";
import { Keeper } from "../../src/store/keeper.ts";
import { TripLog } from "../../src/store/trip_log.ts";
import { exchange } from "../../src/sync/exchange.ts";
import { ANA, id, phone, Server, TRIP, type Phone } from "../sync/boat.ts";

const note = { by: ANA, kind: "note", subject: TRIP };
const full = () => Promise.reject(new DOMException("", "QuotaExceededError"));
vi.spyOn(console, "error").mockImplementation(() => {});

/** What a browser keeps beside the database of each phone. */
const beside = new Map<Phone, string>();

async function started(one: Phone): Promise<TripLog> {
  const machine = {
    now: () => (one.clock += 1000),
    random: (bytes: number) => crypto.getRandomValues(new Uint8Array(bytes)),
    inMemory: { read: () => beside.get(one) ?? null, keep: (_: string, hashes: string) => void beside.set(one, hashes) },
  };
  return (await TripLog.open(new Keeper(async () => one.store, (work) => work()), TRIP, machine))!;
}

/** A phone that died with two entries in memory which the server holds. */
async function died(): Promise<{ one: Phone; server: Server; round: (log: TripLog) => Promise<unknown> }> {
  const [one, server] = [await phone(51), new Server()];
  const round = (log: TripLog) => exchange(log, server, () => one.clock);
  const log = await started(one);
  await log.write(note);
  await round(log);
  const ordinary = { append: one.store.append, receive: one.store.receive };
  Object.assign(one.store, { append: full, receive: full });
  for (let n = 0; n < 2; n += 1) await log.write(note);
  await round(log).catch(() => {});
  expect(server.kept).toHaveLength(3);
  Object.assign(one.store, ordinary);
  return { one, server, round };
}

test("what it reads of itself on the server is where it goes on", async () => {
  const { one, server, round } = await died();
  const log = await started(one);
  await round(log);
  expect((await log.write(note)).seq).toBe(4);
  await round(log);
  expect(check(server.kept)).toEqual([]);
  expect(server.kept).toHaveLength(4);
  // The app opened once more goes on from there as well.
  expect((await (await started(one)).write(note)).seq).toBe(5);
});

test("what was written before it could read stays: two sides of a fork, both kept, and it goes on in its own", async () => {
  const { one, server, round } = await died();
  const log = await started(one);
  const first = await log.write(note);
  await round(log);
  const next = await log.write(note);
  expect([first.seq, next.seq, next.prev_hash]).toEqual([2, 3, first.hash]);
  await round(log);
  expect(server.kept).toHaveLength(5);
});

test("without what it kept of itself it takes nobody's word for its end", async () => {
  const { one, server, round } = await died();
  beside.delete(one);
  const log = await started(one);
  await round(log);
  expect((await log.write(note)).seq).toBe(2);
  expect(server.kept).toHaveLength(3);
});

test("nobody moves its end with an entry written in its name, nor with an altered one of its own", async () => {
  const { one, server } = await died();
  const [last, own] = [server.kept[0]!, server.kept[1]!];
  const value = { ...last, id: id(701), seq: 2, prev_hash: last.hash } as Entry;
  const log = await started(one);
  for (const entry of [{ ...value, hash: hashOf(value) }, { ...own, seq: 9 }]) {
    await log.receive([{ id: entry.id, trip: TRIP, entry, text: null, sent: 1 }], { trip: TRIP, epoch: id(901), after: 1 });
  }
  expect(await log.write(note)).toMatchObject({ seq: 2, prev_hash: last.hash });
});

test("what came back while the page still held it in memory alone is where the disk goes on too", async () => {
  const [one, server] = [await phone(51), new Server()];
  const log = await started(one);
  await log.write(note);
  const { append, receive } = one.store;
  // The disk takes in what the server hands back, and not what memory would bring home.
  Object.assign(one.store, { append: full, receive: (...all: Parameters<typeof receive>) => (all[1] === null ? full() : receive.apply(one.store, all)) });
  await log.write(note);
  await exchange(log, server, () => one.clock);
  expect(log.onlyInMemory).toBe(0);
  Object.assign(one.store, { append, receive });
  // The app died here.
  const again = await started(one);
  expect((await again.write(note)).seq).toBe(3);
  expect(check(again.entries.map(({ entry }) => entry))).toEqual([]);
});
