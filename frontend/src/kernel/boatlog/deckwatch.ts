// Who holds the deck of each boat: one named person at every moment, and never one who is under water.
// The twin of boatlog/deckwatch.py.

import { ofBoat, togetherOn, when } from "./boats.ts";
import type { Afloat } from "./boats.ts";
import { decided, readings } from "./claims.ts";
import type { Claim, Question } from "./claims.ts";
import type { State } from "./fold.ts";
import { compareEntries, compareKeys, sortedBy, told } from "./order.ts";

/** The deck was offered to `to` and not yet accepted. */
export interface Handover {
  readonly from: string | null;
  readonly to: string;
  readonly entry: string;
}

/** The person who last accepted the deck of that boat (null: of any); null: nobody yet. */
export function holder(state: State, boat: string | null = null): string | null {
  return of(state, "deck_accepted", boat).at(-1)?.entry.subject ?? null;
}

/** The offer that still waits to be accepted. */
export function handover(state: State, boat: string | null = null): Handover | null {
  const offer = of(state, "deck_handed_over", boat).at(-1);
  const accepted = of(state, "deck_accepted", boat).at(-1);
  if (offer === undefined || (accepted !== undefined && compareEntries(accepted.entry, offer.entry) > 0)) return null;
  return { from: offer.data["from"] as string | null, to: offer.entry.subject, entry: offer.entry.id };
}

/** Two who took the deck from one holder, a holder who went down or is in the water, a dive nobody watched. */
export function asked(state: State, inWater: ReadonlySet<string>, afloat: Afloat): Question[] {
  const boats: readonly (string | null)[] = afloat.boats.length > 0 ? afloat.boats : [null];
  const decks = new Map(boats.map((boat) => [boat, of(state, "deck_accepted", boat)]));
  const found = [...decks.values()].flatMap((accepted) => taken(accepted, inWater));
  const byTime = [...decks].map(([boat, accepted]) => [boat, sortedBy(accepted, (claim) => told(claim.at, claim.entry))] as const);
  for (const entry of state.byKind.get("down") ?? []) {
    const read = readings(state, entry);
    const claim = read.claims[0];
    if (claim === undefined || read.doubted) continue;
    const members = claim.data["members"] as string[];
    const wentFrom: ReadonlySet<string | null> = afloat.boats.length > 0 ? togetherOn(members.map((person) => when(afloat, person, claim))) : new Set(boats);
    const watches = byTime.map(([boat, accepted]) => [boat, watchAt(accepted, claim)] as const);
    if (watches.every(([boat, watch]) => watch === undefined || !wentFrom.has(boat))) {
      found.push({ code: "no_deck_holder", entries: [entry.id], people: [], subject: entry.subject });
    }
    for (const [, watch] of watches) {
      if (watch === undefined || !members.includes(watch.entry.subject)) continue;
      const entries = [watch.entry.id, entry.id];
      found.push({ code: "deck_holder_down", entries, people: [watch.entry.subject], subject: entry.subject });
    }
  }
  return found;
}

function of(state: State, kind: string, boat: string | null): Claim[] {
  return decided(state, kind).filter((claim) => ofBoat(claim, boat));
}

function taken(accepted: readonly Claim[], inWater: ReadonlySet<string>): Question[] {
  const found: Question[] = [];
  const last = accepted.at(-1);
  const before = accepted.at(-2);
  if (last !== undefined && inWater.has(last.entry.subject)) {
    found.push({ code: "deck_holder_in_water", entries: [last.entry.id], people: [last.entry.subject], subject: null });
  }
  if (last !== undefined && before !== undefined) {
    const people = [before.entry.subject, last.entry.subject];
    if (last.data["from"] !== people[0] && people[0] !== people[1]) {
      found.push({ code: "deck_accepted_by_two", entries: [before.entry.id, last.entry.id], people, subject: null });
    }
  }
  return found;
}

/** Who held the deck when the team went down. */
function watchAt(accepted: readonly Claim[], down: Claim): Claim | undefined {
  const at = told(down.at, down.entry);
  return accepted.filter((claim) => compareKeys(told(claim.at, claim.entry), at) <= 0).at(-1);
}
