import { expect, test } from "vitest";
import { SyncLoop } from "../../src/sync/loop.ts";
import { ownOffset } from "../../src/sync/own_clock.ts";
import { ANA, phone, Server, TRIP, type Phone } from "./boat.ts";

/** Time that moves only when told: what the loop plans is run by hand. */
class Hands {
  planned: { at: number; work: () => void } | null = null;
  waits: number[] = [];
  awake = true;
  constructor(readonly one: Phone) {}
  world = {
    now: () => this.one.clock,
    random: () => 0.5,
    awake: () => this.awake,
    after: (ms: number, work: () => void) => {
      const mine = { at: this.one.clock + ms, work };
      this.planned = mine;
      this.waits.push(ms);
      return () => {
        if (this.planned === mine) this.planned = null;
      };
    },
  };
  async next(): Promise<void> {
    const due = this.planned;
    this.planned = null;
    if (due === null) throw new Error("nothing is planned");
    this.one.clock = Math.max(this.one.clock, due.at);
    due.work();
    for (let n = 0; n < 200 && this.planned === null; n += 1) await new Promise((done) => setTimeout(done, 0));
  }
}

test("waits double while nothing answers, up to two minutes, and are short again once it does", async () => {
  const one = await phone(51);
  const [hands, server] = [new Hands(one), new Server()];
  server.loseBefore = 8;
  const loop = new SyncLoop(one.log, server, hands.world, () => {});
  await one.log.write({ by: ANA, kind: "note", subject: TRIP });
  for (let n = 0; n < 8; n += 1) await hands.next();
  expect(loop.state).toBe("no_network");
  const waits = hands.waits.slice(-8);
  expect(waits.slice(0, 4)).toEqual([10_000, 20_000, 40_000, 80_000]);
  expect(Math.max(...waits)).toBe(120_000);
  await hands.next();
  expect(loop.state).toBe("in_step");
  expect(hands.waits.at(-1)).toBeLessThanOrEqual(5_000);
  expect(server.kept.length).toBeGreaterThanOrEqual(1);
  loop.stop();
});

test("the spread keeps ten phones from calling together", async () => {
  const one = await phone(51);
  const hands = new Hands(one);
  const draws = [0, 0.999];
  const loop = new SyncLoop(one.log, new Server(), { ...hands.world, random: () => draws.shift() ?? 0.5 }, () => {});
  expect([loop.wait(), loop.wait()].map(Math.round)).toEqual([3500, 6497]);
  loop.stop();
});

test("asks nothing while the page is out of sight or offline, and at once when it is back", async () => {
  const one = await phone(51);
  const [hands, server] = [new Hands(one), new Server()];
  hands.awake = false;
  const loop = new SyncLoop(one.log, server, hands.world, () => {});
  await hands.next();
  await hands.next();
  expect(server.requests).toBe(0);
  hands.awake = true;
  loop.nudge();
  expect(hands.waits.at(-1)).toBe(0);
  await hands.next();
  expect(server.requests).toBeGreaterThan(0);
  loop.stop();
});

test("a phone that was taken off the trip says so, and hands in what it writes all the same", async () => {
  const one = await phone(51);
  const [hands, server] = [new Hands(one), new Server()];
  server.takenOff.add("token 51");
  const loop = new SyncLoop(one.log, server, hands.world, () => {});
  await one.log.write({ by: ANA, kind: "note", subject: TRIP });
  await hands.next();
  expect(loop.state).toBe("taken_off");
  expect([server.kept.length, one.log.onlyHere]).toEqual([1, 0]);
  server.takenOff.clear();
  await hands.next();
  expect(loop.state).toBe("in_step");
  loop.stop();
});

test("a write is sent within the second, and the clock's offset is written down once, not at every round", async () => {
  const one = await phone(51);
  const [hands, server] = [new Hands(one), new Server()];
  server.now = () => one.clock + 1_800_000;
  const loop = new SyncLoop(one.log, server, hands.world, () => {});
  await hands.next();
  await hands.next();
  await one.log.write({ by: ANA, kind: "note", subject: TRIP });
  expect(hands.waits.at(-1)).toBeLessThan(1000);
  for (let n = 0; n < 6; n += 1) await hands.next();
  expect(one.log.onlyHere).toBe(0);
  expect(Math.abs((ownOffset(one.log)?.offset_ms ?? 0) - 1_800_000)).toBeLessThan(2_000);
  const noted = () => one.log.entries.filter(({ entry }) => entry.kind === "clock_compared").length;
  expect(noted()).toBe(1);
  server.now = () => one.clock;
  for (let n = 0; n < 4; n += 1) await hands.next();
  expect(noted()).toBe(2);
  loop.stop();
});
