// Who holds the deck of each boat: one named person at every moment, and never one who is under water.
// Whoever accepts it says in `of` what that follows, so that no clock decides who holds it: an acceptance that nothing
// follows still stands. Of two such, on phones that had not met, both hold it until somebody takes it from both.
// The twin of boatlog/deckwatch.py.

import { ofBoat, togetherOn, when } from "./boats.ts";
import type { Afloat } from "./boats.ts";
import { decided, readings } from "./claims.ts";
import type { Claim, Question } from "./claims.ts";
import type { Data } from "./entries.ts";
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
  return acceptance(state, boat)?.entry.subject ?? null;
}

/** The acceptance by which they hold it. */
export function acceptance(state: State, boat: string | null = null): Claim | undefined {
  return lastOf(state, of(state, "deck_accepted", boat)).at(-1);
}

/** Everyone from whom nobody took the deck: more than one where two took it on phones that had not met. */
export function holders(state: State, boat: string | null = null): ReadonlySet<string> {
  return new Set(lastOf(state, of(state, "deck_accepted", boat)).map((claim) => claim.entry.subject));
}

/** The offer that still waits to be accepted. */
export function handover(state: State, boat: string | null = null): Handover | null {
  const offer = waiting(state, boat).at(-1);
  return offer === undefined ? null : { from: offer.data["from"] as string | null, to: offer.entry.subject, entry: offer.entry.id };
}

/** What whoever takes the deck of that boat now writes: from whom, and which acceptances and offers it follows. */
export function accepting(state: State, boat: string | null = null): { readonly from: string | null; readonly of: readonly string[] } {
  const follows = [...lastOf(state, of(state, "deck_accepted", boat)), ...waiting(state, boat)];
  return { from: holder(state, boat), of: [...new Set(follows.map((claim) => claim.entry.id))].sort() };
}

/** Two who took the deck from one holder, a holder who went down or is in the water, a dive nobody watched. */
export function asked(state: State, inWater: ReadonlySet<string>, afloat: Afloat): Question[] {
  const boats: readonly (string | null)[] = afloat.boats.length > 0 ? afloat.boats : [null];
  const decks = new Map(boats.map((boat) => [boat, of(state, "deck_accepted", boat)]));
  const found = [...decks.values()].flatMap((accepted) => taken(lastOf(state, accepted), inWater));
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

/** The acceptances that no other one follows, in order of writing. What was taken back passes on what it followed. */
function lastOf(state: State, accepted: readonly Claim[]): readonly Claim[] {
  const followed = new Set<string>();
  const names: string[] = [];
  accepted.forEach((claim, place) => {
    if ("of" in claim.data) names.push(...named(claim));
    else for (const { entry } of before(accepted.slice(0, place), claim)) followed.add(entry.id);
  });
  for (let name = names.pop(); name !== undefined; name = names.pop()) {
    if (followed.has(name)) continue;
    followed.add(name);
    for (const entry of state.byId.get(name) ?? []) if (entry.kind === "deck_accepted") names.push(...named(entry));
  }
  const left = accepted.filter((claim) => !followed.has(claim.entry.id));
  return left.length > 0 ? left : accepted.slice(-1);
}

/** What one follows that does not say so: all written before, but for the last where it was taken from another. */
function before(earlier: readonly Claim[], claim: Claim): readonly Claim[] {
  const last = earlier.at(-1)?.entry.subject;
  return last === undefined || last === claim.data["from"] || last === claim.entry.subject ? earlier : earlier.slice(0, -1);
}

function waiting(state: State, boat: string | null): readonly Claim[] {
  const accepted = of(state, "deck_accepted", boat);
  const answered = new Set(accepted.flatMap(named));
  const last = accepted.filter((claim) => !("of" in claim.data)).at(-1);
  return of(state, "deck_handed_over", boat).filter(
    (offer) => !answered.has(offer.entry.id) && (last === undefined || compareEntries(offer.entry, last.entry) > 0),
  );
}

function named({ data }: { readonly data: Data }): readonly string[] {
  return (data["of"] as readonly string[] | undefined) ?? [];
}

function taken(last: readonly Claim[], inWater: ReadonlySet<string>): Question[] {
  const found: Question[] = [];
  const people = [...new Set(last.map((claim) => claim.entry.subject))];
  for (const { entry } of last) {
    if (inWater.has(entry.subject)) found.push({ code: "deck_holder_in_water", entries: [entry.id], people: [entry.subject], subject: null });
  }
  if (people.length > 1) found.push({ code: "deck_accepted_by_two", entries: last.map((claim) => claim.entry.id), people, subject: null });
  return found;
}

/** Who held the deck when the team went down. */
function watchAt(accepted: readonly Claim[], down: Claim): Claim | undefined {
  const at = told(down.at, down.entry);
  return accepted.filter((claim) => compareKeys(told(claim.at, claim.entry), at) <= 0).at(-1);
}
