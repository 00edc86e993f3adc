import { describe, expect, it } from "vitest";
import { differences, minutesLost } from "../src/screens/organiser/other_days.ts";
import { bookingsThatHelp, hasDoneAll, stepLines } from "../src/screens/organiser/pairability_words.ts";
import { askedOf } from "../src/screens/organiser/teams_desk.ts";
import { whyNotLines } from "../src/screens/organiser/why_words.ts";
import type { DiveTeams, OtherDay } from "../src/screens/words/answers_teams.ts";

const nameOf = (id: string) => ({ a: "Ann", b: "Ben", c: "Cy", d: "Dot" })[id] ?? id;
const day: OtherDay = { teams: [], not_placed: [], more: { placed: 0, overrides: 0, safety_penalty: 0, cost_s: 0 }, other_teams: [["a", "b"]], better: [], worse: [] };

describe("another day", () => {
  it("costs whole minutes, never fewer than it does", () => {
    expect(minutesLost(day)).toBe(0);
    expect(minutesLost({ ...day, more: { ...day.more, cost_s: 61 } })).toBe(2);
    expect(minutesLost({ ...day, more: { ...day.more, cost_s: -120 } })).toBe(0);
  });
  it("says what weighs most first, and nothing where only names differ", () => {
    expect(differences(day, nameOf)).toEqual([]);
    expect(differences({ ...day, not_placed: ["c"], more: { placed: -1, overrides: 1, safety_penalty: 5, cost_s: 0 }, worse: [{ diver: "a", min: 3 }], better: [{ diver: "b", min: 1 }] }, nameOf)).toEqual([
      "1 diver more without a team: Cy.",
      "1 more rule would be set aside.",
      "Less margin for those who are new to part of this dive.",
      "Less time: Ann 3 min.",
      "More time: Ben 1 min.",
    ]);
  });
});

describe("what is asked again", () => {
  const data = (asked: object, before: readonly (readonly string[])[]) => ({ proposal: { asked, answer: { teams: [] } }, announced: [], announced_before: before }) as unknown as DiveTeams;
  it("keeps what was announced from the first announcement on", () => {
    expect(askedOf(data({}, [])).least_change).toBe(false);
    expect(askedOf(data({}, [["a", "b"]])).least_change).toBe(true);
  });
  it("keeps the other days and the drop-outs on the page once they were asked for", () => {
    expect(askedOf(data({ alternatives: 3, drop_outs: true }, []))).toMatchObject({ alternatives: 3, drop_outs: true });
    expect(askedOf(data({}, []))).not.toHaveProperty("alternatives");
  });
});

describe("the roster weeks before", () => {
  it("names the bookings that place somebody else, the best fit first", () => {
    const each = [
      { diver: "a", places: ["a"], message: "a would have a place." },
      { diver: "b", places: ["b", "c"], message: "b would have a place; c would have one too." },
    ];
    expect(bookingsThatHelp({ best_fit_first: ["b", "a"], each }).map((one) => one.diver)).toEqual(["b"]);
  });
  it("says of each member what one step is", () => {
    expect(hasDoneAll({ diver: "a", lacks: [], steps: [] })).toBe(true);
    expect(hasDoneAll({ diver: "a", lacks: { not_known: ["experience.done"] }, steps: [] })).toBe(false);
    expect(stepLines({ diver: "a", lacks: { not_known: ["experience.done"] }, steps: [] }, nameOf)[0]).toMatch(/No past dives/);
    expect(stepLines({ diver: "a", lacks: ["depth"], steps: [{ message: "this dive is one step" }] }, nameOf)).toEqual(["This dive is one step: depth."]);
  });
});

it("why not tells the whole day as it would then be", () => {
  const why = { divers: ["a", "b"], day: { placed: 4, teams: [["a", "b"], ["c", "d"]], not_placed: [] }, more: { placed: 0, overrides: 0, safety_penalty: 0, cost_s: 240 } };
  expect(whyNotLines(why, nameOf)).toEqual(["It would cost all divers together 4 more min under water.", "The whole day would then be: Cy with Dot."]);
});
