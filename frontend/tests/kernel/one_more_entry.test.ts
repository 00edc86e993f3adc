// One more entry shares what it leaves as it was: the state must be that of a fold from nothing all the same.
import { expect, test } from "vitest";
import { add, begin, fold, type State } from "../../src/kernel/boatlog/fold.ts";
import { view } from "../../src/kernel/boatlog/view.ts";
import { ANA, BEN, CLEO, DIVE, phone, START, TEAM, TRIP } from "../sync/boat.ts";

const INDEXES = ["entries", "byKind", "about", "byDevice", "byId", "corrections", "compared", "aside"] as const;

test("the state grown by hundreds of entries, in any order, is that of a fold from nothing, and earlier states stay what they were", async () => {
  const boat = await phone(81);
  for (let n = 0; n < 110; n += 1) {
    boat.clock = START + n * 120_000;
    const down = await boat.log.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
    await boat.log.write({ by: CLEO, kind: "surfaced", subject: TEAM, data: { dive: DIVE, people: [ANA, BEN] } });
    await boat.log.write({ by: CLEO, kind: "back_aboard", subject: n % 2 === 0 ? ANA : BEN });
    await boat.log.write({ by: null, kind: "note", subject: TRIP });
    if (n % 10 === 3) await boat.log.write({ by: BEN, kind: "correction", subject: TEAM, corrects: down.id, data: { reason: "wrong_time", void: false, at: down.at - 60_000 } });
    if (n % 25 === 7) await boat.log.write({ by: null, kind: "clock_compared", subject: boat.log.device!.device, data: { offset_ms: 0, error_ms: 5000 } });
  }
  const entries = boat.log.entries.map(({ entry }) => entry);
  expect(entries.length).toBeGreaterThan(440);
  const { snapshot } = boat.log.state;
  const whole = fold(snapshot, entries);
  const plain = (state: State) => INDEXES.map((name) => [...state[name]].sort(([a], [b]) => (a < b ? -1 : 1)));
  for (const order of [entries, [...entries].reverse(), entries.map((_, n) => entries[(n * 113) % entries.length]!)]) {
    let state = begin(snapshot);
    const sizes: [State, number][] = [];
    for (const entry of order) {
      if (sizes.length % 50 === 0) view(state, START);
      sizes.push([state, state.entries.size]);
      state = add(state, entry);
      expect(add(state, entry)).toBe(state);
    }
    expect(plain(state)).toEqual(plain(whole));
    expect(view(state, START + 86_400_000)).toEqual(view(whole, START + 86_400_000));
    for (const [before, size] of sizes) expect([before.entries.size, [...before.entries.keys()].length]).toEqual([size, size]);
  }
});
