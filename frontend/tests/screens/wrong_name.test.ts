// A wrong name on deck: one correction, in which nobody is nowhere and nobody is aboard by one person's word.
import { describe, expect, test } from "vitest";
import { answers } from "../../src/screens/deck/settle.ts";
import { anotherPerson, anotherTeam, named, otherPeople, otherTeams } from "../../src/screens/deck/wrong_name.ts";
import { maySettle } from "../../src/kernel/boatlog/settling.ts";
import { ANA, BEN, CLEO, DIVE, id, phone, START, TEAM } from "../sync/boat.ts";

const MINUTE = 60_000;
const [DAN, EVE] = [id(14), id(15)];

async function boat() {
  const one = await phone(61);
  const { log } = one;
  const at = (minute: number) => {
    one.clock = START + minute * MINUTE;
    return one.clock;
  };
  const view = () => log.view(one.clock);
  await log.write({ by: CLEO, kind: "joined", subject: DAN, data: { role: "crew", dives: false, can_lead: false }, text: "Dan Frost" });
  return { log, at, view };
}

describe("it was another person", () => {
  test("neither is aboard until two others say so; their own word does not count", async () => {
    const { log, at, view } = await boat();
    const wrong = await log.write({ by: CLEO, kind: "back_aboard", subject: ANA });
    expect(view().people[ANA]!.state).toBe("aboard");
    at(10);
    expect(otherPeople(view(), wrong)).toEqual([BEN, CLEO, DAN]);
    await log.write({ by: CLEO, kind: "correction", subject: ANA, corrects: wrong.id, data: anotherPerson(wrong, ANA, BEN) });
    expect([ANA, BEN].map((person) => view().people[person]!.accounted_for)).toEqual([false, false]);
    const asked = view().questions.filter(({ entries }) => entries.includes(wrong.id));
    for (const question of asked) {
      const [same] = answers(log, question);
      expect(Object.keys(view().people).filter((person) => same!.about.every((entry) => maySettle(entry, person, same!.not_by, same!.also)))).toEqual([DAN]);
    }
    at(20);
    const again = anotherPerson(wrong, ANA, BEN);
    await log.write({ by: DAN, kind: "correction", subject: ANA, corrects: wrong.id, data: again });
    expect([ANA, BEN].map((person) => view().people[person]!.accounted_for)).toEqual([false, true]);
  });

  test("a name in a list gives way to another, the rest stay", async () => {
    const { log, at, view } = await boat();
    const wrong = await log.write({ by: CLEO, kind: "roll_call_taken", subject: log.trip, data: { count: id(91), seen: [ANA, CLEO], method: "answered" } });
    at(10);
    expect(named(wrong)).toEqual([ANA, CLEO]);
    expect(otherPeople(view(), wrong)).toEqual([BEN, DAN]);
    await log.write({ by: CLEO, kind: "correction", subject: log.trip, corrects: wrong.id, data: anotherPerson(wrong, ANA, BEN) });
    expect([ANA, BEN, CLEO].map((person) => view().people[person]!.accounted_for)).toEqual([false, false, true]);
  });
});

test("it was another team: both are down until two people say which", async () => {
  const { log, at, view } = await boat();
  const second = id(32);
  await log.write({ by: CLEO, kind: "joined", subject: EVE, data: { role: "crew", dives: false, can_lead: false }, text: "Eve Lind" });
  await log.write({ by: CLEO, kind: "team_changed", subject: second, data: { dive: DIVE, members: [DAN, CLEO], lead: null } });
  const wrong = await log.write({ by: null, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
  at(10);
  expect(otherTeams(view(), wrong)).toEqual([second]);
  await log.write({ by: DAN, kind: "correction", subject: TEAM, corrects: wrong.id, data: anotherTeam(view(), wrong, second) });
  expect([TEAM, second].map((team) => view().teams[team]!.status)).toEqual(["down", "down"]);
  const question = view().questions.find(({ code }) => code === "correction_not_settled")!;
  const [same] = answers(log, question);
  expect(same).toMatchObject({ says: "same", not_by: [DAN] });
  // Ben is of the one team and Dan of the other: somebody whom it is not about has to be one of the two.
  for (const act of same!.acts) await log.write({ by: BEN, ...act });
  expect(view().teams[TEAM]!.status).toBe("down");
  for (const act of same!.acts) await log.write({ by: EVE, ...act });
  expect([TEAM, second].map((team) => view().teams[team]!.status)).toEqual(["ready", "down"]);
});

test("a correction taken back is settled by a second person who says so", async () => {
  const { log, at, view } = await boat();
  const depth = await log.write({ by: CLEO, kind: "depth_reported", subject: ANA, data: { dive: DIVE, depth: { unit: "m", hundredths: 1800 } } });
  at(10);
  const deeper = await log.write({ by: BEN, kind: "correction", subject: ANA, corrects: depth.id, data: { reason: "mistyped", void: false, data: { depth: { unit: "m", hundredths: 3400 } } } });
  at(20);
  await log.write({ by: BEN, kind: "correction", subject: ANA, corrects: deeper.id, data: { reason: "did_not_happen", void: true } });
  const question = view().questions.find(({ code }) => code === "corrections_differ")!;
  const taken = answers(log, question).find(({ entry }) => entry.corrects === deeper.id)!;
  expect(taken.not_by).toEqual([BEN]);
  at(30);
  for (const act of taken.acts) await log.write({ by: CLEO, ...act });
  expect(view().questions.filter(({ entries }) => entries.includes(depth.id))).toEqual([]);
});
