// The deck is not kept from the water: somebody else is asked for until the holder is back aboard.
import { expect, test } from "vitest";
import { accepting, holders } from "../../src/kernel/boatlog/deckwatch.ts";
import { holderIsOut, inWater } from "../../src/screens/deck/acting.ts";
import type { Names } from "../../src/screens/deck/frame.tsx";
import { refused } from "../../src/screens/deck/refusals.ts";
import { mustHandOver } from "../../src/screens/deck/team_row.tsx";
import type { Deck } from "../../src/screens/deck/use_trip.ts";
import { keepsDeck } from "../../src/screens/deck/watch.ts";
import { ANA, BEN, CLEO, DIVE, phone, START, TEAM } from "../sync/boat.ts";

test("a holder who swims or is lost from sight is out until back aboard", async () => {
  const { log } = await phone(46);
  let minute = 0;
  const say = async (kind: string, subject: string, data: object = {}) => {
    await log.write({ by: CLEO, kind, subject, at: START + (minute += 1) * 60_000, data });
    return log.view(START + minute * 60_000);
  };
  let seen = await say("deck_accepted", CLEO, { from: null });
  expect(holderIsOut(seen)).toBe(false);
  seen = await say("down", TEAM, { dive: DIVE, members: [ANA, BEN] });
  expect([holderIsOut(seen), inWater(seen)]).toEqual([false, [ANA, BEN]]);
  for (const kind of ["person_went_in", "seen_at_surface", "lost_from_sight"]) {
    seen = await say(kind, CLEO);
    expect([kind, holderIsOut(seen)]).toEqual([kind, true]);
  }
  seen = await say("back_aboard", CLEO);
  expect(holderIsOut(seen)).toBe(false);
});

test("two who took the deck on phones that had not met: either team waits for one tap, and that ends it", async () => {
  const [here, there] = [await phone(46), await phone(47)];
  const take = (on: typeof here, person: string) => on.log.write({ by: person, kind: "deck_accepted", subject: person, data: { ...accepting(on.log.state, null) } });
  const shown = () => ({ log: here.log, view: here.log.view(START), boat: null }) as unknown as Deck;
  await take(here, CLEO);
  await take(there, BEN);
  await here.log.receive(there.log.entries.map((one) => ({ ...one, sent: 1 as const })), null);
  expect([...holders(here.log.state)].sort()).toEqual([BEN, CLEO].sort());
  expect([mustHandOver(shown(), TEAM), refused(shown(), {} as Names, TEAM)]).toEqual([true, null]);
  await take(here, CLEO);
  expect([mustHandOver(shown(), TEAM), refused(shown(), {} as Names, TEAM)]).toEqual([false, null]);
  await take(there, ANA);
  expect([...holders(there.log.state)]).toEqual([ANA]);
});

test("the deck is kept by the phone on which it was last taken, though the one before is an hour fast", async () => {
  const [fast, right] = [await phone(46, 60 * 60_000), await phone(47)];
  const take = (on: typeof fast) => on.log.write({ by: CLEO, kind: "deck_accepted", subject: CLEO, data: { ...accepting(on.log.state, null) } });
  const hand = (to: typeof fast, from: typeof fast) => to.log.receive(from.log.entries.map((one) => ({ ...one, sent: 1 as const })), null);
  await take(fast);
  await hand(right, fast);
  await take(right);
  await hand(fast, right);
  expect([keepsDeck({ log: fast.log, boat: null }), keepsDeck({ log: right.log, boat: null })]).toEqual([false, true]);
});
