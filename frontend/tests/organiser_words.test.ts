import { describe, expect, it } from "vitest";
import { answered, leftOut, openQuestions, resultSentence, rowsShown, toMend } from "../src/screens/organiser/import_words.ts";
import { found, missingIn } from "../src/screens/organiser/roster_words.ts";
import { changedFor, moved, sameTeams, swapped, toggled, unfinished } from "../src/screens/organiser/teams_words.ts";
import { diveAt, instantIn, nextStep, remedyStep, typedIn } from "../src/screens/organiser/trip_words.ts";
import { bodyOf, mistakesIn, typedOf } from "../src/screens/organiser/dive_words.ts";
import { gasBody, gasMistakes, typedGas } from "../src/screens/organiser/gas_words.ts";
import { recordBody, recordMistakes, typedRecord, underAge } from "../src/screens/organiser/record_words.ts";
import { whyNotLines } from "../src/screens/organiser/why_words.ts";
import type { DiverRecord, ImportColumn, ImportPreview, ImportProblem, ImportRow, RosterDiver, Trip, TripDive } from "../src/screens/words/answers.ts";

const diver: RosterDiver = {
  id: "1",
  name: "Zoë Ardán",
  member_number: "17",
  certified_depth: { unit: "m", hundredths: 3000 },
  certification: "Advanced",
  evidence: "seen",
  fitness: "in date",
  can_lead: false,
  supervised: false,
  dives: 60,
  last_dive: "2027-05-01",
  account: false,
};

describe("the roster", () => {
  it("names what is missing, and nothing for a whole record", () => {
    expect(missingIn(diver)).toEqual([]);
    expect(missingIn({ ...diver, certified_depth: null, last_dive: null })).toEqual(["certified depth", "date of last dive"]);
    expect(missingIn({ ...diver, fitness: "ask the diver" })).toEqual(["fitness declaration"]);
  });
  it("finds a name without its accents, and its words in any order", () => {
    expect(found([diver], "ardan zoe")).toEqual([diver]);
    expect(found([diver], "zoltan")).toEqual([]);
  });
});

const column = (part: Partial<ImportColumn>): ImportColumn => ({ index: 0, header: "Max depth", field: "certified_depth", guessed: true, confirmed: false, unit: null, dates: null, examples: ["18"], question: null, ...part });
const preview = (columns: ImportColumn[]): ImportPreview => ({
  id: "i",
  club: "c",
  file_name: "roster.xlsx",
  state: "preview",
  read: { format: "xlsx", sheet: "Sheet1" },
  fields: [
    { field: "certified_depth", label: "Certified depth", takes: "depth", units: ["m", "ft"] },
    { field: "name", label: "Name", takes: "text", units: [] },
  ],
  columns,
  choices: {},
  rows: [],
  counts: {},
  confirmed: false,
  can_apply: false,
  result: null,
});
const row = (part: Partial<ImportRow>): ImportRow => ({ row: 2, name: "Ana", action: "new", diver: null, changes: [], problems: [], ...part });
const problem = (part: Partial<ImportProblem>): ImportProblem => ({ field: "certified_depth", level: "question", code: "depth_unit_unclear", message: "m or ft?", remedy: "Choose.", options: [], ...part });

