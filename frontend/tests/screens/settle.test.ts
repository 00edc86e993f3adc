// E3 of the job: one ascent told twice, settled by two people; both entries stay.
import { describe, expect, test } from "vitest";
import { MAY_BE_LEFT } from "../../src/kernel/boatlog/looked_at.ts";
import { undo, wholeTap } from "../../src/screens/deck/acts.ts";
import { answers, asked, DOUBLED, elsewhere, say as sayTo, TIMES, whatDiffers, type Answer } from "../../src/screens/deck/settle.ts";
import { questionWords } from "../../src/screens/words/questions.ts";
import { ANA, BEN, CLEO, DIVE, START, TEAM, phone } from "../sync/boat.ts";

const MINUTE = 60_000;

async function twoAscents() {
  const boat = await phone(41);
  const { log } = boat;
  await log.write({ by: CLEO, kind: "deck_accepted", subject: CLEO, data: { from: null } });
  await log.write({ by: CLEO, kind: "down", subject: TEAM, at: START + 10 * MINUTE, data: { dive: DIVE, members: [ANA, BEN] } });
  for (const at of [35, 39]) await log.write({ by: CLEO, kind: "surfaced", subject: TEAM, at: START + at * MINUTE, data: { dive: DIVE, people: [ANA, BEN] } });
  boat.clock = START + 60 * MINUTE;
  const open = () => log.view(START + 90 * MINUTE).questions.filter(({ code }) => code !== "no_deck_holder");
  const say = (answer: Answer, by: string) => sayTo(log, answer, by);
  const surfaced = () => log.view(START + 90 * MINUTE).people[ANA]?.dives_done[0]?.surfaced;
  return { log, open, say, surfaced };
}

test("a limit that two phones hold down says so and by how much; a phone alone with itself says entries", async () => {
  const { log, open } = await twoAscents();
  const seen = log.view(START + 90 * MINUTE);
  expect(whatDiffers(log, seen, ANA)).toEqual({ why: "two entries differ by 4 min", open: true });
  const other = await phone(42);
  await other.log.write({ by: BEN, kind: "surfaced", subject: TEAM, at: START + 41 * MINUTE, data: { dive: DIVE, people: [ANA, BEN] } });
  await log.receive(other.log.entries, null);
  expect(whatDiffers(log, log.view(START + 90 * MINUTE), ANA)).toEqual({ why: "two phones differ by 6 min", open: true });
  // Two people say that it was the first of the three: nothing is left to settle.
  const [right] = answers(log, open().find(({ code }) => code === "up_times_differ")!);
  for (const by of [BEN, CLEO]) for (const act of right!.acts) await log.write({ by, ...act });
  expect(open()).toEqual([]);
  expect(whatDiffers(log, log.view(START + 90 * MINUTE), ANA)).toEqual({ why: "a clock is uncertain", open: false });
});

