import { describe, expect, it } from "vitest";
import { isUnknown, limitLines, limitSentence, missingText, wholeMinutes } from "../src/screens/words/plan.ts";
import { bothMethods, breathes, buysTimeSentence, intervalSentence, outBySentence, sourceLines, turnsBy, turnsFirst, whatIfPlain, whatIfSentence, withoutSentences } from "../src/screens/words/plan_sentences.ts";
import { plain } from "../src/screens/words/plain.ts";
import { hundredths, number, showCertified, showDepth, showPressure, whole } from "../src/screens/words/units.ts";
import { newForMe, othersReasons } from "../src/screens/diver/my_words.ts";
import { noFlyText, noRoadText, PASSED } from "../src/screens/diver/status_words.ts";
import type { AnnouncedTeam, DiverStatus, PlanAnswer, TripDive } from "../src/screens/words/answers.ts";

const nameOf = (id: string) => ({ a: "Ana", b: "Ben" })[id] ?? id;

const plan: PlanAnswer = {
  team: {
    limits: {
      table_no_stop: { min: 25, diver: "b", reason: "table" },
      tissue_no_stop: { min: 13.95, diver: "a", reason: "tissues" },
      gas: { min: { not_known: ["start_pressure"] }, diver: "b" },
      oxygen: { min: null },
      planned: { min: 15 },
    },
    limit_min: 13.95,
    limited_by: "tissue_no_stop",
    limiting_diver: "a",
    first_to_turn: { diver: "b", probability: 0.844 },
  },
  divers: [],
};

