import { describe, expect, test, vi } from "vitest";
import { check } from "../../src/kernel/boatlog/chain.ts";
import { Keeper } from "../../src/store/keeper.ts";
import { TripLog } from "../../src/store/trip_log.ts";
import { BATCH, exchange, type Wire } from "../../src/sync/exchange.ts";
import { Problem, Unreachable } from "../../src/sync/server.ts";
import { ANA, BEN, CLEO, DIVE, id, phone, Server, START, TEAM, TRIP, type Phone } from "./boat.ts";

const round = (one: Phone, server: Server) => exchange(one.log, server, () => one.clock);

async function wholeDive(one: Phone): Promise<void> {
  const { log } = one;
  await log.write({ by: ANA, kind: "deck_accepted", subject: CLEO, data: { from: null } });
  await log.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
  one.clock += 30 * 60_000;
  await log.write({ by: CLEO, kind: "surfaced_alone", subject: BEN, data: { team: TEAM, dive: DIVE } });
  await log.write({ by: CLEO, kind: "surfaced", subject: TEAM, data: { dive: DIVE, people: [ANA] } });
  await log.write({ by: CLEO, kind: "back_aboard", subject: ANA });
  await log.write({ by: CLEO, kind: "back_aboard", subject: BEN });
}

describe("what was written with no network", () => {
  test("arrives once, in one unbroken chain, and the phone then knows that it did", async () => {
    const [one, server] = [await phone(51), new Server()];
    await wholeDive(one);
    expect(one.log.onlyHere).toBe(6);
    await round(one, server);
    expect(server.kept.map((entry) => entry.seq)).toEqual([1, 2, 3, 4, 5, 6]);
    expect(check(server.kept)).toEqual([]);
    expect(one.log.onlyHere).toBe(0);
    await round(one, server);
    expect(server.kept).toHaveLength(6);
  });

  test("arrives once when answers are lost after the server took the entries", async () => {
    const [one, server] = [await phone(51), new Server()];
    await wholeDive(one);
    await round(one, server).catch(() => {});
    server.kept = server.kept.slice(0, 0);
    const again = await phone(52);
    await wholeDive(again);
    let failures = 0;
    for (let turn = 0; turn < 12; turn += 1) {
      server.loseAfter = turn % 3 === 2 ? 0 : 1;
      server.loseBefore = turn % 4 === 1 ? 1 : 0;
      await round(again, server).catch((error: unknown) => {
        expect(error).toBeInstanceOf(Unreachable);
        failures += 1;
      });
    }
    server.loseAfter = server.loseBefore = 0;
    await round(again, server);
    expect(failures).toBeGreaterThan(3);
    const ids = server.kept.filter((entry) => entry.device === id(52)).map((entry) => entry.id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids).toHaveLength(6);
  });

  test("more than one batch is offered until nothing is left", async () => {
    const [one, server] = [await phone(51), new Server()];
    for (let n = 0; n < BATCH + 30; n += 1) await one.log.write({ by: null, kind: "note", subject: TRIP });
    await round(one, server);
    expect(server.kept).toHaveLength(BATCH + 30);
    expect(one.log.onlyHere).toBe(0);
  });

  test("carries its texts beside it", async () => {
    const [one, two, server] = [await phone(51), await phone(52), new Server()];
    const joined = await one.log.write({ by: ANA, kind: "joined", subject: id(14), data: { role: "guest", dives: false, can_lead: false }, text: "Dov Lane" });
    expect(JSON.stringify(joined)).not.toContain("Dov");
    await round(one, server);
    await round(two, server);
    expect(two.log.name(id(14))).toBe("Dov Lane");
  });
});

