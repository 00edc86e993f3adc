// The phone's plan and the server's: the same answer, to the last digit, to the same question.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import type { Json } from "../../src/kernel/calculations/body.ts";
import { plan } from "../../src/kernel/calculations/plan.ts";
import { Problem } from "../../src/kernel/calculations/problem.ts";

interface Case {
  readonly id: string;
  readonly why: string;
  readonly flags: readonly string[];
  readonly in: Json;
  readonly out: unknown;
}

const folder = new URL("../../../fixtures/vectors/", import.meta.url);
const json = (name: string): unknown => JSON.parse(readFileSync(new URL(name, folder), "utf8"));
const { cases } = json("plan.json") as { cases: readonly Case[] };

function outcome(body: Json): unknown {
  try {
    return { answer: plan(body) };
  } catch (problem) {
    if (problem instanceof Problem) return { problem: problem.asJson() };
    throw problem;
  }
}

test("every case of the index is here", () => {
  const index = json("index.json") as Record<string, number>;
  expect(cases.length).toBe(index["plan.json"]);
});

test.each(cases.map((each) => [each.id, each] as const))("%s", (_, { in: body, out }) => {
  expect(outcome(body)).toEqual(out);
});
