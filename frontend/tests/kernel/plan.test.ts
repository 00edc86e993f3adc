// The phone's plan and the server's: the same answer, to the last digit, to the same question.
import { readFileSync } from "node:fs";
import SOURCES from "@data/plan_sources.json" with { type: "json" };
import { describe, expect, test } from "vitest";
import { type Json, type JsonObject, isObject } from "../../src/kernel/calculations/body.ts";
import { plan } from "../../src/kernel/calculations/plan.ts";
import { Problem } from "../../src/kernel/calculations/problem.ts";

interface Case {
  readonly id: string;
  readonly in: Json;
  readonly out: Json;
}

const folder = new URL("../../../fixtures/vectors/", import.meta.url);
const load = <T>(path: string | URL): T => JSON.parse(readFileSync(path, "utf8")) as T;
const cases = load<{ cases: Case[] }>(new URL("plan.json", folder)).cases;

/** The outcome without `sources`, which are one file for both languages. */
function outcome(asked: Json): Json {
  let found: Json;
  try {
    found = plan(asked);
  } catch (problem) {
    if (problem instanceof Problem) return { problem: problem.asJson() as unknown as JsonObject };
    throw problem;
  }
  if (!isObject(found)) throw new Error("no object");
  return { answer: Object.fromEntries(Object.entries(found).filter(([name]) => name !== "sources")) };
}

describe("vectors", () => {
  test("none is left out", () => {
    expect(cases.length).toBe(load<Record<string, number>>(new URL("index.json", folder))["plan.json"]);
  });
  test.each(cases)("$id", ({ in: asked, out }) => expect(outcome(asked)).toEqual(out));
});

// A file of fresh cases, made by tests/parity/test_plan_twins.py.
const fresh = process.env["TEAMDIVE_PLAN_CASES"];
describe.runIf(fresh)("random plans", () => {
  test("are answered alike", () => {
    const made = load<{ cases: Case[] }>(fresh!).cases;
    for (const { id, in: asked, out } of made) expect(outcome(asked), id).toEqual(out);
    console.log(`${made.length} random plans answered alike`);
  });
});

test("every answer carries the shared sources", () => {
  const answered = cases.find(({ out }) => isObject(out) && "answer" in out);
  const found = plan(answered!.in);
  expect(isObject(found) && found["sources"]).toEqual(SOURCES);
});
