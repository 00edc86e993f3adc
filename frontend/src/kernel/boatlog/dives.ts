// The dives of each person, as the entries claim them: between which instants, how deep.
// The twin of boatlog/dives.py: people are the unit and teams a view.

import { DISPUTE_MS, readings, together } from "./claims.ts";
import type { Claim, Question, Readings } from "./claims.ts";
import type { Entry } from "./entries.ts";
import { about } from "./fold.ts";
import type { State } from "./fold.ts";
import { compareKeys, sortedBy, told } from "./order.ts";
import type { Key } from "./order.ts";
import { deeper } from "./plan.ts";
import type { Team } from "./plan.ts";
import type { DepthQuantity } from "./snapshot.ts";

export type Span = readonly [number, number];
export const MET: ReadonlySet<string> = new Set(["back_aboard", "aboard", "ashore", "roll_call_taken"]);

/**
 * One person's time under water on one dive. `ups` are sightings at the surface, `lateUps` those that
 * one person doubts: they may lengthen the dive, never end it. `met`: met on board with no surfacing entered.
 */
export interface Attempt {
  readonly person: string;
  readonly dive: string;
  readonly teams: readonly string[];
  readonly mates: readonly string[];
  readonly downs: readonly Claim[];
  readonly ups: readonly Claim[];
  readonly lateUps: readonly Claim[];
  readonly left: readonly Claim[];
  readonly met: Claim | null;
  readonly depth: DepthQuantity | null;
}

/** Whether nobody has seen this diver since. */
export function isOpen(attempt: Attempt): boolean {
  return attempt.ups.length === 0 && attempt.met === null;
}

/** Earliest and latest instant of leaving the surface. */
export function downOf(attempt: Attempt): Span {
  return hull(attempt.downs);
}

/** Earliest and latest instant of surfacing; null while not seen. */
export function surfacedOf(attempt: Attempt): Span | null {
  const late = attempt.lateUps.map((claim) => claim.latest);
  if (attempt.ups.length > 0) {
    const [low, high] = hull(attempt.ups);
    return [low, Math.max(high, ...late)];
  }
  if (attempt.met !== null) return [Math.min(downOf(attempt)[1], attempt.met.latest), Math.max(attempt.met.latest, ...late)];
  return null;
}

/** Earliest and latest instant of starting the final ascent; null: not reported. */
export function leftBottomOf(attempt: Attempt): Span | null {
  return attempt.left.length > 0 ? hull(attempt.left) : null;
}

/** Least and most seconds of bottom time: to the surface, unless leaving the bottom was reported. */
export function bottomTimeS(attempt: Attempt): Span | null {
  let end = surfacedOf(attempt);
  if (end === null) return null;
  const left = leftBottomOf(attempt);
  if (left !== null) end = [Math.min(left[0], end[0]), Math.min(left[1], end[1])];
  const down = downOf(attempt);
  return [Math.max(0, Math.floor((end[0] - down[1]) / 1000)), Math.max(0, Math.ceil((end[1] - down[0]) / 1000))];
}

/** Ids of the entries that this is made from. */
export function entriesOf(attempt: Attempt): string[] {
  const claims = [...attempt.downs, ...attempt.ups, ...attempt.lateUps, ...attempt.left];
  if (attempt.met !== null) claims.push(attempt.met);
  return idsOf(claims);
}

/** From the earliest to the latest instant that any of the claims allows. */
export function hull(claims: readonly Claim[]): Span {
  return [Math.min(...claims.map((claim) => claim.earliest)), Math.max(...claims.map((claim) => claim.latest))];
}

type Word = "down" | "late_up" | "met" | "up";
interface Said {
  readonly word: Word;
  readonly claim: Claim;
}
interface Event extends Said {
  readonly at: Key;
}

/** All dives of one person in order, the surfacings that belong to none, and the questions. */
export function attemptsOf(
  state: State,
  person: string,
  teams: ReadonlyMap<string, Team>,
): { attempts: Attempt[]; orphans: Claim[]; questions: Question[] } {
  const lines = new Map<string, Map<Entry, Said[]>>();
  const met: Event[] = [];
  const ownTeams = new Set<string>();
  for (const entry of about(state, person)) {
    if (entry.kind === "down") for (const team of [entry.subject, ...readings(state, entry).claims.map(({ subject }) => subject)]) ownTeams.add(team);
    for (const { word, claim } of eventsOf(state, entry, person)) {
      if (word === "met") {
        met.push({ at: told(claim.at, entry), word, claim });
        continue;
      }
      const dive = diveOf(claim, teams);
      const line = lines.get(dive) ?? new Map<Entry, Said[]>();
      lines.set(dive, line.set(entry, [...(line.get(entry) ?? []), { word, claim }]));
    }
  }
  let found: Attempt[] = [];
  const orphans: Claim[] = [];
  const meetings = sorted(met);
  for (const dive of [...lines.keys()].sort()) found.push(...split(person, dive, inOrder(lines.get(dive)!, met), meetings, orphans));
  const reported = new Set([...ownTeams].flatMap((team) => about(state, team).filter(({ kind }) => kind === "left_bottom")));
  const left = [...reported].map((entry) => readings(state, entry)).filter(({ doubted }) => !doubted);
  found = sortedBy(
    found.map((attempt) => withLeft(attempt, left.map(({ claims }) => claims))),
    (attempt) => [...downOf(attempt), attempt.dive],
  );
  return { attempts: found, orphans, questions: asked(person, found, orphans) };
}