describe("the roster wizard", () => {
  it("asks for a unit only where the server asked, and for one column a field", () => {
    const asks = column({ question: { code: "unit_not_chosen", message: "", remedy: "" } });
    const choice = { index: 0, field: "certified_depth", unit: null, dates: null };
    expect(openQuestions([choice], preview([asks]))).toEqual(["“Max depth”: choose the unit."]);
    expect(openQuestions([{ ...choice, unit: "m" }], preview([asks]))).toEqual([]);
    expect(openQuestions([choice], preview([column({})]))).toEqual([]);
    const twice = openQuestions([choice, { ...choice, index: 1 }], preview([column({}), column({ index: 1, header: "Depth 2" })]));
    expect(twice).toEqual(["“Max depth” and “Depth 2” are both marked as Certified depth: keep one of them."]);
  });
  it("keeps every earlier answer when one more is given", () => {
    const one = answered({ leave_out: [9] }, 4, problem({}), "30 m");
    const two = answered(one, 4, problem({ field: "last_dive" }), "2027-05-01");
    const three = answered(two, 5, problem({ field: "person" }), "new");
    expect(three).toEqual({ leave_out: [9], cells: { "4": { certified_depth: "30 m", last_dive: "2027-05-01" } }, people: { "5": "new" } });
    expect(leftOut(leftOut(three, 5, true), 9, false)).toEqual({ ...three, leave_out: [5] });
    expect(answered({}, 7, problem({ field: "person" }), "leave_out")).toEqual({ leave_out: [7], people: {} });
  });
  it("stops at errors and questions, not at remarks or at rows left out", () => {
    const rows = [row({}), row({ row: 3, action: "blocked", problems: [problem({})] }), row({ row: 4, problems: [problem({ level: "note" })] }), row({ row: 5, action: "leave_out", problems: [problem({ level: "error" })] })];
    expect(rows.filter(toMend).map((one) => one.row)).toEqual([3]);
    expect(rowsShown(rows, "notes").map((one) => one.row)).toEqual([3, 4, 5]);
    expect(rowsShown(rows, "all")).toHaveLength(4);
  });
  it("says plainly when nothing changed", () => {
    expect(resultSentence({ new: 0, changed: 0, same: 40 })).toMatch(/^Nothing changed/);
    expect(resultSentence({ new: 38, changed: 1, same: 0 })).toBe("38 added, 1 changed.");
  });
});

describe("teams changed by hand", () => {
  const teams = [
    { members: ["a", "b"], lead: "a" },
    { members: ["c", "d"], lead: "c" },
  ];
  it("swaps two people and never keeps a lead who left", () => {
    expect(swapped(teams, "a", "d")).toEqual([
      { members: ["d", "b"], lead: null },
      { members: ["c", "a"], lead: "c" },
    ]);
    expect(swapped(swapped(teams, "b", "d"), "d", "b")).toEqual(teams);
  });
  it("moves one person and says who is left alone", () => {
    const after = moved(teams, "d", 0);
    expect(after).toEqual([
      { members: ["a", "b", "d"], lead: "a" },
      { members: ["c"], lead: "c" },
    ]);
    expect(unfinished(after, (id) => id.toUpperCase())).toEqual(["C is alone: move C to a team, or someone to C."]);
    expect(unfinished(teams, String)).toEqual([]);
  });
  it("knows the same teams in any order, and who changes", () => {
    expect(sameTeams([["a", "b"], ["c", "d"]], [["d", "c"], ["b", "a"]])).toBe(true);
    expect(changedFor([["a", "b"], ["c", "d"], ["e", "f"]], [["a", "c"], ["b", "d"], ["f", "e"]])).toEqual(["a", "b", "c", "d"]);
    expect(toggled(toggled([["a", "b"]], ["c", "d"]), ["b", "a"])).toEqual([["c", "d"]]);
  });
});

describe("why not these two", () => {
  it("names the rule, else what the whole dive would cost", () => {
    expect(whyNotLines({ divers: ["c", "d"], chosen: false, rules: [{ code: "two_stretched", message: "Both would be new to part of this dive." }] }, String)).toEqual(["Both would be new to part of this dive."]);
    expect(whyNotLines({ divers: ["a", "b"], chosen: false, more: { placed: -2, overrides: 0, safety_penalty: 0, cost_s: 359 }, day: { placed: 4, not_placed: ["c", "e"] } }, (id) => id.toUpperCase())).toEqual([
      "With them as a team 2 people would have no team.",
      "It would cost all divers together 5 more min under water.",
      "Without a team then: C, E.",
    ]);
  });
});

const dive = (part: Partial<TripDive>): TripDive => ({
  id: "d1",
  number: 1,
  site: null,
  planned_at: "2027-06-12T09:30:00Z",
  depth: { unit: "ft", hundredths: 9000 },
  bottom_time_s: 1020,
  work: "moderate",
  return: "free_ascent",
  demands: { current_kn: 0.5, night: false, task: { kind: "survey", level: 3 }, site_kind: [] },
  left_out: [],
  teams: [],
  ...part,
});
const trip = (part: Partial<Trip>): Trip => ({
  id: "t",
  name: "Saturday",
  club: "c",
  boat: null,
  starts_at: "2027-06-12T08:00:00Z",
  time_zone: "Atlantic/Azores",
  state: "planned",
  booked: 0,
  dives: 0,
  hash: null,
  me: null,
  may: { plan: true },
  bookings: [{ id: "p", diver: "x", name: "Ana", role: "diver", dives: true, can_lead: false, earlier_dives: [] }],
  dives_planned: [],
  not_ready: [],
  ...part,
});

