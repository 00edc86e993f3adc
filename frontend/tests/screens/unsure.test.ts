import { expect, test } from "vitest";
import { farWords, lengthWords, unsureWords, withDoubt } from "../../src/screens/words/unsure.ts";

test.each([
  [0, ""],
  [59_999, ""],
  [60_000, "about 1 min uncertain"],
  [121_000, "about 3 min uncertain"],
  [119 * 60_000, "about 119 min uncertain"],
  [2 * 3600_000, "about 2 h uncertain"],
  [2 * 3600_000 + 1, "about 2 h 1 min uncertain"],
])("a doubt of %d ms is never made smaller, and none is shown under a minute", (ms, words) => expect(unsureWords(ms)).toBe(words));

test("a time carries its doubt only where there is one", () => {
  expect([withDoubt("09:40", 1000), withDoubt("09:40", 90_000), lengthWords(900), farWords(-3_600_040)]).toEqual(["09:40", "09:40, about 2 min uncertain", "1 s", "60 min"]);
});
