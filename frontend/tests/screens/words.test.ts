import { expect, test } from "vitest";
import { clockTime, depth, limitWords, minutes, minutesToWait, names, span } from "../../src/screens/words/format.ts";
import { shortNames } from "../../src/screens/words/names.ts";

test("a limit is cut to whole minutes and a wait is raised to them", () => {
  expect(minutes(17 * 60 + 59)).toBe(17);
  expect(minutes(59)).toBe(0);
  expect(minutesToWait(17 * 60 + 1)).toBe(18);
  expect(minutesToWait(17 * 60)).toBe(17);
});

test("times are those of the place of the trip", () => {
  const at = Date.UTC(2027, 5, 12, 10, 42);
  expect(clockTime(at, "UTC")).toBe("10:42");
  expect(clockTime(at, "Atlantic/Azores")).toBe("10:42");
  expect(clockTime(at, "Europe/Berlin")).toBe("12:42");
  expect(clockTime(at, "no such zone")).toMatch(/^10:42/);
  // The schema lets an entry say any instant below 2^53; dates end at 8.64e15 ms (ECMA-262, time values).
  expect(clockTime(Number.MAX_SAFE_INTEGER, "UTC")).toBe("no such time");
});

test("numbers are written as people say them", () => {
  expect(depth({ unit: "m", hundredths: 2700 })).toBe("27 m");
  expect(depth({ unit: "m", hundredths: 2150 })).toBe("21.5 m");
  expect(span(53 * 60)).toBe("53 min");
  expect(span(65 * 60 + 59)).toBe("1 h 05 min");
  expect(names(["Ana"])).toBe("Ana");
  expect(names(["Ana", "Ben", "Cleo"])).toBe("Ana, Ben and Cleo");
});

test("first names, and more of the name only where two would be confused", () => {
  const short = shortNames({ a: "Ana Wick", b: "Ben Holm", c: "Ana Wold", d: " Cleo ", e: "Ana" });
  expect(short["b"]).toBe("Ben");
  expect(short["d"]).toBe("Cleo");
  expect(short["a"]).toBe("Ana Wi.");
  expect(short["c"]).toBe("Ana Wo.");
  expect(short["e"]).toBe("Ana");
  expect(new Set(Object.values(short)).size).toBe(5);
});

test("no wording calls a plan safe", () => {
  for (const words of Object.values(limitWords)) expect(words).not.toMatch(/\bsafe\b/i);
});
