import { beforeEach, describe, expect, test } from "vitest";
import { counts, forgetTaps, lifted, touched } from "../../src/screens/deck/tap.ts";

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
