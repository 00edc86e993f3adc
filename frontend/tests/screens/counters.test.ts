// Two people, or one of the crew alone in two active ways: Queensland, Recreational Water Activities Regulation 2024, s 15.
import { expect, test } from "vitest";
import type { Count } from "../../src/kernel/boatlog/counting.ts";
import { mayCount, sameNames, toCall, unpaired } from "../../src/screens/deck/counters.ts";

const ended = (count: string, counter: string, at: number, methods: readonly string[] = ["answered"]): Count => ({
  count,
  by: [counter],
  active: !methods.includes("seen"),
  seen: ["a", "b"],
  missing: [],
  methods,
  finished_at: at,
  counter,
  heads: null,
  agrees: true,
});
const call = (counts: readonly Count[], alone: boolean, compared: readonly string[] = []) => ({ counts, alone, compared });

test("with two of the crew aboard the second count is somebody else's", () => {
  const after = call([ended("1", "a", 10)], false);
  expect(unpaired(after)?.count).toBe("1");
  expect([mayCount(after, "a", "tag"), mayCount(after, "b", "seen")]).toEqual([false, true]);
});

test("one of the crew alone counts again in another active way, and only so", () => {
  const after = call([ended("1", "a", 10)], true);
  expect((["answered", "seen", "tag", "signed"] as const).map((method) => mayCount(after, "a", method))).toEqual([false, false, true, true]);
  const seen = call([ended("1", "a", 10, ["seen"])], true);
  expect(mayCount(seen, "a", "answered")).toBe(false);
});

test("after two that were compared anybody may begin the recount, and a count still going waits for nobody", () => {
  const both = [ended("1", "a", 10), ended("2", "b", 20)];
  expect(unpaired(call(both, false, ["1", "2"]))).toBeUndefined();
  expect(mayCount(call(both, false, ["1", "2"]), "b", "answered")).toBe(true);
  expect(unpaired(call([{ ...both[0]!, finished_at: null }], false))).toBeUndefined();
});

test("whoever went home with others is not called here; whoever only got a lift is", () => {
  const person = (state: string, accounted_for: boolean) => ({ state, accounted_for });
  const people = { a: person("aboard", true), b: person("transferred", true), c: person("transferred", false), d: person("ashore", true), e: person("down", false) };
  expect(toCall(people as unknown as Parameters<typeof toCall>[0])).toEqual({ called: ["a", "c", "e"], away: ["b"] });
});

test("two counts that lack one name found the same; two that lack different names differ", () => {
  const lacks = (count: string, seen: readonly string[]) => ({ ...ended(count, count, 10), seen });
  expect(sameNames(call([lacks("1", ["a", "b"]), lacks("2", ["a", "b"])], false, ["1", "2"]))).toBe(true);
  expect(sameNames(call([lacks("1", ["a", "b"]), lacks("2", ["a", "c"])], false, ["1", "2"]))).toBe(false);
  expect(sameNames(call([lacks("1", ["a", "b"])], false))).toBe(false);
});
