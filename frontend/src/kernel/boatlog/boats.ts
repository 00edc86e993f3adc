// On which boats of a trip a person may be, where several go. Of one boat nothing here says anything.
// The twin of boatlog/boats.py: whoever may be on two boats is wanted on both.

import { isUnaltered } from "./chain.ts";
import { readings } from "./claims.ts";
import type { Claim, Question } from "./claims.ts";
import type { Entry } from "./entries.ts";
import type { State } from "./fold.ts";
import { after, MET } from "./presence.ts";
import type { Presence, Sign } from "./presence.ts";
import { boatsOfTrip } from "./snapshot.ts";

type Boats = ReadonlySet<string>;

/** A sign that met a person by name, and the boats that it names; none: it says nothing of boats. */
interface Met {
  readonly sign: Sign;
  readonly boats: Boats;
}

/**
 * The boats of the trip (none where fewer than two go), and of each person: the list's, who met them, where now. `ever`: any
 * that was ever said of them.
 */
export interface Afloat {
  readonly boats: readonly string[];
  readonly home: ReadonlyMap<string, Boats>;
  readonly met: ReadonlyMap<string, readonly Met[]>;
  readonly ever: ReadonlyMap<string, Boats>;
  readonly now: ReadonlyMap<string, Boats>;
}

const ONE_BOAT: Afloat = { boats: [], home: new Map(), met: new Map(), ever: new Map(), now: new Map() };
const LISTS: Readonly<Record<string, "members" | "people">> = { down: "members", surfaced: "people" };
const NONE: Boats = new Set();

/** On which boats everyone may be. Nobody known to the list or met by name anywhere: on any. */
export function afloatOf(state: State, people: readonly string[], signs: ReadonlyMap<string, readonly Sign[]>): Afloat {
  const boats = boatsOfTrip(state.snapshot);
  if (boats.length === 0) return ONE_BOAT;
  const home = homes(state, people, boats);
  const met = new Map<string, readonly Met[]>();
  for (const person of people) {
    const firm = signs.get(person)!.filter((sign) => sign.firm && MET.has(sign.word));
    met.set(person, firm.map((sign) => ({ sign, boats: named(boats, sign.said) })));
  }
  const ever = new Map(people.map((person) => [person, new Set([...home.get(person)!, ...met.get(person)!.flatMap((each) => [...each.boats])])]));
  const now = new Map(people.map((person) => [person, possible(home.get(person)!, met.get(person)!, naming(met.get(person)!))]));
  return { boats, home, met, ever, now };
}

/** On which boats everyone may have been at that instant (ms), by what had happened by then. */
export function atInstant(afloat: Afloat, instant: number): Map<string, Boats> {
  const found = new Map<string, Boats>();
  for (const [person, listed] of afloat.met) {
    const met = listed.filter(({ sign }) => Math.max(sign.claim.at, sign.notBefore) <= instant);
    found.set(person, possible(afloat.home.get(person)!, met, naming(met)));
  }
  return found;
}

/** On which boats a person may have been when that happened; what it says of boats itself is left aside. */
export function when(afloat: Afloat, person: string, claim: Claim): Boats {
  const ever = afloat.ever.get(person)!;
  if (ever.size === 1) return ever;
  const it: Pick<Sign, "claim"> = { claim };
  const met = afloat.met.get(person)!.filter(({ sign }) => sign.claim.entry !== claim.entry);
  const may = met.filter(({ sign }) => !after(sign, it));
  const sure = naming(met).filter(({ sign }) => after(it, sign));
  return possible(afloat.home.get(person)!, may, sure);
}

/** Whether what opens a roll call again is of that boat: of itself, or of somebody in its `crowd` or then on it. */
export function concerns(afloat: Afloat, claim: Claim, boat: string, crowd: ReadonlySet<string>): boolean {
  if (claim.entry.kind === "departed" || claim.entry.kind === "phone_lost") return aboutBoats(afloat, claim).has(boat);
  const listed = LISTS[claim.entry.kind];
  const people = listed === undefined ? [claim.subject] : (claim.data[listed] as string[]);
  return people.some((person) => crowd.has(person) || !afloat.now.has(person) || when(afloat, person, claim).has(boat));
}

/** The boats that a departure or a lost phone is about: all, where it names none of the trip's or was altered. */
export function aboutBoats(afloat: Afloat, claim: Claim): Boats {
  const boat = claim.data["boat"] as string;
  return new Set(afloat.boats.includes(boat) && isUnaltered(claim.entry) ? [boat] : afloat.boats);
}

/** Whether a count, a decision or the deck is of that boat (null: of all): it names that one, or none. */
export function ofBoat(claim: Claim, boat: string | null): boolean {
  return boat === null || [undefined, null, boat].includes(claim.data["boat"] as string | null | undefined);
}

