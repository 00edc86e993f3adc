import { describe, expect, it } from "vitest";
import type { BeforeAltitude, NoFlyTime } from "../src/kernel/boatlog/nitrogen.ts";
import { roadAndPlane, waitingReason } from "../src/screens/words/waiting.ts";

const PASSED = "the waiting time from these dives has passed; this is not a clearance to fly";
const part = (until: BeforeAltitude["until"], to_altitude_ft: number): BeforeAltitude => ({
  until,
  wait_min: 720,
  table_wait_min: 66,
  rule: "consensus: 12 h after a single no-stop dive",
  to_altitude_ft,
  assumptions: ["Taken for granted."],
});
const at = (text: string): number => Date.parse(text);
const wait = (plane: BeforeAltitude["until"], road: BeforeAltitude["until"]): NoFlyTime => ({ ...part(plane, 8000), road: part(road, 3281) });

describe("before a road over a pass or a plane", () => {
  const both = wait(at("2027-06-13T05:12:00Z"), at("2027-06-12T21:17:00Z"));

  it("says both, then the one that is left, then that neither is a clearance", () => {
    expect(roadAndPlane(both, at("2027-06-12T12:00:00Z"), "UTC")).toBe("No road above 1,000 m before Sat 12 Jun, 21:17; no plane before Sun 13 Jun, 05:12");
    expect(roadAndPlane(both, at("2027-06-12T21:17:00Z"), "UTC")).toBe(`Road above 1,000 m: ${PASSED}; no plane before Sun 13 Jun, 05:12`);
    expect(roadAndPlane(both, at("2027-06-13T05:12:00Z"), "UTC").toLowerCase()).toBe(PASSED);
  });

  it("never takes what is not known for passed", () => {
    const unknown = { not_known: ["reported depth of dive 1"] };
    expect(roadAndPlane(wait(unknown, unknown), at("2030-01-01T00:00:00Z"), "UTC")).toBe(
      "No road above 1,000 m and no plane yet: not known (reported depth of dive 1)",
    );
    expect(roadAndPlane(wait(unknown, at("2027-06-12T21:17:00Z")), at("2030-01-01T00:00:00Z"), "UTC")).toBe(
      `Road above 1,000 m: ${PASSED}; no plane yet: not known (reported depth of dive 1)`,
    );
  });

  it("says one time once", () => {
    const until = at("2027-06-12T21:17:00Z");
    expect(roadAndPlane(wait(until, until), until - 1, "UTC")).toBe("No road above 1,000 m and no plane before Sat 12 Jun, 21:17");
  });

  it("has its reason: the rule, the table alone, what is taken for granted", () => {
    expect(waitingReason(both.road)).toEqual(["Consensus: 12 h after a single no-stop dive.", "By the table alone 1 h 06 min after surfacing.", "Taken for granted."]);
  });
});