describe("limits in words", () => {
  it("shows whole minutes and never one more than there is", () => {
    expect(wholeMinutes(13.95)).toBe(13);
    expect(wholeMinutes(17)).toBe(17);
    expect(limitSentence(13.95, "tissue_no_stop", "a", nameOf)).toBe("not more than 13 min (Ana: the tissue model's no-stop limit)");
    expect(limitSentence(15, "planned", "a", nameOf)).toBe("not more than 15 min (the planned bottom time)");
  });
  it("puts what is not known first and says what is missing", () => {
    expect(limitLines(plan.team.limits).map((line) => [line.name, line.kind])).toEqual([
      ["gas", "not_known"],
      ["tissue_no_stop", "minutes"],
      ["planned", "minutes"],
      ["table_no_stop", "minutes"],
      ["oxygen", "none"],
    ]);
    expect(limitSentence({ not_known: ["start_pressure"] }, null, null, nameOf)).toBe("limit not known: start pressure");
    expect(missingText(["/divers/0/rmv_l_min", "something_new"])).toBe("breathing rate (RMV) and something new");
    expect(isUnknown({ not_known: [] })).toBe(true);
  });
  it("always gives both methods and which of them governs", () => {
    expect(bothMethods(plan, "shorter", nameOf)).toBe("No-stop limits: 13 min by the tissue model, 25 min by the air table. The shorter of the two governs.");
    expect(bothMethods(plan, "tissue", nameOf)).toMatch(/club’s setting the tissue model governs/);
  });
  it("never calls a plan by the word that no plan deserves", () => {
    const all = [bothMethods(plan, "table", nameOf), limitSentence(12, "gas", "b", nameOf), turnsFirst(plan, nameOf)].join(" ");
    expect(all.toLowerCase()).not.toContain("safe");
  });
  it("says what would buy time, and what would not", () => {
    expect(buysTimeSentence({ change: "larger_cylinder", diver: "b", by: 2, to: 12, unit: "l", limit_min: 13.5, gain_min: 2.3 }, 11.2, nameOf)).toEqual({ what: "Ben: a cylinder of 12 l", result: "then not more than 13 min", gain: "+2 min" });
    expect(buysTimeSentence({ change: "easier_work", limit_min: 11, gain_min: 0 }, 11, nameOf).gain).toBe("does not help");
    expect(whatIfSentence({ change: "deeper", by: 3, to: 30, unit: "m", limit_min: 0.4, limited_by: "gas", limiting_diver: "b" }, nameOf)).toEqual({ what: "3 m deeper (30 m)", limit: "no dive", note: "Ben: gas" });
    expect(buysTimeSentence({ change: "fuller_fill", diver: "b", by: 22, to: 232, unit: "bar", limit_min: 15, gain_min: 4 }, 11, nameOf).what).toBe("Ben: a fill to 232 bar, analysed again");
    expect(buysTimeSentence({ change: "fixed_line", to: 0.5, unit: "kn", limit_min: 15, gain_min: 4 }, 11, nameOf).what).toBe("pulling along a fixed line instead of swimming");
    const own = { id: "a", limits: {}, limit_min: 10, limited_by: null, minimum_gas: 90, turn_pressure: 160, turn_rule: "thirds" } as const;
    expect(turnsBy({ ...plan, divers: [own] }, { along_current: null } as TripDive)).toBe("thirds: a third out, a third back, a third kept");
    expect(turnsBy({ ...plan, divers: [own] }, { along_current: { first: "with", swim_kn: 0.8 } } as TripDive)).toMatch(/out with the current, so earlier/);
    expect(turnsBy(plan, {} as TripDive)).toBe(null);
    expect(breathes({ ...own, breathing: { planned_l_min: 22, log: { dives: 6, own_weight_percent: 80 } } }, nameOf)).toBe("22 l a minute, from 6 logged dives");
    expect(breathes({ ...own, breathing: { planned_l_min: 22 } }, nameOf)).toBe("22 l a minute");
    expect(turnsFirst(plan, nameOf)).toBe("Ben, in about 84 of 100 dives like this");
  });
  it("says a change in one sentence, and whom waiting less would need", () => {
    expect(whatIfPlain({ change: "deeper", by: 3, to: 30, unit: "m", limit_min: 11.5, limited_by: "gas", message: "3 m deeper (30 m): not more than 11 min (diver b: gas)." }, (id) => id)).toBe("3 m deeper (30 m): not more than 11 min (diver b: gas).");
    expect(whatIfPlain({ change: "longer", by: 5, to: 22, unit: "min", limit_min: 17, limited_by: "gas", limiting_diver: "b" }, nameOf)).toBe("5 min longer (22 min): not more than 17 min, Ben: gas.");
    const interval = { min: 158, message: "Not less than 158 min on the surface.", without: [{ without: "a", with: null, min: 53 }, { without: "b", with: null, min: 158 }, { without: "a", with: "b", min: 0 }] };
    expect(withoutSentences(interval, nameOf)).toEqual(["Without Ana: 53 min", "Ben in place of Ana: no wait"]);
    expect(intervalSentence(interval, nameOf)).toBe("Not less than 158 min on the surface.");
    expect(intervalSentence({ none: "The gas ends first." }, nameOf)).toBe("No wait helps: The gas ends first.");
    expect(intervalSentence({ not_known: ["rmv_l_min"] }, nameOf)).toBe("Not known: breathing rate (RMV).");
  });
  it("says by when a diver with a flight must be out", () => {
    const flight = { latest_surfacing_min: 120, surfaces_min: 35, spare_min: 85, message: "" };
    expect(outBySentence(flight, Date.UTC(2027, 5, 12, 10, 0), "UTC", nameOf)).toBe("must be out by Sat 12 Jun, 12:00; this dive is out at 10:35");
    expect(outBySentence({ ...flight, latest_surfacing_min: { not_known: ["earlier_dives"] } }, 0, "UTC", nameOf)).toBe("not known: dives of the last day");
  });
  it("puts names for ids and whole minutes for decimals, never rounding up", () => {
    const id = "3f2b8f5e-6d0c-4b9e-9a39-0d4b9a1d2c11";
    const named = (one: string) => (one === id ? "Ana Roque" : one);
    expect(plain(`limited to 11.9 min by diver ${id}'s gas.`, named)).toBe("Limited to 11 min by Ana Roque's gas.");
    expect(missingText([`spread of the RMV of diver ${id} (rmv_sd_l_min)`], named)).toBe("spread of the RMV of Ana Roque");
  });
  it("lists each source once, whatever its shape", () => {
    expect(sourceLines(["one", "one", { what: "gas_rule", source: "two" }, { table: "three" }])).toEqual(["one", "gas rule: two", "table: three"]);
  });
});

