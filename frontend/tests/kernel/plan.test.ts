// The phone's plan and the server's: the same answer, to the last digit, to the same question.
import SOURCES from "@data/plan_sources.json" with { type: "json" };
import { expect, test } from "vitest";
import { isObject } from "../../src/kernel/calculations/body.ts";
import { plan } from "../../src/kernel/calculations/plan.ts";
import { heldAlike } from "./alike.ts";

const cases = heldAlike("plan", "plans", plan);

test("every answer carries the shared sources", () => {
  const answered = cases.find(({ out }) => isObject(out) && "answer" in out);
  const found = plan(answered!.in);
  expect(isObject(found) && found["sources"]).toEqual(SOURCES);
});