/** The signs without the lost phones of boats that this person cannot have been on. */
export function ownSigns(afloat: Afloat, person: string, signs: readonly Sign[]): Sign[] {
  return signs.filter(({ claim }) => claim.entry.kind !== "phone_lost" || meet(aboutBoats(afloat, claim), when(afloat, person, claim)));
}

/** Of those missing at that instant (ms) whoever may have been on a boat that then left; of an end all. */
export function leftBehind(afloat: Afloat, state: State, entry: Entry, instant: number, missing: readonly string[]): readonly string[] {
  if (afloat.boats.length === 0 || entry.kind !== "departed" || missing.length === 0) return missing;
  const { claims } = readings(state, entry);
  const left = new Set(claims.length === 0 ? afloat.boats : claims.flatMap((claim) => [...aboutBoats(afloat, claim)]));
  const were = atInstant(afloat, instant);
  return missing.filter((person) => meet(left, were.get(person)!));
}

/** The boats that all of a team may be on, or any of them where there is no such boat. */
export function togetherOn(boats: readonly Boats[]): Boats {
  const every = new Set(boats.flatMap((each) => [...each]));
  const common = new Set([...every].filter((boat) => boats.every((each) => each.has(boat))));
  return common.size > 0 ? common : every;
}

/** Whoever was named on two boats at about the same time: wanted on both until named again on one. */
export function asked(afloat: Afloat, where: ReadonlyMap<string, Presence>): Question[] {
  const found: Question[] = [];
  for (const [person, boats] of afloat.now) {
    if (boats.size < 2 || elsewhere(where.get(person)!)) continue;
    const met = afloat.met.get(person)!;
    const last = lastOf(met, naming(met)).filter((each) => each.boats.size > 0);
    if (new Set(last.flatMap((each) => [...each.boats])).size < 2) continue;
    const entries = [...new Set(last.map(({ sign }) => sign.claim.entry.id))].sort();
    found.push({ code: "on_two_boats", entries, people: [person], subject: null });
  }
  return found;
}

/** Whether someone is accounted for and not to be counted on a boat of the trip. */
export function elsewhere(presence: Presence): boolean {
  return presence.state === "ashore" || (presence.state === "transferred" && presence.accountedFor && !presence.ours);
}

/** The boat of the list or of who entered that they joined; any, where none is named. */
function homes(state: State, people: readonly string[], boats: readonly string[]): Map<string, Boats> {
  const every = new Set(boats);
  const listed = new Map(state.snapshot.people.map(({ id, boat }) => [id, boat]));
  const joined = new Map<string, Set<string>>();
  for (const entry of state.byKind.get("joined") ?? []) {
    for (const claim of readings(state, entry).claims) {
      const said = named(boats, [claim]);
      joined.set(claim.subject, new Set([...(joined.get(claim.subject) ?? []), ...(said.size > 0 ? said : every)]));
    }
  }
  const found = new Map<string, Boats>();
  for (const person of people) {
    const boat = listed.get(person);
    if (listed.has(person)) found.set(person, boat === undefined ? every : new Set([boat]));
    else found.set(person, joined.get(person) ?? every);
  }
  return found;
}

/** The boats that the readings of an entry name; all, where one names a boat that the trip does not have. */
function named(boats: readonly string[], claims: readonly Claim[]): Boats {
  const found = new Set<string>();
  for (const { entry, data } of claims) {
    const boat = (data["boat"] as string | null | undefined) ?? null;
    if (boat === null) continue;
    for (const each of boats.includes(boat) && isUnaltered(entry) ? [boat] : boats) found.add(each);
  }
  return found.size > 0 ? found : NONE;
}

const naming = (met: readonly Met[]): readonly Met[] => met.filter(({ boats }) => boats.size > 0);

/** What no sure word for a boat certainly came after. */
function lastOf(met: readonly Met[], sure: readonly Met[]): readonly Met[] {
  return met.filter(({ sign }) => !sure.some((other) => after(other.sign, sign)));
}

/** The boats of the last words for any boat; the list's too, until one is sure, or where the last names none. */
function possible(home: Boats, met: readonly Met[], sure: readonly Met[]): Boats {
  const every = new Set(home);
  for (const each of met) for (const boat of each.boats) every.add(boat);
  if (every.size === 1) return every;
  const found = new Set(sure.length > 0 ? NONE : home);
  for (const { boats } of lastOf(met, sure)) for (const boat of boats.size > 0 ? boats : home) found.add(boat);
  // Clocks that contradict each other may leave no last word at all.
  return found.size > 0 ? found : every;
}

function meet(left: Boats, right: Boats): boolean {
  return [...left].some((boat) => right.has(boat));
}
