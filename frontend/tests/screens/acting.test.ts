// The deck is never held from the water: somebody else is asked for, and nothing is said to be by whoever is in it.
import { expect, test } from "vitest";
import { acting, holderIsOut, inWater } from "../../src/screens/deck/acting.ts";
import { ANA, BEN, CLEO, DIVE, phone, START, TEAM } from "../sync/boat.ts";

test("a holder who swims, dives or is lost from sight taps nothing until back aboard", async () => {
  const { log } = await phone(46);
  let minute = 0;
  const say = async (kind: string, subject: string, data: object = {}) => {
    await log.write({ by: CLEO, kind, subject, at: START + (minute += 1) * 60_000, data });
    return log.view(START + minute * 60_000);
  };
  let seen = await say("deck_accepted", CLEO, { from: null });
  expect([acting(seen), holderIsOut(seen)]).toEqual([CLEO, false]);
  seen = await say("down", TEAM, { dive: DIVE, members: [ANA, BEN] });
  expect([acting(seen), inWater(seen)]).toEqual([CLEO, [ANA, BEN]]);
  for (const kind of ["person_went_in", "seen_at_surface", "lost_from_sight"]) {
    seen = await say(kind, CLEO);
    expect([kind, acting(seen), holderIsOut(seen)]).toEqual([kind, null, true]);
  }
  seen = await say("back_aboard", CLEO);
  expect([acting(seen), holderIsOut(seen)]).toEqual([CLEO, false]);
});
