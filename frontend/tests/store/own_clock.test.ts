// A phone known to run fast or slow shows the log's time and writes its own: what is read back is the log's again.
import { expect, test } from "vitest";
import { happened } from "../../src/kernel/boatlog/claims.ts";
import { view } from "../../src/kernel/boatlog/view.ts";
import { answers } from "../../src/screens/deck/settle.ts";
import { ANA, BEN, CLEO, DIVE, id, phone, START, TEAM, TRIP, type Phone } from "../sync/boat.ts";

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;

async function wrongBy(ahead: number, device = 41): Promise<Phone> {
  const boat = await phone(device, ahead);
  if (ahead !== 0) await boat.log.write({ by: null, kind: "clock_compared", subject: id(device), data: { offset_ms: -ahead, error_ms: 0 } });
  return boat;
}

const all = (...boats: Phone[]) => Promise.all(boats.map((to) => to.log.receive(boats.flatMap((from) => from.log.entries), { trip: TRIP, epoch: null, after: 0 })));

for (const ahead of [0, HOUR, -HOUR, 7 * MINUTE]) {
  test(`${ahead / MINUTE} min fast: due time, time last together, quiet and interval are those of an honest clock`, async () => {
    const boat = await wrongBy(ahead);
    const { log } = boat;
    const setTo = (minute: number) => (boat.clock = START + ahead + minute * MINUTE - 1000);
    setTo(10);
    await log.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
    expect(log.view(log.reckoned(boat.clock)).teams[TEAM]?.due_at).toBe(START + 10 * MINUTE + 2300_000);
    setTo(30);
    const alone = await log.write({ by: CLEO, kind: "surfaced_alone", subject: ANA, data: { team: TEAM, dive: DIVE } });
    setTo(31);
    const togetherAt = log.reckoned(START + ahead + 28 * MINUTE);
    await log.write({ by: CLEO, kind: "correction", subject: ANA, corrects: alone.id, data: { reason: "other", void: false, data: { last_seen_at: togetherAt } } });
    expect(log.view(START + 31 * MINUTE).people[BEN]?.last_seen_at).toBe(START + 28 * MINUTE);
    const late = START + 60 * MINUTE;
    setTo(60);
    await log.write({ by: CLEO, kind: "overdue_quieted", subject: TEAM, data: { until: log.reckoned(boat.clock + 1000) + 2 * MINUTE } });
    expect(log.view(late).teams[TEAM]?.quiet_until).toBe(late + 2 * MINUTE);
    expect(log.view(late).teams[TEAM]?.status).toBe("overdue");
    setTo(61);
    await log.write({ by: CLEO, kind: "surfaced", subject: TEAM, data: { dive: DIVE, people: [BEN] } });
    await log.write({ by: CLEO, kind: "left_bottom", subject: TEAM, at: START + 40 * MINUTE, data: { people: [BEN] } });
    expect(log.view(START + 90 * MINUTE).people[BEN]?.dives_done[0]?.bottom_time_s).toEqual([30 * 60, 30 * 60]);
    expect(log.view(log.reckoned(START + ahead + 90 * MINUTE)).people[BEN]?.interval_s).toBe(29 * 60);
  });
}

test("two people settle a time on two phones whose clocks differ by an hour", async () => {
  const [right, fast] = [await wrongBy(0), await wrongBy(HOUR, 42)];
  for (const minute of [10]) await right.log.write({ by: CLEO, kind: "down", subject: TEAM, at: START + minute * MINUTE, data: { dive: DIVE, members: [ANA, BEN] } });
  for (const minute of [35, 39]) await fast.log.write({ by: CLEO, kind: "surfaced", subject: TEAM, at: START + minute * MINUTE, data: { dive: DIVE, people: [ANA, BEN] } });
  [right.clock, fast.clock] = [START + 60 * MINUTE, START + 61 * MINUTE + HOUR];
  await all(right, fast);
  const asked = (boat: Phone, code: string) => boat.log.view(START + 90 * MINUTE).questions.find((one) => one.code === code);
  const earlier = answers(right.log, asked(right, "up_times_differ")!).find(({ entry }) => happened(right.log.state, entry) === START + 35 * MINUTE)!;
  for (const act of earlier.acts) await right.log.write({ by: BEN, ...act });
  await all(right, fast);
  const [same] = answers(fast.log, asked(fast, "correction_not_settled")!);
  for (const act of same!.acts) await fast.log.write({ by: CLEO, ...act });
  await all(right, fast);
  for (const boat of [right, fast]) {
    const shown = view(boat.log.state, START + 90 * MINUTE);
    expect(shown.people[ANA]?.dives_done[0]?.surfaced).toEqual([START + 35 * MINUTE, START + 35 * MINUTE]);
    expect(shown.questions.some(({ code }) => /correction|differ/.test(code))).toBe(false);
  }
});

test("what a fast phone writes is stamped by the log's time, so that a later decision elsewhere stays the later one", async () => {
  const [right, fast] = [await wrongBy(0), await wrongBy(HOUR, 42)];
  const change = (boat: Phone, members: string[]) => boat.log.write({ by: CLEO, kind: "team_changed", subject: TEAM, data: { dive: DIVE, members, lead: null } });
  await change(fast, [BEN, CLEO]);
  right.clock = START + 5 * MINUTE;
  await all(right, fast);
  await change(right, [ANA, CLEO]);
  await all(right, fast);
  for (const boat of [right, fast]) expect(boat.log.view(START + HOUR).teams[TEAM]?.members).toEqual([ANA, CLEO]);
});
