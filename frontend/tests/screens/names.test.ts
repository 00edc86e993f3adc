// Common practice, no source: whoever is called for by name must not be mistaken for a namesake.
import { expect, test } from "vitest";
import { distinctNames, shortNames } from "../../src/screens/words/names.ts";

test("namesakes are numbered alike on every phone, whatever came first; nobody else is", () => {
  const full = { c: "Ana Quill", a: "Ana Quill ", b: "Ana Farrow", d: "Bo Quill" };
  const apart = distinctNames(full);
  expect(apart).toEqual({ a: "Ana Quill 1", c: "Ana Quill 2", b: "Ana Farrow", d: "Bo Quill" });
  expect(distinctNames({ a: full.a, b: full.b, c: full.c, d: full.d })).toEqual(apart);
  const short = Object.values(shortNames(apart));
  expect(new Set(short).size).toBe(4);
  expect(shortNames(apart)).toMatchObject({ a: "Ana Quill 1", c: "Ana Quill 2", b: "Ana F.", d: "Bo" });
});
