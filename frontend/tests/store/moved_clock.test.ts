// A clock that is set by hand in the middle of a trip: noticed against a steady one, written down before anything else.
import { expect, test } from "vitest";
import { Keeper } from "../../src/store/keeper.ts";
import { Steady } from "../../src/store/steady.ts";
import { TripLog, type Seen } from "../../src/store/trip_log.ts";
import { asleepAsked } from "../../src/screens/deck/asleep.ts";
import { noteOffset, readOffPhone } from "../../src/sync/own_clock.ts";
import { ANA, BEN, CLEO, DIVE, id, phone, START, TEAM, TRIP, type Phone } from "../sync/boat.ts";

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;

/** True time with a wall clock that hands set, a steady one that stands still in sleep, and a page in sight or not. */
class Hands {
  time = START;
  set = 0;
  slept = 0;
  hidden = 0;
  seen = new Map<string, Seen>();
  clocks = { wall: () => this.time + this.set, steady: () => this.time - START - this.slept, hides: () => this.hidden };
  machine = (n: number) => ({
    now: this.clocks.wall,
    random: (bytes: number) => Uint8Array.from({ length: bytes }, (_, i) => (n * 37 + i * 11 + (this.drawn += 1)) % 256),
    clocks: this.clocks,
    seen: { read: (trip: string) => this.seen.get(trip) ?? null, keep: (trip: string, seen: Seen) => void this.seen.set(trip, seen) },
  });
  private drawn = 0;
}

async function aboard(hands: Hands, device = 41): Promise<{ log: TripLog; again: () => Promise<TripLog> }> {
  const { store } = await phone(device);
  const again = async () => (await TripLog.open(new Keeper(async () => store, (work) => work()), TRIP, hands.machine(device)))!;
  return { log: await again(), again };
}

const down = (log: TripLog) => log.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
const up = (log: TripLog) => log.write({ by: CLEO, kind: "surfaced", subject: TEAM, data: { dive: DIVE, people: [ANA, BEN] } });
const dive = (log: TripLog) => log.view(START + 3 * HOUR).people[ANA]!.dives_done[0]!;
const steps = (log: TripLog) => log.entries.filter(({ entry }) => entry.data["how"] === "step");

test("back an hour while the page is in sight: the times stay right to a second, and so does what is due", async () => {
  const hands = new Hands();
  const { log } = await aboard(hands);
  await down(log);
  const due = log.view(START).teams[TEAM]!.due_at;
  [hands.time, hands.set] = [START + 26 * MINUTE, -HOUR];
  await log.lookAtClock();
  expect(Math.abs(log.reckoned(hands.clocks.wall()) - hands.time)).toBeLessThanOrEqual(log.unsureMs);
  expect(log.view(hands.time).teams[TEAM]!.due_at).toBe(due);
  await up(log);
  expect(dive(log).bottom_time_s).toEqual([26 * 60 - 1, 26 * 60 + 1]);
  expect(steps(log)).toHaveLength(2);
});

test("forward while in sight: moved or slept, so both are kept: the time under water is not less, the wait not more", async () => {
  const hands = new Hands();
  const { log } = await aboard(hands);
  await down(log);
  hands.time = START + 26 * MINUTE;
  await up(log);
  [hands.time, hands.set] = [START + 40 * MINUTE, HOUR];
  await log.lookAtClock();
  expect(dive(log).bottom_time_s).toEqual([26 * 60, 26 * 60]);
  const latest = log.reckoned(hands.clocks.wall()) + log.unsureMs;
  const earliest = log.reckoned(hands.clocks.wall()) - log.unsureMs;
  expect(earliest).toBeLessThanOrEqual(hands.time);
  expect(latest).toBeGreaterThanOrEqual(hands.time);
  expect(log.unsureMs).toBeGreaterThan(29 * MINUTE);
});

