// What the tests of the three calculations share: the vectors, and fresh cases that Python has just answered.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type Json, type JsonObject, isObject } from "../../src/kernel/calculations/body.ts";
import { Problem } from "../../src/kernel/calculations/problem.ts";
import { folder } from "./vectors.ts";

export interface Case {
  readonly id: string;
  readonly in: Json;
  readonly out: Json;
}

type Calculation = (body: Json) => Json;

const load = <T>(path: string | URL): T => JSON.parse(readFileSync(path, "utf8")) as T;

/** The outcome without `sources`, which are one file for both languages. */
function outcome(calculate: Calculation, asked: Json): Json {
  let found: Json;
  try {
    found = calculate(asked);
  } catch (problem) {
    if (problem instanceof Problem) return { problem: problem.asJson() as unknown as JsonObject };
    throw problem;
  }
  if (!isObject(found)) throw new Error("no object");
  return { answer: Object.fromEntries(Object.entries(found).filter(([name]) => name !== "sources")) };
}

/** Hold a calculation to its vectors, and to the file of fresh cases that its test in tests/parity names. */
export function heldAlike(name: "day" | "plan" | "teams", what: string, calculate: Calculation): readonly Case[] {
  const { cases } = load<{ cases: Case[] }>(new URL(`${name}.json`, folder));
  describe("vectors", () => {
    test("none is left out", () => {
      expect(cases.length).toBe(load<Record<string, number>>(new URL("index.json", folder))[`${name}.json`]);
    });
    test.each(cases)("$id", ({ in: asked, out }) => expect(outcome(calculate, asked)).toEqual(out));
  });

  const fresh = process.env[`TEAMDIVE_${name.toUpperCase()}_CASES`];
  describe.runIf(fresh)(`random ${what}`, () => {
    test("are answered alike", { timeout: 3_600_000 }, () => {
      const made = load<{ cases: Case[] }>(fresh!).cases;
      for (const { id, in: asked, out } of made) {
        try {
          expect(outcome(calculate, asked), id).toEqual(out);
        } catch (difference) {
          console.log(`first to differ: ${id}`);
          throw difference;
        }
      }
      console.log(`${made.length} random ${what} answered alike`);
    });
  });
  return cases;
}