describe("a trip", () => {
  it("offers the one next step", () => {
    expect(nextStep(trip({ bookings: [] })).label).toBe("Add people");
    expect(nextStep(trip({})).label).toBe("Plan dive 1");
    expect(nextStep(trip({ dives_planned: [dive({})] })).path).toBe("/organise/trips/t/dives/d1/teams");
    expect(nextStep(trip({ dives_planned: [dive({ teams: [{ id: "g", number: 1, members: ["p"], lead: null, plan: null, reasons: [] }] })] })).path).toBe("/organise/trips/t/ready");
  });
  it("leads each reason that blocks to where it is mended", () => {
    const here = trip({ dives_planned: [dive({})] });
    expect(remedyStep({ code: "overdue_minutes_not_set", pointer: "/club" }, here)?.path).toBe("/organise/clubs/c/settings");
    expect(remedyStep({ code: "teams_missing", pointer: "/dives/d1/teams" }, here)?.path).toBe("/organise/trips/t/dives/d1/teams");
    expect(diveAt("/dives/0/teams", here.dives_planned)?.id).toBe("d1");
    expect(diveAt("/bookings/0", here.dives_planned)).toBeNull();
  });
  it("reads a typed time in the zone of the trip, around a change of clocks too", () => {
    // The IANA time zone database: the Azores are UTC-1, in summer UTC+0, and change on 28 March 2027 at 01:00 UTC.
    expect(instantIn("Atlantic/Azores", "2027-06-12T09:30")).toBe("2027-06-12T09:30:00Z");
    expect(instantIn("Atlantic/Azores", "2027-01-12T09:30")).toBe("2027-01-12T10:30:00Z");
    expect(instantIn("Atlantic/Azores", "2027-03-28T02:30")).toBe("2027-03-28T02:30:00Z");
    expect(instantIn("Atlantic/Azores", "")).toBeNull();
    // The hour that is there twice is the first of the two, in a zone ahead of UTC as in one behind it.
    expect(instantIn("Europe/Berlin", "2027-10-31T02:30")).toBe("2027-10-31T00:30:00Z");
    expect(instantIn("America/New_York", "2027-11-07T01:30")).toBe("2027-11-07T05:30:00Z");
    // The hour that is not there is read as the earlier instant.
    expect(instantIn("Europe/Berlin", "2027-03-28T02:30")).toBe("2027-03-28T00:30:00Z");
    expect(instantIn("Europe/Berlin", "2027-03-28T03:30")).toBe("2027-03-28T01:30:00Z");
    expect(typedIn("Atlantic/Azores", "2027-01-12T10:30:00Z")).toBe("2027-01-12T09:30");
  });
});

describe("a dive as typed", () => {
  it("keeps the number typed in its own unit, whatever the reader prefers", () => {
    const typed = typedOf(dive({}), trip({}), "metric");
    expect(typed.unit).toBe("ft");
    expect(bodyOf(typed, "UTC", "s1")).toEqual({
      site: "s1",
      depth: { unit: "ft", hundredths: 9000 },
      bottom_time_s: 1020,
      planned_at: "2027-06-12T09:30:00Z",
      work: "moderate",
      return: "free_ascent",
      turn_rule: null,
      along_current: null,
      task_unit_min: null,
      demands: { current_kn: 0.5, visibility_m: null, water_temp_c: null, night: false, task: { kind: "survey", level: 3 }, site_kind: [] },
    });
  });
  it("names each field that is wrong", () => {
    const typed = { ...typedOf(null, trip({}), "metric"), depth: "deep", bottomTime: "17.5", current: "-1" };
    expect(Object.keys(mistakesIn(typed))).toEqual(["depth", "bottomTime", "current"]);
    expect(mistakesIn({ ...typed, depth: "27,5", bottomTime: "17", current: "" })).toEqual({});
  });
  it("asks for the speed and the current only where the team goes along it and comes back", () => {
    const right = { ...typedOf(null, trip({}), "metric"), depth: "18", bottomTime: "30", along: "with", swim: "" };
    expect(mistakesIn({ ...right, wayBack: "free_ascent" })).toEqual({});
    const back = { ...right, wayBack: "same_point" as const };
    expect(Object.keys(mistakesIn(back))).toEqual(["swim", "current"]);
    const body = bodyOf({ ...back, swim: "0,7", current: "0.3", turnRule: "thirds", task: "survey", unitMin: "6" }, "UTC", null);
    expect(body).toMatchObject({ turn_rule: "thirds", along_current: { first: "with", swim_kn: 0.7 }, task_unit_min: 6 });
    expect(bodyOf({ ...right, wayBack: "free_ascent", unitMin: "6" }, "UTC", null)).toMatchObject({ along_current: null, task_unit_min: null });
  });
});

