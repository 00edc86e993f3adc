// What is read out for a diver who is not well. From memory: an urgency message says who, where, what, what is asked for, how
// many people; a doctor asks for dives, gas, oxygen and since when. No figure or word of a diagnosis.
import { expect, test } from "vitest";
import { careWords, isCaredFor } from "../../src/screens/deck/care_words.ts";
import { ANA, BEN, CLEO, DIVE, phone, START, TEAM } from "../sync/boat.ts";

const MIN = 60_000;

test("dives, gas and oxygen as entered; what nobody entered is said to be unknown", async () => {
  const boat = await phone(44);
  const { log } = boat;
  const say = (kind: string, subject: string, at: number, data: object = {}) => log.write({ by: CLEO, kind, subject, at: START + at * MIN, data });
  const seen = () => log.view(START + 120 * MIN);
  await say("deck_accepted", CLEO, 1, { from: null });
  await say("down", TEAM, 10, { dive: DIVE, members: [ANA, BEN] });
  await say("surfaced", TEAM, 35, { dive: DIVE, people: [ANA, BEN] });
  for (const each of [ANA, BEN, CLEO]) await say("back_aboard", each, 38);
  expect(isCaredFor(seen(), ANA)).toBe(false);
  await say("symptoms_asked", ANA, 45, { dive: DIVE, after_min: 10, said: "not_well" });
  expect([isCaredFor(seen(), ANA), isCaredFor(seen(), BEN)]).toEqual([true, false]);
  const read = () => careWords(log.state, seen(), ANA, "Maré", "QQ1234", null);
  expect(read()).toEqual([
    "PAN PAN, PAN PAN, PAN PAN.",
    "This is Maré, Maré, Maré, call sign QQ1234.",
    "My position: read it from the plotter.",
    "The diver is not well after the dive.",
    "I need medical advice.",
    "Dives on this trip: 1.",
    "Dive 1: down at 08:10 UTC, up at 08:35 UTC, deepest not known. Gas not known.",
    "No oxygen given yet.",
    "Now say how the diver feels, where, and since when.",
    "3 people in all: 3 aboard, 0 in the water.",
    "Over.",
  ]);
  await say("ascended_too_fast", ANA, 46, { dive: DIVE });
  await say("depth_reported", BEN, 47, { dive: DIVE, depth: { unit: "m", hundredths: 1810 }, from: "instrument" });
  await say("gas_checked", ANA, 5, { cylinder: "7", pressure: { unit: "bar", value: 200 }, o2_pm: 320, analysed_by: ANA });
  await say("oxygen_started", ANA, 50, { flow_l_min: 10 });
  const here = { lat_e6: 38_601_234, lon_e6: -28_700_000, accuracy_m: 12 };
  const lines = careWords(log.state, seen(), ANA, "Maré", "", here);
  expect(lines).toContain("My position: 38 degrees 36.074 minutes North, 028 degrees 42.000 minutes West, within 12 metres.");
  expect(lines).toContain("The diver came up too fast.");
  expect(lines).toContain("Dive 1: down at 08:10 UTC, up at 08:35 UTC, deepest 19 metres. 32 per cent oxygen.");
  expect(lines).toContain("On oxygen since 08:50 UTC, 10 litres a minute.");
  await say("oxygen_stopped", ANA, 70);
  expect(read()).toContain("Oxygen from 08:50 UTC to 09:10 UTC.");
  // In the water she would be looked for, not cared for.
  await say("person_went_in", ANA, 80);
  expect(isCaredFor(seen(), ANA)).toBe(false);
});
