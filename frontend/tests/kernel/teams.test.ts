// The phone's teams and the server's: the same teams and reasons to the same question, not only the same totals.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type Json, type JsonObject, isObject } from "../../src/kernel/calculations/body.ts";
import { Problem } from "../../src/kernel/calculations/problem.ts";
import { teams } from "../../src/kernel/calculations/teams.ts";

interface Case {
  readonly id: string;
  readonly in: Json;
  readonly out: Json;
}

const folder = new URL("../../../fixtures/vectors/", import.meta.url);
const load = <T>(path: string | URL): T => JSON.parse(readFileSync(path, "utf8")) as T;
const cases = load<{ cases: Case[] }>(new URL("teams.json", folder)).cases;

/** The outcome without `sources`, which are one file for both languages. */
function outcome(asked: Json): Json {
  let found: Json;
  try {
    found = teams(asked);
  } catch (problem) {
    if (problem instanceof Problem) return { problem: problem.asJson() as unknown as JsonObject };
    throw problem;
  }
  if (!isObject(found)) throw new Error("no object");
  return { answer: Object.fromEntries(Object.entries(found).filter(([name]) => name !== "sources")) };
}

describe("vectors", () => {
  test("none is left out", () => {
    expect(cases.length).toBe(load<Record<string, number>>(new URL("index.json", folder))["teams.json"]);
  });
  test.each(cases)("$id", ({ in: asked, out }) => expect(outcome(asked)).toEqual(out));
});

// A file of fresh cases, made by tests/parity/test_teams_twins.py.
const fresh = process.env["TEAMDIVE_TEAMS_CASES"];
describe.skipIf(fresh === undefined)("fresh cases", () => {
  test("all alike", () => {
    const made = load<{ cases: Case[] }>(fresh!).cases;
    for (const { id, in: asked, out } of made) expect(outcome(asked), id).toEqual(out);
    console.log(`${made.length} random groups answered alike`);
  });
});
