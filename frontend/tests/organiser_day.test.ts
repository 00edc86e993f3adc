import { expect, test } from "vitest";
import { announceBody, askedOfDives, dayPointer } from "../src/screens/organiser/day_words.ts";
import type { DayTeamsFound, DiveTeams } from "../src/screens/words/answers_teams.ts";
import type { Trip } from "../src/screens/words/answers.ts";

const override = { rule: "stretches", diver: "a", reason: "seen", by: "m" };
const cover = [{ role: "lookout" as const, person: "z" }];
const dives = [
  { dive: { id: "d1" }, proposal: { asked: { overrides: [override], surface_cover: cover } } },
  { dive: { id: "d2" }, proposal: null },
] as unknown as DiveTeams[];
const found = {
  dives: ["d1", "d2"],
  answer: { dives: [{ dive: 1, teams: [{ divers: ["a", "b"], lead: "b" }] }, { dive: 2, teams: [{ divers: ["a", "c"], lead: "c" }] }] },
} as unknown as DayTeamsFound;
const trip = { dives_planned: [{ id: "d1", number: 1 }, { id: "d2", number: 2 }] } as unknown as Trip;
const signedAnew = { rule: "stretches", diver: "a", reason: "seen" };

test("what was asked on each dive's page goes with the question, signed anew", () => {
  const [one, two] = askedOfDives(dives).dives;
  expect(one).toMatchObject({ dive: "d1", surface_cover: cover, overrides: [signedAnew] });
  expect(two).toMatchObject({ dive: "d2", surface_cover: [], overrides: [] });
});

test("the announcement repeats what was decided, each on its own dive", () => {
  const more = { rule: "currency", diver: "c", reason: "pool evening" };
  expect(announceBody(found, dives, [{ dive: "d2", override: more }])).toEqual({
    dives: [
      { dive: "d1", teams: [{ members: ["a", "b"], lead: "b" }], overrides: [signedAnew], surface_cover: cover },
      { dive: "d2", teams: [{ members: ["a", "c"], lead: "c" }], overrides: [more], surface_cover: [] },
    ],
  });
});

test("a refusal is told with its dive and team", () => {
  expect(dayPointer("/dives/1/teams/0/members", found, trip)).toEqual({ dive: "d2", title: "Dive 2, team 1" });
  expect(dayPointer("/dives/0", found, trip)?.title).toBe("Dive 1");
  expect(dayPointer("/teams/0", found, trip)).toBeUndefined();
});
