// Rounds in which one part of the phone or the server fails for good: what was written is handed in all the same.
import { expect, test } from "vitest";
import { Keeper } from "../../src/store/keeper.ts";
import { TripLog } from "../../src/store/trip_log.ts";
import { exchange } from "../../src/sync/exchange.ts";
import { SyncLoop } from "../../src/sync/loop.ts";
import { Problem, Unreachable } from "../../src/sync/server.ts";
import { ANA, phone, Server, TRIP } from "./boat.ts";

const note = { by: ANA, kind: "note", subject: TRIP };

test("a phone whose key signs nothing any more hands in its entries without a signature", async () => {
  const [one, server] = [await phone(51), new Server()];
  const { publicKey } = await crypto.subtle.generateKey({ name: "ECDSA", namedCurve: "P-256" }, false, ["sign", "verify"]);
  // What a phone that lost its key store hands back: a key object that signs nothing.
  await one.store.putTrip((await one.store.snapshot(TRIP))!, (await one.store.names(TRIP))!, { ...one.log.device!, key: publicKey });
  const log = (await TripLog.open(new Keeper(async () => one.store, (work) => work()), TRIP, { now: () => one.clock, random: (bytes) => crypto.getRandomValues(new Uint8Array(bytes)) }))!;
  await log.write(note);
  await exchange(log, server, () => one.clock);
  expect([server.kept.length, log.onlyHere]).toEqual([1, 0]);
});

test("a server that cannot read its log out still gets what this phone wrote", async () => {
  const [one, server] = [await phone(51), new Server()];
  server.get = () => Promise.reject(new Problem(500, "The server made a mistake.", ""));
  await one.log.write(note);
  await expect(exchange(one.log, server, () => one.clock)).rejects.toBeInstanceOf(Problem);
  expect([server.kept.length, one.log.onlyHere]).toEqual([1, 0]);
});

test("a server that refuses every question is asked once a round", async () => {
  const [one, server] = [await phone(51), new Server()];
  let asked = 0;
  server.get = server.post = () => ((asked += 1), Promise.reject(new Problem(401, "Please sign in.", "")));
  await one.log.write(note);
  await expect(exchange(one.log, server, () => one.clock)).rejects.toMatchObject({ status: 401 });
  expect(asked).toBe(1);
});

test("a loop that was stopped in the middle of a round plans no other", async () => {
  const [one, server] = [await phone(51), new Server()];
  let planned: (() => void) | null = null;
  const after = (_ms: number, work: () => void) => {
    planned = work;
    return () => (planned = null);
  };
  const loop = new SyncLoop(one.log, server, { now: () => one.clock, random: () => 0.5, awake: () => true, after }, () => {});
  let answer = (_: unknown) => {};
  server.get = () => new Promise((_, fail) => (answer = fail));
  (planned as unknown as () => void)();
  await new Promise((done) => setTimeout(done, 5));
  loop.stop();
  answer(new Unreachable());
  await new Promise((done) => setTimeout(done, 5));
  expect([loop.state, planned]).toEqual(["no_network", null]);
});

test("a line that carries no long message carries a shorter one after a few tries", async () => {
  const [one, server] = [await phone(51), new Server()];
  server.now = () => one.clock;
  for (let n = 0; n < 150; n += 1) await one.log.write(note);
  const whole = server.post.bind(server);
  server.post = (path, body, options) => ((body["entries"] as unknown[]).length > 40 ? Promise.reject(new Unreachable()) : whole(path, body, options));
  let planned: (() => void) | null = null;
  const after = (_ms: number, work: () => void) => {
    planned = work;
    return () => {};
  };
  const loop = new SyncLoop(one.log, server, { now: () => one.clock, random: () => 0.5, awake: () => true, after }, () => {});
  for (let n = 0; n < 6; n += 1) {
    const work = planned as unknown as () => void;
    planned = null;
    work();
    while (planned === null) await new Promise((done) => setTimeout(done, 0));
  }
  loop.stop();
  expect([server.kept.filter(({ kind }) => kind === "note").length, one.log.onlyHere, loop.state]).toEqual([150, 0, "in_step"]);
});
