import { expect, test } from "vitest";
import { boatOfPerson, boatsText } from "../src/screens/words/boats.ts";
import { announceBody, askedOfDives, dayPointer } from "../src/screens/organiser/day_words.ts";
import { boatsBody, boatsKept, goes, goesWithout, nameRole, seat, seatsWords, toSeat } from "../src/screens/organiser/day_boats_words.ts";
import type { DayTeamsAnswer, DayTeamsFound, DiveTeams } from "../src/screens/words/answers_teams.ts";
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

test("of several boats everyone without a team is asked for by name, and sits on one", () => {
  const roster = {
    bookings: [
      { id: "a", dives: true, boat: "l" },
      { id: "b", dives: true, boat: "s" },
      { id: "c", dives: false, boat: "s" },
      { id: "d", dives: false, boat: null },
    ],
    dives_planned: [{ teams: [{ members: ["a"] }] }],
  } as unknown as Trip;
  const kept = boatsKept(roster);
  expect(kept).toEqual([
    { boat: "l", aboard: [], surface_cover: [] },
    { boat: "s", aboard: ["b", "c"], surface_cover: [] },
  ]);
  expect(toSeat(roster, kept, null)).toEqual(["b", "c", "d"]);
  const left = { warnings: [{ code: "person_on_no_boat", message: "", divers: ["a"] }] } as unknown as DayTeamsAnswer;
  expect(toSeat(roster, kept, left)).toEqual(["a", "b", "c", "d"]);
  const moved = seat(seat(kept, "c", "l"), "d", "l");
  expect(moved.map((one) => one.aboard)).toEqual([["c", "d"], ["b"]]);
  expect(seat(moved, "d", "").map((one) => one.aboard)).toEqual([["c"], ["b"]]);
  const named = nameRole(nameRole(moved, "l", "lookout", "d"), "l", "lookout", "c");
  expect(named[0]!.surface_cover).toEqual([{ role: "lookout", person: "c" }]);
  // Who stays at the surface on a boat sits on it.
  expect(toSeat(roster, named, null)).toEqual(["b", "d"]);
  expect(nameRole(named, "l", "lookout", "")[0]!.surface_cover).toEqual([]);
});

test("boats go with the question only where several go, and each team with its boat", () => {
  const one = goes([], "l");
  expect(boatsBody(one)).toEqual({});
  expect(boatsBody(goes(one, "s")).boats).toHaveLength(2);
  expect(boatsBody(goesWithout(goes(one, "s"), "l"))).toEqual({});
  expect(seatsWords({ id: "l", divers: ["a"], seats_left: 2, takes: { persons: 6 } })).toBe("4 of 6 seats taken");
  const onBoat = { ...found, answer: { ...found.answer, dives: [{ dive: 1, teams: [{ divers: ["a", "b"], lead: "b", boat: "l" }] }] } } as unknown as DayTeamsFound;
  expect(announceBody(onBoat, dives, []).dives[0]!.teams).toEqual([{ members: ["a", "b"], lead: "b", boat: "l" }]);
});

test("of several boats each is told theirs, and the trip all of them", () => {
  const one = { boat: { id: "p", name: "Grey Petrel" }, bookings: [{ id: "a", boat: null }] } as unknown as Trip;
  expect([boatsText(one), boatOfPerson(one, "a")]).toEqual(["Grey Petrel", ""]);
  const two = { ...one, boats: { l: "Large boat", s: "Small boat" }, bookings: [{ id: "a", boat: "s" }, { id: "b", boat: null }] } as unknown as Trip;
  expect([boatsText(two), boatOfPerson(two, "a"), boatOfPerson(two, "b")]).toEqual(["Large boat and Small boat", "Small boat", ""]);
});
