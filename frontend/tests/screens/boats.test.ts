import { expect, test } from "vitest";
import { boats, boatsOf, thisBoat } from "../../src/screens/deck/boats.ts";
import type { Deck } from "../../src/screens/deck/use_trip.ts";

const PEOPLE: readonly { id: string; boat?: string }[] = [{ id: "a", boat: "l" }, { id: "b", boat: "s" }, { id: "c" }];

function deck(labels: Readonly<Record<string, unknown>>, holder: string | null, people = PEOPLE): Deck {
  const view = { deck_holder: holder, people: Object.fromEntries(people.map(({ id, boat }) => [id, { boats: boat === undefined ? [] : [boat] }])) };
  return { log: { labels, snapshot: { people } }, view, boat: null } as unknown as Deck;
}

test("with one boat that one calls", () => {
  const one = deck({ boat: "Grey Petrel" }, "c", [{ id: "c" }]);
  expect([boats(one), thisBoat(one), boatsOf(one, "c")]).toEqual(["Grey Petrel", "Grey Petrel", ""]);
});

test("of several boats the radio words never name another than the deck holder's", () => {
  const labels = { boat: "Grey Petrel", boats: { l: "Large boat", s: "Small boat" } };
  expect(boats(deck(labels, "a"))).toBe("Large boat and Small boat");
  expect(thisBoat(deck(labels, "a"))).toBe("Large boat");
  expect(thisBoat(deck(labels, "b"))).toBe("Small boat");
  expect([thisBoat(deck(labels, "c")), thisBoat(deck(labels, null))]).toEqual(["", ""]);
  // Whoever holds it by name: the phone is where it is.
  expect(thisBoat({ ...deck(labels, "a"), boat: "s" })).toBe("Small boat");
});