describe("units", () => {
  // 1 fsw = 0.30643 msw; 1 bar = 14.5038 psi (NIST SP 811).
  it("rounds towards the careful side of the question", () => {
    expect(showDepth({ unit: "m", hundredths: 2700 }, "imperial")).toBe("89 ft");
    expect(showDepth({ unit: "m", hundredths: 2700 }, "imperial", "shallower")).toBe("88 ft");
    expect(showDepth({ unit: "ft", hundredths: 12010 }, "imperial")).toBe("120.1 ft");
    expect(showPressure({ unit: "bar", value: 105 }, "imperial")).toBe("1550 psi");
    expect(showPressure({ unit: "bar", value: 210 }, "imperial", "down")).toBe("3000 psi");
    expect(showPressure({ unit: "psi", value: 1550 }, "metric")).toBe("110 bar");
    expect(showPressure({ unit: "bar", value: 105 }, "metric")).toBe("105 bar");
  });
  it("takes 40 m and 130 ft as one step of qualification, and only there", () => {
    expect(showCertified({ unit: "ft", hundredths: 13000 }, "metric")).toBe("40 m");
    expect(showCertified({ unit: "m", hundredths: 1800 }, "imperial")).toBe("60 ft");
    expect(showCertified({ unit: "ft", hundredths: 11000 }, "metric")).toBe("33 m");
    expect(showDepth({ unit: "ft", hundredths: 13000 }, "metric")).toBe("40 m");
    expect(showDepth({ unit: "m", hundredths: 4000 }, "imperial")).toBe("131 ft");
  });
  it("reads numbers with a comma or a point and refuses the rest", () => {
    expect([hundredths("27,5"), hundredths("27.05"), hundredths("27 m"), hundredths("")]).toEqual([2750, 2705, null, null]);
    expect([number("0,5"), number("-1"), number("1e3")]).toEqual([0.5, -1, null]);
    expect([whole("17"), whole("17.5")]).toEqual([17, null]);
  });
});

describe("a diver's own view", () => {
  const team: AnnouncedTeam = {
    id: "g",
    number: 1,
    members: ["a", "b"],
    lead: "a",
    plan: null,
    reasons: [
      { code: "stretch", divers: ["b"], message: "Ben takes 1 stretch (depth), beside Ana. The nearest past dive lacks depth." },
      { code: "limit", divers: ["b"], message: "Ben's gas ends the dive." },
    ],
  };
  it("shows what is new to that diver and to no one else", () => {
    expect(newForMe(team, "b", nameOf)).toEqual(["Depth: Ana is beside you."]);
    expect(newForMe(team, "a", nameOf)).toEqual([]);
    expect(othersReasons(team, "b", nameOf)).toEqual(["Ben's gas ends the dive."]);
  });
  it("says that the waiting time has passed only when it has, and then promises nothing", () => {
    const until = "2027-06-13T05:12:00Z";
    const status: DiverStatus = { diver: "x", person: "b", name: "Ben", group: "E", surfaced_at: "2027-06-12T11:12:00Z", next_dive: null, earliest_next_dive_at: null, no_fly_until: until, why: [] };
    expect(noFlyText(status, Date.parse(until) - 1, "UTC")).toBe("not before Sun 13 Jun, 05:12");
    expect(noFlyText(status, Date.parse(until), "UTC")).toBe(PASSED);
    const road = { until, to_altitude_ft: 3281 };
    expect(noRoadText({ ...status, no_road: road }, Date.parse(until) - 1, "UTC")).toBe("not before Sun 13 Jun, 05:12");
    expect(noRoadText({ ...status, no_road: road }, Date.parse(until), "UTC")).toBe(PASSED);
    expect(noRoadText({ ...status, no_road: { ...road, until: { not_known: ["maximum_depth"] } } }, 0, "UTC")).toMatch(/^not known: maximum depth/);
    expect(noFlyText({ ...status, no_fly_until: { not_known: ["maximum_depth"] } }, 0, "UTC")).toMatch(/^not known: maximum depth/);
  });
});