describe("a record changed by hand", () => {
  const record = {
    ...diver,
    certified_depth: null,
    email: "",
    phone: "",
    born: null,
    emergency_contact: "",
    club: "c",
    guardian_consent: null,
    guardians: [],
    units: { depth: "m", pressure: "bar", volume: "l" },
    rmv_l_min: "18.00",
    rmv_sd_l_min: null,
    certifications: [],
    cylinders: [],
    stated: { dives: 60, dives_last_year: null, last_dive: null, deepest: null },
  } satisfies DiverRecord;
  it("sends only what differs", () => {
    const typed = typedRecord(record);
    expect(recordBody(typed, record)).toEqual({});
    expect(recordBody({ ...typed, depth: "30", rmv: "17,5" }, record)).toEqual({ certification: { name: "Advanced", evidence: "seen", depth_hundredths: 3000, depth_unit: "m" }, rmv_l_min: 17.5 });
    expect(recordBody({ ...typed, volume: "12", workingPressure: "232" }, record)).toEqual({ cylinder: { volume: "12", volume_unit: "l", working_pressure: 232, pressure_unit: "bar" } });
  });
  it("sends a guardian's consent only where it was said anew, and nothing a draft does not hold", () => {
    const typed = typedRecord(record);
    expect(recordBody({ ...typed, consent: "yes", guardian: "g" }, record)).toEqual({ guardian_consent: true, guardians: ["g"] });
    const { consent, guardian, ...older } = typed;
    expect([consent, guardian]).toEqual(["", ""]);
    expect(recordBody(older as typeof typed, record)).toEqual({});
  });
  it("knows who is under age on a day", () => {
    expect(underAge("2009-06-13", "2027-06-12")).toBe(true);
    expect(underAge("2009-06-12", "2027-06-12")).toBe(false);
    expect(underAge("", "2027-06-12")).toBe(false);
  });
  it("names what is wrong with it", () => {
    const typed = { ...typedRecord(record), certification: "", depth: "30", volume: "12" };
    expect(Object.keys(recordMistakes(typed))).toEqual(["certification", "workingPressure"]);
  });
});

describe("a cylinder as typed", () => {
  it("never makes an oxygen reading larger than it was read", () => {
    const typed = { ...typedGas(null, undefined), cylinder: "14", volume: "12,2", workingPressure: "232", startPressure: "210", mix: "nitrox" as const, oxygen: "32", analysed: "31.69" };
    expect(gasMistakes(typed)).toEqual({});
    expect(gasBody(typed, "p")).toMatchObject({ volume: "12.2", o2_pm: 320, analysed_o2_pm: 316, analysed_by: "p", start_pressure: 210 });
  });
  it("takes what an analyser reads in air, and no label below it", () => {
    const typed = { ...typedGas(null, undefined), cylinder: "14", volume: "12", workingPressure: "232" };
    expect(gasMistakes({ ...typed, analysed: "20,9" })).toEqual({});
    expect(Object.keys(gasMistakes({ ...typed, mix: "nitrox", oxygen: "20.9", analysed: "2" }))).toEqual(["oxygen", "analysed"]);
  });
  it("takes an unknown start pressure as unknown, not as nothing wrong or as zero", () => {
    const typed = { ...typedGas(null, undefined), cylinder: "14", volume: "12", workingPressure: "232" };
    expect(gasMistakes(typed)).toEqual({});
    expect(gasBody(typed, "p")).toMatchObject({ start_pressure: null, o2_pm: 210, analysed_o2_pm: null, analysed_by: null });
  });
});