test("a sleep out of sight is no jump, nor is a second", async () => {
  const hands = new Hands();
  const { log } = await aboard(hands);
  await down(log);
  Object.assign(hands, { time: START + 20 * MINUTE, slept: 19 * MINUTE, hidden: 2 });
  await log.lookAtClock();
  hands.set = -900;
  await log.lookAtClock();
  expect(steps(log)).toEqual([]);
  hands.set = -900 - 5 * MINUTE;
  await up(log);
  expect(dive(log).bottom_time_s![1]).toBeGreaterThanOrEqual(20 * 60);
  expect(dive(log).bottom_time_s![0]).toBeGreaterThanOrEqual(20 * 60 - 3);
});

test("set back while the app was closed: noticed when it opens, doubted by as much again", async () => {
  const hands = new Hands();
  const { log, again } = await aboard(hands);
  await down(log);
  hands.time = START + 10 * MINUTE;
  await log.lookAtClock();
  [hands.time, hands.set] = [START + 25 * MINUTE, -HOUR];
  const opened = await again();
  await up(opened);
  expect(dive(opened).bottom_time_s![1]).toBeGreaterThanOrEqual(25 * 60);
  expect(opened.unsureMs).toBeGreaterThan(44 * MINUTE);
  expect(steps(await again())).toHaveLength(2);
});

test("set forward while it sleeps looks like the sleep: nothing is written, and waits leave that time out until somebody says", async () => {
  const hands = new Hands();
  const { log, again } = await aboard(hands);
  await down(log);
  hands.time = START + 30 * MINUTE;
  await up(log);
  // In a pocket for ten minutes, and set forward by an hour meanwhile.
  Object.assign(hands, { time: START + 40 * MINUTE, slept: 9 * MINUTE, set: HOUR, hidden: 2 });
  await log.lookAtClock();
  expect(steps(log)).toEqual([]);
  expect(log.asleepMs).toBe(9 * MINUTE + HOUR);
  const asked = asleepAsked(log, log.view(log.reckoned(hands.clocks.wall())), hands.clocks.wall());
  const surfaced = log.view(hands.time).people[ANA]!.surfaced_at![1];
  // The truth is ten minutes: the wait must not count an hour more.
  expect(log.reckoned(hands.clocks.wall()) - asked - surfaced).toBeLessThanOrEqual(10 * MINUTE);
  // Kept over a closed app, and until somebody says.
  await log.lookAtClock();
  expect((await again()).asleepMs).toBe(9 * MINUTE + HOUR);
  // "No": what it can be is written, what came before stays sure, and what comes now is doubted.
  await log.clockWasSet();
  expect(log.asleepMs).toBe(0);
  const [earliest, latest] = [log.reckoned(hands.clocks.wall()) - log.unsureMs, log.reckoned(hands.clocks.wall()) + log.unsureMs];
  expect([earliest <= hands.time, latest >= hands.clocks.wall()]).toEqual([true, true]);
  expect(dive(log).bottom_time_s).toEqual([30 * 60, 30 * 60]);
  expect((await again()).asleepMs).toBe(0);
});

test("a sleep that somebody vouches for, or another clock, is one: the waits count on", async () => {
  const hands = new Hands();
  const { log } = await aboard(hands);
  await down(log);
  await up(log);
  const sleep = async () => {
    Object.assign(hands, { time: hands.time + 20 * MINUTE, slept: hands.slept + 20 * MINUTE, hidden: hands.hidden + 2 });
    await log.lookAtClock();
    expect(log.asleepMs).toBe(20 * MINUTE);
  };
  await sleep();
  log.clockIsRight();
  expect(log.asleepMs).toBe(0);
  await noteOffset(log, { offset_ms: 0, error_ms: 40 });
  await sleep();
  await noteOffset(log, { offset_ms: 3, error_ms: 40 });
  expect(log.asleepMs).toBe(0);
  await sleep();
  // A jump seen in sight is the phone's own word against itself: it says nothing about the sleep.
  hands.set = -HOUR;
  await log.lookAtClock();
  expect(steps(log)).toHaveLength(2);
  expect(log.asleepMs).toBe(20 * MINUTE);
});