/** What an entry says of a person: down, up, late_up (one person doubts it) or met. */
function eventsOf(state: State, entry: Entry, person: string): Said[] {
  if (!MET.has(entry.kind) && entry.kind !== "down" && entry.kind !== "surfaced" && entry.kind !== "surfaced_alone") return [];
  const read = readings(state, entry);
  if (entry.kind === "down") {
    // One person's word is enough to say that a team did not go: they are then unknown until met.
    if (read.doubted) return [];
    return read.claims.filter((claim) => named(claim, "members", person)).map((claim) => ({ word: "down", claim }));
  }
  if (entry.kind === "surfaced" || entry.kind === "surfaced_alone") {
    const alone = entry.kind === "surfaced_alone";
    const seen = read.claims.filter((claim) => (alone ? claim.subject === person : named(claim, "people", person)));
    const sure = !read.doubted && seen.length === read.claims.length;
    return seen.map((claim) => ({ word: sure ? "up" : "late_up", claim }));
  }
  if (entry.kind === "roll_call_taken" && entry.data["method"] === "seen") return [];
  return metInAll(read, person) ? [{ word: "met", claim: together(read) }] : [];
}

/** Whether every reading of an entry says that this person was met: one correction accounts for nobody. */
export function metInAll(read: Readings, person: string): boolean {
  const met = (claim: Claim) => (claim.entry.kind === "roll_call_taken" ? named(claim, "seen", person) : claim.subject === person);
  return read.claims.length > 0 && !read.doubted && read.claims.every(met);
}

export function named(claim: Claim, list: "members" | "people" | "seen", person: string): boolean {
  return (claim.data[list] as string[]).includes(person);
}

function diveOf(claim: Claim, teams: ReadonlyMap<string, Team>): string {
  const dive = claim.data["dive"];
  if (typeof dive === "string") return dive;
  return teams.get((claim.data["team"] as string | undefined) ?? claim.subject)?.dive ?? "";
}

const sorted = (events: readonly Event[]): Event[] => sortedBy(events, (event) => [...event.at, event.word]);

/**
 * The claims of one dive in order of time, the readings of each entry beside each other. A descent stands at its earliest
 * reading and a surfacing at its latest: one hand that moves both ends must not cut a dive in two. After an earlier descent
 * an entry stands where it was first entered, or where the diver is longer down if another end lies between its readings:
 * one hand must not end a dive that may have begun since.
 */
function inOrder(line: ReadonlyMap<Entry, readonly Said[]>, met: readonly Event[]): Event[] {
  const spanOf = (said: readonly Said[]) => {
    const times = said.map(({ claim }) => claim.at);
    return { isDown: said[0]!.word === "down", base: times[0]!, first: Math.min(...times), last: Math.max(...times) };
  };
  const ends = [...[...line.values()].map(spanOf), ...met.map((event) => spanOf([event]))];
  const begun = (before: number) => ends.some(({ isDown, base }) => isDown && base < before);
  const place = ({ isDown, base, first, last }: ReturnType<typeof spanOf>): number => {
    const between = ends.some((other) => other.isDown !== isDown && first < other.first && other.last < last);
    if (between && begun(isDown ? base : first)) return isDown ? last : first;
    return begun(base) ? base : isDown ? first : last;
  };
  return sorted([...line].flatMap(([entry, said]) => said.map((one) => ({ at: told(place(spanOf(said)), entry), ...one }))));
}

