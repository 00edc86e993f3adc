import { writeFileSync } from "node:fs";
import { beforeAll, expect, test, vi } from "vitest";
import type { Entry } from "../../src/kernel/boatlog/entries.ts";
import type { SnapshotBody } from "../../src/kernel/boatlog/snapshot.ts";
import { server as real } from "../../src/sync/server.ts";
import { id, Server, SNAPSHOT } from "./boat.ts";
import { sail, seeded, Tally, type Enrolled } from "./phones.ts";

// What the store says of a disk that fails is asked for here a thousand times.
beforeAll(() => void vi.spyOn(console, "error").mockImplementation(() => {}));

const long = process.env["TEAMDIVE_LONG"] !== undefined;
const COUNT = Number(process.env["TEAMDIVE_SCHEDULES"] ?? (long ? 3000 : 100));
const FIRST = process.env["TEAMDIVE_FIRST"] !== undefined ? Number(process.env["TEAMDIVE_FIRST"]) : long ? Math.floor(Math.random() * 2 ** 31) : 1;

test.runIf(COUNT > 0)(`in ${COUNT} schedules of two to ten phones nothing acknowledged is lost and all end alike`, { timeout: 3_600_000 }, async () => {
  const tally = new Tally();
  if (long) console.log(`first seed ${FIRST}`);
  for (let seed = FIRST; seed < FIRST + COUNT; seed += 1) {
    const server = new Server();
    const size = 2 + Math.floor(seeded(seed + 77)() * 9);
    const phones = Array.from({ length: size }, (_, n) => ({ device: id(51 + n), token: `token ${51 + n}` }));
    let epochs = 901;
    const world = {
      snapshot: SNAPSHOT,
      phones,
      wire: server,
      held: async () => server.kept,
      restore: () => {
        server.kept = server.kept.slice(0, Math.floor(server.kept.length / 2));
        server.epoch = id((epochs += 1));
        tally.count("restored");
      },
      takeOff: (phone: Enrolled) => {
        server.takenOff.add(phone.token);
        tally.count("taken off");
      },
      steps: 60,
    };
    await sail(seed, world, tally).catch((error: unknown) => {
      throw new Error(`schedule ${seed}: ${String(error)}`, { cause: error });
    });
  }
  // The schedules are worth something only where all of it happened.
  for (const what of ["asked", "answer", "late", "half", "twice", "crash", "met", "restored", "taken off", "other window"]) expect(tally.counts[what], what).toBeGreaterThan(COUNT / 10);
  expect(tally.counts["acknowledged"]).toBeGreaterThan(10 * COUNT);
  console.log(JSON.stringify(tally.counts));
});

// tests/faults/test_phones.py runs this against a real server: its address, the trip and the phones that it enrolled.
const told = process.env["TEAMDIVE_PHONES"];

test.runIf(told !== undefined)("ten phones against the server itself", { timeout: 600_000 }, async () => {
  const { url, snapshot, phones, steps, seed, found } = JSON.parse(told!) as {
    url: string;
    snapshot: SnapshotBody;
    phones: Enrolled[];
    steps: number;
    seed: number;
    found: string;
  };
  const ask = globalThis.fetch;
  globalThis.fetch = (path, init) => ask(new URL(String(path), url), init);
  const tally = new Tally();
  const held = async () => {
    const all: Entry[] = [];
    for (;;) {
      const path = `/api/trips/${snapshot.trip}/entries?after=${all.length}&limit=500`;
      const page = await real.get<{ entries: { entry: Entry }[] }>(path, { device: phones[0]!.token });
      if (page.entries.length === 0) return all;
      all.push(...page.entries.map(({ entry }) => entry));
    }
  };
  const world = { snapshot, phones, wire: real, held, restore: null, takeOff: null, steps };
  const { held: log, forgotten } = await sail(seed, world, tally);
  writeFileSync(found, JSON.stringify({ ids: log.map((entry) => entry.id), forgotten: [...forgotten], counts: tally.counts }));
});
