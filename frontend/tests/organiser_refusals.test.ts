import { describe, expect, it } from "vitest";
import { problemOf } from "../src/sync/server.ts";
import { named, settable } from "../src/screens/organiser/teams_desk.ts";
import { questionText } from "../src/screens/words/questions.ts";

const [ANA, BO] = ["0b6f0a52-3c1f-4a55-9d8e-0c4a1f6e2b11", "5d1c9b1e-7e0a-4c58-8f37-2f5b7d0a9c22"] as const;
const nameOf = (id: string) => ({ [ANA]: "Ana Roque", [BO]: "Bo Reed" })[id] ?? "?";

function refusal(...overridable: boolean[]) {
  return problemOf(409, {
    type: "urn:teamdive:problem:team_not_permitted",
    title: "Team not permitted",
    detail: "…",
    errors: overridable.map((may, n) => ({
      pointer: `/teams/${n}`,
      code: "fitness_out_of_date",
      message: `diver ${n === 0 ? ANA : BO}'s medical is out of date.`,
      divers: [n === 0 ? ANA : BO],
      overridable: may,
      remedy: "Change the team, or set the rule aside with a reason.",
    })),
  });
}

describe("a refusal", () => {
  it("keeps what mends it, whom it concerns and whether it may be set aside", () => {
    const [error] = refusal(true).errors;
    expect(error).toMatchObject({ overridable: true, divers: [ANA], remedy: expect.stringMatching(/reason/) as unknown });
    expect(problemOf(400, { errors: [{ param: "new_password", code: "password_too_short", message: "Too short." }] }).errors).toEqual([
      { pointer: "/new_password", code: "password_too_short", message: "Too short." },
    ]);
  });

  it("speaks of people by name and keeps its remedy", () => {
    const shown = named(refusal(true), nameOf);
    expect(shown?.errors[0]?.message).toBe("Ana Roque's medical is out of date.");
    expect(shown?.errors[0]?.remedy).toMatch(/^Change the team/);
  });

  it("offers to set aside only where every rule may be", () => {
    expect(settable(refusal(true, true))).toEqual([
      { rule: "fitness_out_of_date", diver: ANA },
      { rule: "fitness_out_of_date", diver: BO },
    ]);
    expect(settable(refusal(true, false))).toEqual([]);
    expect(settable(problemOf(409, { errors: [{ pointer: "", code: "trip_is_ready", message: "It is ready." }] }))).toEqual([]);
    expect(settable(null)).toEqual([]);
  });
});

describe("a question of the boat log", () => {
  it("is a sentence, also where the code is new", () => {
    expect(questionText("up_times_differ")).toMatch(/later counts/);
    expect(questionText("something_new")).toBe("something new");
  });
});
