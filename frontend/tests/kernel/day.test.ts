// The day calculation against the shared vectors, and against random days that Python has just answered.
import SOURCES from "@data/sources.json" with { type: "json" };
import { describe, expect, test } from "vitest";
import { isObject } from "../../src/kernel/calculations/body.ts";
import { day } from "../../src/kernel/calculations/day.ts";
import { parseJson } from "../../src/kernel/calculations/json_text.ts";
import { Problem } from "../../src/kernel/calculations/problem.ts";
import { heldAlike } from "./alike.ts";

const cases = heldAlike("day", "days", day);

test("every answer carries the shared sources", () => {
  const found = day({ depth_unit: "m", dives: [{ depth: 18, bottom_time_min: 30 }] });
  expect(isObject(found) && found["sources"]).toEqual(SOURCES.day);
});

describe("reading JSON text", () => {
  const refused = (text: string): unknown => {
    try {
      return parseJson(text);
    } catch (problem) {
      if (problem instanceof Problem) return problem.errors.map(({ pointer, code }) => [pointer, code]);
      throw problem;
    }
  };
  test.each([
    ['{"a": 1, "b": {"c~/d": 1, "c~/d": 2}}', [["/b/c~0~1d", "duplicate"]]],
    ['{"a": [1, NaN]}', [["/a/1", "not_finite"]]],
    ['{"a": -Infinity}', [["/a", "not_finite"]]],
    ['{"a": 1e999}', [["/a", "not_finite"]]],
    ["{", [["", "not_json"]]],
    ["", [["", "not_json"]]],
    ["[1,]", [["", "not_json"]]],
    ["01", [["", "not_json"]]],
    ['"\u0001"', [["", "not_json"]]],
    ["[] []", [["", "not_json"]]],
    ["[".repeat(100) + "]".repeat(100), [["", "not_json"]]],
    ["[".repeat(100_000), [["", "not_json"]]],
    [`{"a": ${"9".repeat(400)}}`, [["/a", "not_finite"]]],
    [`{"a": ${"9".repeat(5000)}}`, [["/a", "not_finite"]]],
    // RFC 8259, 8.2: half of a surrogate pair is no Unicode text; it could not be written again.
    ['{"a": ["\\ud83d\\ude00", "x\\ud83d"]}', [["/a/1", "not_unicode"]]],
    ['{"a": {"\\ude00": 1}}', [["/a", "not_unicode"]]],
  ])("%j is refused", (text, errors) => expect(refused(text)).toEqual(errors));

  test("what JSON.parse reads it reads alike", () => {
    for (const { in: asked, out } of cases) {
      for (const value of [asked, out]) expect(parseJson(JSON.stringify(value, null, 1))).toEqual(value);
    }
    const odd = '{"__proto__": 1, "\\u00e9\\n\\"": [-0.5e-3, true, null, ""], "": {}}';
    expect(parseJson(odd)).toEqual(JSON.parse(odd));
  });
});