test("two phones that never met end with the same entries and the same deck", async () => {
  const [one, two, server] = [await phone(51), await phone(52), new Server()];
  await wholeDive(one);
  two.clock = one.clock + 5_000;
  await two.log.write({ by: ANA, kind: "depth_reported", subject: ANA, data: { dive: DIVE, depth: { unit: "m", hundredths: 1750 } } });
  for (const each of [one, two, one]) await round(each, server);
  const ids = (each: Phone) => each.log.entries.map((stored) => stored.id).sort();
  expect(ids(one)).toEqual(ids(two));
  expect(ids(one)).toHaveLength(7);
  const now = one.clock + 60_000;
  expect(one.log.view(now)).toEqual(two.log.view(now));
  expect(one.log.view(now).teams[TEAM]?.status).toBe("aboard");
  // What was written after reading is stamped later than all that was read, even by a phone whose own clock is behind.
  two.clock = START;
  const late = await two.log.write({ by: ANA, kind: "note", subject: TRIP });
  for (const { entry } of one.log.entries) expect(late.clock.ms > entry.clock.ms || (late.clock.ms === entry.clock.ms && late.clock.n > entry.clock.n)).toBe(true);
});

test("a server restored from an old backup gets everything again", async () => {
  const [one, two, server] = [await phone(51), await phone(52), new Server()];
  await wholeDive(one);
  await round(one, server);
  await round(two, server);
  server.kept = server.kept.slice(0, 2);
  server.epoch = id(902);
  await round(two, server);
  expect(new Set(server.kept.map((entry) => entry.id)).size).toBe(6);
  expect(server.kept).toHaveLength(6);
  await round(one, server);
  expect(server.kept).toHaveLength(6);
  expect(one.log.onlyHere + two.log.onlyHere).toBe(0);
});

test("two windows that meet a restored server at once leave nothing out", async () => {
  const [one, two, three, server] = [await phone(51), await phone(52), await phone(53), new Server()];
  await wholeDive(two);
  await round(two, server);
  await round(one, server);
  await wholeDive(three);
  // In another order than before, as the phones came: the places that this phone knows are those of the old epoch.
  server.kept = [...three.log.entries, ...two.log.entries].map(({ entry }) => entry);
  server.epoch = id(902);
  const other = (await TripLog.open(new Keeper(async () => one.store, (work) => work()), TRIP, { now: () => one.clock, random: (bytes) => new Uint8Array(bytes) }))!;
  // The second window has its answer, and takes it in between two pages of the first.
  let goOn = (): void => {};
  const between = new Promise<void>((done) => (goOn = done));
  const late: Wire = {
    post: (...asked) => server.post(...asked),
    get: async <T>(...asked: Parameters<Wire["get"]>) => {
      const answer = await server.get<T>(...asked);
      await between;
      return answer;
    },
  };
  const twoAtATime: Wire = { post: (...asked) => server.post(...asked), get: (path, options) => server.get(path.replace(/limit=\d+/, "limit=2"), options) };
  const second = exchange(other, late, () => one.clock);
  const { receive } = one.store;
  one.store.receive = async (...all) => {
    const fresh = await receive.apply(one.store, all);
    if (all[1]?.after === 2) {
      goOn();
      await second;
    }
    return fresh;
  };
  const first = exchange(one.log, twoAtATime, () => one.clock);
  await Promise.all([first, second]);
  expect(new Set((await one.store.entries(TRIP)).map((stored) => stored.id))).toEqual(new Set(server.kept.map((entry) => entry.id)));
});

test("an entry that the server refuses stays on the phone, is shown as such, and does not hold up the rest", async () => {
  const [one, server] = [await phone(51), new Server()];
  await wholeDive(one);
  server.refuse = (entry) => entry.seq === 2;
  await round(one, server);
  expect(server.kept).toHaveLength(5);
  expect(one.log.refused).toBe(1);
  expect(one.log.onlyHere).toBe(1);
  const before = server.requests;
  await round(one, server);
  expect(server.requests).toBe(before + 1);
  expect(one.log.entries).toHaveLength(6);
});

test("a phone taken off the trip hands in what it wrote before it knew, and is told", async () => {
  const [one, server] = [await phone(51), new Server()];
  await wholeDive(one);
  server.takenOff.add("token 51");
  await expect(round(one, server)).rejects.toBeInstanceOf(Problem);
  expect(server.kept).toHaveLength(6);
  expect(one.log.onlyHere).toBe(0);
  // A server set back to a backup lacks what it once confirmed: the phone that reads nothing hears of it all the same.
  server.kept = server.kept.slice(0, 2);
  server.epoch = id(902);
  await expect(round(one, server)).rejects.toBeInstanceOf(Problem);
  expect(server.kept).toHaveLength(6);
});

