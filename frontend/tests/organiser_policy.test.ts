import { describe, expect, it } from "vitest";
import { readFileSync } from "node:fs";
import { POLICY_GROUPS } from "../src/screens/organiser/policy_fields.ts";
import { policyBody, policyMistake, typedPolicy, usual, usualText } from "../src/screens/organiser/policy_words.ts";

const group = (id: string) => POLICY_GROUPS.find((one) => one.id === id) ?? POLICY_GROUPS[0]!;
const field = (name: string) => POLICY_GROUPS.flatMap((one) => one.fields).find((one) => one.name === name)!;

describe("the rules of a club", () => {
  it("have a field for everything that the calculation takes, each once, few to a page", () => {
    const named = POLICY_GROUPS.flatMap((one) => one.fields.map((each) => each.name));
    expect([...named].sort()).toEqual(Object.keys(usual("m")).sort());
    expect(new Set(named).size).toBe(named.length);
    for (const one of POLICY_GROUPS) expect(one.fields.length).toBeLessThanOrEqual(6);
  });
  it("are the fields that the server reads", () => {
    const reader = readFileSync(new URL("../../teamdive/calculations/policy_reading.py", import.meta.url), "utf8");
    for (const name of POLICY_GROUPS.flatMap((one) => one.fields.map((each) => each.name))) expect(reader).toContain(`"${name}"`);
  });
  it("keep what the page does not show, and leave out what is empty", () => {
    const steps = group("steps");
    const typed = typedPolicy(steps, { first_exposure_min: 12, threes: "never" }, "m");
    expect(typed["first_exposure_min"]).toBe("12");
    expect(policyBody(steps, { ...typed, first_exposure_min: "", guardian_may_lead: "yes" }, { first_exposure_min: 12, threes: "never" })).toEqual({ threes: "never", guardian_may_lead: true });
  });
  it("take minutes for what is kept in seconds", () => {
    const wishes = group("wishes");
    expect(typedPolicy(wishes, { wish_s: 90 }, "m")["wish_s"]).toBe("1.5");
    expect(policyBody(wishes, { wish_s: "1,5" }, {})).toEqual({ wish_s: 90 });
  });
  it("take lists with commas and say what is wrong with one", () => {
    const practice = group("practice");
    expect(policyBody(practice, { freshness_months: "6, 12, 24" }, {})).toEqual({ freshness_months: [6, 12, 24] });
    expect(policyMistake(field("freshness_months"), "6, 12")).toMatch(/^3 numbers/);
    expect(policyMistake(field("freshness_months"), "6, 24, 12")).toMatch(/greater/);
    expect(policyMistake(field("stretches_allowed"), "1.5")).toMatch(/whole/);
    expect(policyMistake(field("stretches_allowed"), "")).toBeUndefined();
  });
  it("say what is usual in the club's unit, and that a rule is off", () => {
    const margin = field("oxygen_depth_margin");
    const most = field("most_days_since_dive");
    if (margin.kind !== "number" || most.kind !== "number") throw new Error("numbers");
    expect(usualText(margin, "m")).toBe("Left empty: 3 m.");
    expect(usualText(margin, "ft")).toBe("Left empty: 10 ft.");
    expect(usualText(most, "m")).toBe("Left empty: no such rule.");
  });
  it("keep the pairs of roles that one person may hold", () => {
    const surface = group("surface");
    expect(typedPolicy(surface, {}, "m")["cover_roles_combined"]).toBe("boat_handler+oxygen lookout+oxygen");
    expect(policyBody(surface, { surface_cover: "warn", cover_roles_combined: "lookout+oxygen" }, {})).toEqual({ surface_cover: "warn", cover_roles_combined: [["lookout", "oxygen"]] });
  });
});
