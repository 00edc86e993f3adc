import { beforeEach, describe, expect, test } from "vitest";
import { counts, forgetTaps, lifted, pageChanged, settling, tapped, touched } from "../../src/screens/deck/tap.ts";

beforeEach(forgetTaps);

describe("which touches count on a wet deck", () => {
  test("one tap counts, its bounce on the same row does not, whatever the button now means", () => {
    expect(counts("team 1", 1000)).toBe(true);
    expect(counts("team 1", 1100)).toBe(false);
    expect(counts("team 1", 2100)).toBe(false);
    expect(counts("team 1", 2300)).toBe(true);
  });

  test("another team's row a moment later counts: two teams may go down together", () => {
    expect(counts("team 1", 1000)).toBe(true);
    expect(counts("team 2", 1100)).toBe(false);
    expect(counts("team 2", 1300)).toBe(true);
  });

  test("several contacts at once are water or a sleeve, and for a moment after too", () => {
    touched(1, 1000);
    touched(2, 1010);
    expect(counts("team 1", 1050)).toBe(false);
    lifted(1);
    lifted(2);
    expect(counts("team 1", 1200)).toBe(false);
    touched(3, 1600);
    expect(counts("team 1", 1650)).toBe(true);
  });
});

test("a page that just came takes no tap meant for the one before, and a name is taken once", () => {
  expect(tapped("went in")).toBe(true);
  expect(tapped("went in")).toBe(false);
  forgetTaps();
  pageChanged();
  expect(tapped("bottom time")).toBe(false);
});

test("what took the place of a tapped button is dead for five seconds, also while the page's clock lags behind the tap", () => {
  expect(settling(null, 10_000)).toBe(false);
  expect(settling(10_000, 9_200)).toBe(true);
  expect(settling(10_000, 14_900)).toBe(true);
  expect(settling(10_000, 15_000)).toBe(false);
  // A phone whose clock is an hour ahead wrote it: that must not hold the button for an hour.
  expect(settling(3_610_000, 10_000)).toBe(false);
});