test("with the disk full, what only memory holds is handed in, and comes home later as handed in", async () => {
  const [one, server] = [await phone(51), new Server()];
  await one.log.write({ by: ANA, kind: "deck_accepted", subject: CLEO, data: { from: null } });
  await round(one, server);
  await one.log.write({ by: ANA, kind: "note", subject: TRIP });
  const other = await phone(52);
  await other.log.write({ by: ANA, kind: "note", subject: TRIP });
  await round(other, server);
  const full = () => Promise.reject(new DOMException("", "QuotaExceededError"));
  const ordinary = { append: one.store.append, receive: one.store.receive, mark: one.store.mark };
  Object.assign(one.store, { append: full, receive: full, mark: full });
  vi.spyOn(console, "error").mockImplementation(() => {});
  await one.log.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
  expect(one.log.onlyInMemory).toBe(1);
  await expect(round(one, server)).rejects.toThrow();
  expect(server.kept.map(({ kind, device }) => [kind, device === id(51)])).toEqual([["deck_accepted", true], ["note", false], ["down", true], ["note", true]]);
  // The disk could not note that it was handed in: that is offered again.
  expect([one.log.onlyInMemory, one.log.onlyHere]).toEqual([0, 1]);
  Object.assign(one.store, ordinary);
  await round(one, server);
  expect([...(await one.store.entries(TRIP))].map(({ entry, sent }) => [entry.kind, sent]).sort()).toEqual([["deck_accepted", 1], ["down", 1], ["note", 1], ["note", 1]]);
  expect(check((await one.store.entries(TRIP)).map(({ entry }) => entry).filter(({ device }) => device === id(51)))).toEqual([]);
});

test("one entry that the server chokes on does not keep the others of its batch on the phone, and is offered again", async () => {
  const [one, server] = [await phone(51), new Server()];
  await wholeDive(one);
  server.chokes = (entry) => entry.seq === 3;
  await expect(round(one, server)).rejects.toThrow("made a mistake");
  expect(server.kept.map(({ seq }) => seq)).toEqual([1, 2, 4, 5, 6]);
  expect([one.log.onlyHere, one.log.refused]).toEqual([1, 0]);
  server.chokes = () => false;
  await round(one, server);
  expect([server.kept.length, one.log.onlyHere]).toEqual([6, 0]);
});

test("an app closed for three days hands in what it wrote, and nothing of it has moved", async () => {
  const [one, server] = [await phone(51), new Server()];
  await wholeDive(one);
  const written = one.log.entries.map(({ entry }) => entry.at);
  const later = one.clock + 3 * 24 * 3_600_000;
  const again = (await TripLog.open(new Keeper(async () => one.store, (work) => work()), TRIP, { now: () => later, random: (bytes) => crypto.getRandomValues(new Uint8Array(bytes)) }))!;
  server.now = () => later;
  await exchange(again, server, () => later);
  expect(server.kept.map(({ at }) => at)).toEqual(written);
  const note = await again.write({ by: ANA, kind: "note", subject: TRIP });
  await exchange(again, server, () => later);
  expect(check(server.kept)).toEqual([]);
  expect(note.seq).toBe(7);
});

test("nothing new is nothing to write: a round that brings none leaves the disk alone", async () => {
  const [one, server] = [await phone(51), new Server()];
  await wholeDive(one);
  await round(one, server);
  let writes = 0;
  const ordinary = one.store.receive.bind(one.store);
  one.store.receive = (...args) => ((writes += 1), ordinary(...args));
  await round(one, server);
  expect(writes).toBe(0);
});

test("the offset between the phone's clock and the server's is measured with its uncertainty", async () => {
  const [one, server] = [await phone(51), new Server()];
  server.now = () => one.clock + 3_600_000;
  let ticks = 0;
  const offset = await exchange(one.log, server, () => one.clock + (ticks += 40));
  expect(offset).not.toBeNull();
  expect(Math.abs((offset?.offset_ms ?? 0) - 3_600_000)).toBeLessThanOrEqual(200);
  expect(offset?.error_ms).toBeGreaterThanOrEqual(20);
});