/** Cuts the claims about one person and one dive, in order of time, into separate times under water; met on board ends one. */
function split(person: string, dive: string, events: readonly Event[], meetings: readonly Event[], orphans: Claim[]): Attempt[] {
  const made: Attempt[] = [];
  for (const [index, { word, claim }] of events.entries()) {
    const now = made.at(-1);
    const last = made.length - 1;
    if (word === "down") {
      const members = [...new Set(claim.data["members"] as string[])].filter((member) => member !== person).sort();
      if (now === undefined || !isOpen(now)) {
        made.push({ person, dive, teams: [claim.subject], mates: members, downs: [claim], ups: [], lateUps: [], left: [], met: null, depth: null });
      } else {
        made[last] = {
          ...now,
          downs: [...now.downs, claim],
          teams: [...new Set([...now.teams, claim.subject])].sort(),
          mates: [...new Set([...now.mates, ...members])].sort(),
        };
      }
    } else if (now === undefined) {
      orphans.push(claim);
    } else if (word === "up") {
      made[last] = { ...now, ups: [...now.ups, claim] };
    } else {
      made[last] = { ...now, lateUps: [...now.lateUps, claim] };
    }
    const under = made.at(-1);
    if (under === undefined || !isOpen(under)) continue;
    const next = events[index + 1];
    const seen = firstAfter(meetings, events[index]!.at);
    if (seen !== undefined && (next === undefined || compareKeys(seen.at, next.at) < 0)) made[made.length - 1] = { ...under, met: seen.claim };
  }
  return made;
}

/** The first of these events, which stand in order, after a place in time. */
function firstAfter(events: readonly Event[], at: Key): Event | undefined {
  let [low, high] = [0, events.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (compareKeys(events[middle]!.at, at) <= 0) low = middle + 1;
    else high = middle;
  }
  return events[low];
}

/** Leaving the bottom shortens this dive only where all that is said of it is of this diver and dive. */
function withLeft(attempt: Attempt, left: readonly (readonly Claim[])[]): Attempt {
  const up = surfacedOf(attempt);
  const on = (claim: Claim) =>
    attempt.teams.includes(claim.subject) &&
    ((claim.data["people"] as string[] | undefined) ?? [attempt.person]).includes(attempt.person) &&
    claim.latest >= downOf(attempt)[0] &&
    (up === null || claim.earliest <= up[1]);
  const own = left.filter((claims) => claims.every(on)).flat();
  return own.length > 0 ? { ...attempt, left: own } : attempt;
}

/** Gives every diver the deepest depth reported by anyone of the team on that dive. */
export function withDepths(state: State, attempts: ReadonlyMap<string, readonly Attempt[]>): Map<string, Attempt[]> {
  const reported = new Map<string, DepthQuantity | null>();
  for (const entry of state.byKind.get("depth_reported") ?? []) {
    for (const claim of readings(state, entry).claims) {
      const place = `${claim.subject} ${claim.data["dive"] as string}`;
      reported.set(place, deeper(reported.get(place) ?? null, claim.data["depth"] as DepthQuantity));
    }
  }
  const found = new Map<string, Attempt[]>();
  for (const [person, dives] of attempts) {
    found.set(
      person,
      dives.map((attempt) => {
        let depth: DepthQuantity | null = null;
        for (const mate of [person, ...attempt.mates]) depth = deeper(depth, reported.get(`${mate} ${attempt.dive}`) ?? null);
        return { ...attempt, depth };
      }),
    );
  }
  return found;
}

function asked(person: string, attempts: readonly Attempt[], orphans: readonly Claim[]): Question[] {
  const found: Question[] = [];
  const ask = (code: string, entries: readonly string[], subject: string) => found.push({ code, entries, people: [person], subject });
  for (const claim of orphans) {
    const later = attempts.some((attempt) => attempt.dive === claim.data["dive"]);
    ask(later ? "up_before_down" : "up_without_down", [claim.entry.id], claim.entry.subject);
  }
  attempts.forEach((attempt, index) => {
    const subject = attempt.teams[0]!;
    const entries = entriesOf(attempt);
    if (attempt.teams.length > 1) ask("two_teams", entries, attempt.dive);
    const ups = [...attempt.ups, ...attempt.lateUps];
    if (disputed(attempt.downs)) ask("down_times_differ", idsOf(attempt.downs), subject);
    if (disputed(ups)) ask("up_times_differ", idsOf(ups), subject);
    if (attempt.ups.length === 0 && attempt.met !== null) ask("up_not_recorded", entries, subject);
    if (index === 0) return;
    const previous = attempts[index - 1]!;
    const before = surfacedOf(previous);
    const both = [...entriesOf(previous), ...entries];
    if (previous.dive === attempt.dive) ask("down_again", both, subject);
    if (before === null || before[1] > downOf(attempt)[0]) ask("dives_overlap", both, subject);
  });
  return found;
}

function idsOf(claims: readonly Claim[]): string[] {
  return [...new Set(claims.map((claim) => claim.entry.id))].sort();
}

/** Whether two claims, not one claim with its own span, say times a minute or more apart. */
function disputed(claims: readonly Claim[]): boolean {
  const instants = claims.map((claim) => claim.at);
  return claims.length > 1 && Math.max(...instants) - Math.min(...instants) >= DISPUTE_MS;
}

