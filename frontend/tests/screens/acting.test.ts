// The deck is not kept from the water: somebody else is asked for until the holder is back aboard.
import { expect, test } from "vitest";
import { holderIsOut, inWater } from "../../src/screens/deck/acting.ts";
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