test("nobody is asked where nothing hangs on it: a short sleep, nobody under or up since yesterday", async () => {
  const hands = new Hands();
  const { log } = await aboard(hands);
  const asked = () => asleepAsked(log, log.view(log.reckoned(hands.clocks.wall())), hands.clocks.wall());
  const sleep = async (ms: number) => {
    Object.assign(hands, { time: hands.time + ms, slept: hands.slept + ms, hidden: hands.hidden + 2 });
    await log.lookAtClock();
  };
  await sleep(HOUR);
  expect([log.asleepMs, asked()]).toEqual([HOUR, 0]);
  log.clockIsRight();
  await down(log);
  await up(log);
  await sleep(4 * MINUTE);
  expect(asked()).toBe(0);
  await sleep(MINUTE);
  expect(asked()).toBe(5 * MINUTE);
  log.clockIsRight();
  for (const person of [ANA, BEN]) await log.write({ by: CLEO, kind: "back_aboard", subject: person });
  hands.time += 30 * HOUR;
  await sleep(HOUR);
  expect(asked()).toBe(0);
});

test("two windows of one phone write one jump down once", async () => {
  const hands = new Hands();
  const { log, again } = await aboard(hands);
  const other = await again();
  [hands.time, hands.set] = [START + MINUTE, -HOUR];
  await log.lookAtClock();
  await other.lookAtClock();
  await other.reread();
  expect(steps(other)).toHaveLength(2);
});

test("a word from another window says nothing of the clock: neither a sleep nor a jump since is forgotten", async () => {
  const hands = new Hands();
  const { log, again } = await aboard(hands);
  await noteOffset(log, { offset_ms: 20_000, error_ms: 10 });
  const other = await again();
  Object.assign(hands, { time: START + HOUR, slept: HOUR - MINUTE, hidden: 2 });
  await log.lookAtClock();
  expect(log.asleepMs).toBe(HOUR - MINUTE);
  await other.write({ by: CLEO, kind: "note", subject: TRIP });
  hands.set = -20 * MINUTE;
  await log.reread();
  expect([log.asleepMs, steps(log).length]).toEqual([HOUR - MINUTE, 0]);
  await log.lookAtClock();
  expect(steps(log)).toHaveLength(2);
});

test("steadiness is measured against the log's time: a comparison is not a jump", () => {
  const hands = new Hands();
  const steady = new Steady(hands.clocks, 0);
  steady.settle(5 * MINUTE);
  expect(steady.step(5 * MINUTE)).toBeNull();
  hands.set = -2 * MINUTE;
  expect(steady.step(5 * MINUTE)).toEqual({ ms: -2 * MINUTE, awake: true });
});

test("two phones that never met a server: one reads the other's clock, and their times are one to a second", async () => {
  const [right, fast] = [await phone(41), await phone(42, HOUR)];
  const take = (to: Phone, from: Phone) => to.log.receive(from.log.entries, { trip: TRIP, epoch: null, after: 0 });
  await right.log.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
  const began = right.log.entries[0]!.entry.at;
  await take(fast, right);
  const [shown, read] = [began + 20 * MINUTE, began + 20 * MINUTE + HOUR + 700];
  fast.clock = read;
  const met = readOffPhone(fast.log, id(41), shown, read)!;
  expect(met).toMatchObject({ kind: "clock_compared", subject: id(42), data: { offset_ms: -HOUR + 300, error_ms: 1000, how: "phone", with: id(41) } });
  await fast.log.write(met);
  expect(readOffPhone(fast.log, id(41), shown + 1000, read + 1000)).toBeNull();
  fast.clock = began + 26 * MINUTE + HOUR - 1000;
  await fast.log.write({ by: CLEO, kind: "surfaced", subject: TEAM, data: { dive: DIVE, people: [ANA, BEN] } });
  await take(right, fast);
  for (const { log } of [right, fast]) {
    const [least, most] = log.view(began + 2 * HOUR).people[ANA]!.dives_done[0]!.bottom_time_s!;
    expect([least <= 26 * 60, most >= 26 * 60, most - least <= 3]).toEqual([true, true, true]);
  }
});