describe("a question settled by two people", () => {
  test("one voice is not enough, the second one settles it, nothing is deleted", async () => {
    const { log, open, say, surfaced } = await twoAscents();
    const question = open().find(({ code }) => code === "up_times_differ")!;
    const offered = answers(log, question);
    expect(offered.map(({ says, entry }) => [says, (entry.at - START) / MINUTE])).toEqual([
      ["right", 35],
      ["right", 39],
    ]);
    await say(offered[0]!, BEN);
    const alone = open().find(({ code }) => code === "correction_not_settled")!;
    const [same] = answers(log, alone);
    expect(same).toMatchObject({ says: "same", not_by: [BEN] });
    expect(surfaced()).toEqual([START + 35 * MINUTE, START + 39 * MINUTE]);
    // The other diver of the same dive is not enough; somebody whom it is not about is.
    await say(same!, ANA);
    expect(open().some(({ code }) => code === "correction_not_settled")).toBe(true);
    expect(surfaced()).toEqual([START + 35 * MINUTE, START + 39 * MINUTE]);
    await say(answers(log, open().find(({ code }) => code === "correction_not_settled")!)[0]!, CLEO);
    expect(open()).toEqual([]);
    expect(surfaced()).toEqual([START + 35 * MINUTE, START + 35 * MINUTE]);
    expect(log.entries.filter(({ entry }) => entry.kind === "surfaced")).toHaveLength(2);
  });

  test("two times and the first answer to them are asked as one question, which names who said so already", async () => {
    const { log, open, say } = await twoAscents();
    const right = () => answers(log, open().find(({ code }) => code === "up_times_differ")!);
    expect(right().map(({ not_by }) => not_by)).toEqual([[], []]);
    await say(right()[0]!, BEN);
    expect(open().map(({ code }) => code)).toEqual(["correction_not_settled", "up_times_differ"]);
    expect(asked(log, open()).map(({ code }) => code)).toEqual(["up_times_differ"]);
    expect(right().map(({ says, not_by }) => [says, not_by])).toEqual([
      ["right", [BEN]],
      ["right", []],
    ]);
    // A third time is another matter: it stays a question of its own.
    await log.write({ by: ANA, kind: "correction", subject: TEAM, corrects: right()[0]!.entry.id, data: { reason: "wrong_time", void: false, at: START + 37 * MINUTE } });
    expect(asked(log, open()).map(({ code }) => code)).toContain("correction_not_settled");
    await say(right()[0]!, CLEO);
    expect(asked(log, open()).some(({ code }) => code === "up_times_differ")).toBe(true);
  });

  test("a wrong name is taken back at once, and nothing of it counts", async () => {
    const { log, open, say } = await twoAscents();
    await say(answers(log, open().find(({ code }) => code === "up_times_differ")!)[0]!, BEN);
    const said = log.entries.at(-1)!;
    await log.write(undo(log, log.view(START + 61 * MINUTE), said.id)!);
    expect(open().map(({ code }) => code)).toEqual(["up_times_differ"]);
    expect(asked(log, open())).toHaveLength(1);
  });

  test("an answer between three times is taken back whole, and nothing beside it", async () => {
    const { log, open, say } = await twoAscents();
    await log.write({ by: CLEO, kind: "surfaced", subject: TEAM, at: START + 42 * MINUTE, data: { dive: DIVE, people: [ANA, BEN] } });
    const right = () => answers(log, open().find(({ code }) => code === "up_times_differ")!)[0]!;
    expect(right().acts).toHaveLength(2);
    await say(right(), BEN);
    await say(right(), CLEO);
    const takeBack = async () => {
      for (const stored of wholeTap(log, log.entries.at(-1)!)) await log.write(undo(log, log.view(START + 61 * MINUTE), stored.id)!);
    };
    expect(wholeTap(log, log.entries.at(-1)!).map(({ entry }) => entry.by)).toEqual([CLEO, CLEO]);
    await takeBack();
    expect(right().not_by).toEqual([BEN]);
    // A day with one answer and one that was taken back is a day with one answer.
    const alone = await twoAscents();
    await alone.log.write({ by: CLEO, kind: "surfaced", subject: TEAM, at: START + 42 * MINUTE, data: { dive: DIVE, people: [ANA, BEN] } });
    await alone.say(answers(alone.log, alone.open().find(({ code }) => code === "up_times_differ")!)[0]!, BEN);
    expect(open().map(({ code }) => code)).toEqual(alone.open().map(({ code }) => code));
    // What is half taken back when the phone is closed is taken back whole with the next tap.
    await say(right(), CLEO);
    const [first, second] = wholeTap(log, log.entries.at(-1)!);
    await log.write(undo(log, log.view(START + 61 * MINUTE), first!.id)!);
    expect(wholeTap(log, second!).map(({ id }) => id)).toEqual([second!.id]);
  });

  test("two answers of one person to two questions are two taps", async () => {
    const { log, say } = await twoAscents();
    const entries = log.entries.filter(({ entry }) => entry.kind === "surfaced").map(({ id }) => id);
    for (const id of entries) {
      await say({ key: id, entry: log.entry(id)!, says: "not", not_by: [], about: [], also: [], acts: [{ kind: "correction", subject: TEAM, corrects: id, data: { reason: "settled", void: true } }] }, BEN);
    }
    const last = log.entries.at(-1)!;
    expect(wholeTap(log, last)).toEqual([last]);
  });

  test("whoever was disputed may say it again: two say it afresh", async () => {
    const { log, open } = await twoAscents();
    const [up] = log.entries.filter(({ entry }) => entry.kind === "surfaced");
    const said = await log.write({ by: BEN, kind: "correction", subject: TEAM, corrects: up!.id, data: { reason: "wrong_time", void: false, at: START + 36 * MINUTE } });
    const [same] = answers(log, open().find(({ entries }) => entries.includes(said.id))!);
    expect(same!.not_by).toEqual([BEN]);
    await log.write({ by: CLEO, kind: "correction", subject: TEAM, corrects: said.id, data: { reason: "other", void: true } });
    const again = answers(log, open().find(({ code }) => code === "corrections_differ")!).find(({ entry }) => entry.id === said.id)!;
    expect(again.not_by).toEqual([]);
  });

  test("what two agreed on and a third denies is offered once each, to whoever has not spoken", async () => {
    const { log, open } = await twoAscents();
    const [up] = log.entries.filter(({ entry }) => entry.kind === "surfaced");
    const correct = (by: string, minute: number) =>
      log.write({ by, kind: "correction", subject: TEAM, corrects: up!.id, data: { reason: "wrong_time", void: false, at: START + minute * MINUTE } });
    for (const by of [BEN, CLEO]) await correct(by, 36);
    expect(open().filter(({ code }) => code === "corrections_differ")).toEqual([]);
    await correct(ANA, 37);
    const offered = answers(log, open().find(({ code }) => code === "corrections_differ")!);
    expect(offered.map(({ entry, not_by }) => [(Number(entry.data["at"]) - START) / MINUTE, not_by])).toEqual([
      [36, [BEN, CLEO]],
      [37, [ANA]],
    ]);
  });

  test("every question that the log can raise has an answer on a page", () => {
    const corrected = new Set(["correction_not_settled", "corrections_differ"]);
    const answered = (code: string) => TIMES.has(code) || DOUBLED.has(code) || corrected.has(code) || code in elsewhere || MAY_BE_LEFT.has(code);
    expect(Object.keys(questionWords).filter((code) => !answered(code))).toEqual([]);
    expect(Object.keys(questionWords).length).toBeGreaterThan(20);
  });

  test("the same person twice settles nothing", async () => {
    const { log, open, say } = await twoAscents();
    const [right] = answers(log, open().find(({ code }) => code === "up_times_differ")!);
    await say(right!, BEN);
    await say(right!, BEN);
    expect(open().some(({ code }) => code === "correction_not_settled")).toBe(true);
  });
});
