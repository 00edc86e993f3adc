// Oxygen minutes: litres over flow, shared. 637 L at 15 L/min is printed as 40 to 50 min by a training page (second hand).
import { expect, test } from "vitest";
import { FLOW_L_MIN, givenOxygen, oxygenEndsAt, oxygenMinutes, type Given } from "../../src/screens/deck/oxygen.ts";
import { ANA, BEN, CLEO, phone, START } from "../sync/boat.ts";

const MIN = 60_000;
const T = Date.parse("2027-06-12T10:00:00Z");
const given = (from: number, to: number | null = null, flow = 15): Given => ({ from: T + from * MIN, to: to === null ? null : T + to * MIN, flow });

test("one, two: the litres are shared, never more than there are", () => {
  expect(oxygenMinutes(637, 1)).toBe(42);
  expect(oxygenMinutes(637, 2)).toBe(21);
  // Two casualties for 90 min at 15 L/min need 2,700 L.
  expect(oxygenMinutes(2700, 2)).toBe(90);
});

test("what was breathed is gone, by whoever it was, and nobody on oxygen means no end", () => {
  expect(oxygenEndsAt(600, [], T)).toBeNull();
  expect(oxygenEndsAt(600, [given(0, 10)], T + 20 * MIN)).toBeNull();
  expect(oxygenEndsAt(600, [given(0)], T)).toBe(T + 40 * MIN);
  expect(oxygenEndsAt(600, [given(0)], T + 15 * MIN)).toBe(T + 40 * MIN);
  // 10 min for the first are 150 L; then both: 450 L at 30 L/min are 15 min.
  expect(oxygenEndsAt(600, [given(0), given(10)], T + 10 * MIN)).toBe(T + 25 * MIN);
  expect(oxygenEndsAt(600, [given(0, 10), given(10, null, 25)], T + 10 * MIN)).toBe(T + 28 * MIN);
});

test("once it must be empty it ends now, and a clock that ran ahead gives nothing back", () => {
  expect(oxygenEndsAt(600, [given(0)], T + 60 * MIN)).toBe(T + 60 * MIN);
  expect(oxygenEndsAt(600, [given(5)], T)).toBe(T + 40 * MIN);
});

test("as the log tells it: a second start changes nothing, what was taken back was never given", async () => {
  const { log } = await phone(43);
  const say = (kind: string, person: string, at: number, more: object = {}) => log.write({ by: CLEO, kind, subject: person, at: START + at * MIN, ...more });
  await say("oxygen_started", ANA, 10, { data: { flow_l_min: 10 } });
  await say("oxygen_started", ANA, 12);
  await say("oxygen_stopped", ANA, 20);
  const wrong = await say("oxygen_started", CLEO, 21);
  await log.write({ by: CLEO, kind: "correction", subject: CLEO, corrects: wrong.id, data: { reason: "mistyped", void: true } });
  await say("oxygen_started", BEN, 30);
  expect(givenOxygen(log.state)).toEqual([
    { from: START + 10 * MIN, to: START + 20 * MIN, flow: 10 },
    { from: START + 30 * MIN, to: null, flow: FLOW_L_MIN },
  ]);
});
