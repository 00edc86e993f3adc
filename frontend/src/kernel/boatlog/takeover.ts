// Another phone takes the deck over because the one that kept it gives nothing any more.
// The twin of boatlog/takeover.py: nobody is aboard until named again; the rest are in the water, since an interval.

import * as deckwatch from "./deckwatch.ts";
import { downOf, isOpen } from "./dives.ts";
import { facts } from "./facts.ts";
import type { Facts } from "./facts.ts";
import type { State } from "./fold.ts";
import { sortedBy } from "./order.ts";
import { nextDiveOf } from "./plan.ts";

// "About ten to eleven" from memory, in sight of a watch: our own choice.
export const ABOUT_MS = 3 * 60 * 1000;

/** What somebody on deck says of a team's descent: about when (ms), or that it was after another team's. */
export interface Heard {
  readonly about: number | null;
  readonly after: string | null;
}

/** Somebody to call by name: where this phone last knew them, since when (ms), and their team there or next. */
export interface Missing {
  readonly person: string;
  readonly state: string;
  readonly since: number | null;
  readonly team: string | null;
}

/** A team taken to be in the water since `earliest`..`latest` (ms). `known`: an entry on this phone says so. */
export interface Gone {
  readonly team: string;
  readonly dive: string;
  readonly members: readonly string[];
  readonly earliest: number;
  readonly latest: number;
  readonly known: boolean;
}

/** An entry to be written, in this order, by this phone. */
export interface TakeoverDraft {
  readonly kind: string;
  readonly subject: string;
  readonly at: number;
  readonly data: Readonly<Record<string, unknown>>;
}

type Spans = ReadonlyMap<string, readonly [number, number]>;

/**
 * Everyone to be called by name, by id: after a phone was lost nobody is aboard until met again.
 * `boat`: whose phone it was, where several go; whoever cannot be on it stays what they were.
 */
export function toCall(state: State, boat: string | null = null, known: Facts = facts(state)): Missing[] {
  return [...known.where].filter(([person]) => isOn(known, person, boat)).map(([person, where]) => ({ person, state: where.state, since: where.since, team: teamOf(state, known, person)?.team ?? null }));
}

/** The teams in the water when the phone was lost at `lostAt` (ms), by id; `here`: who stands here; `boat` as for toCall. */
export function gone(
  state: State,
  here: ReadonlySet<string>,
  heard: ReadonlyMap<string, Heard>,
  lostAt: number,
  boat: string | null = null,
  known: Facts = facts(state),
): Gone[] {
  const found = new Map<string, Gone>();
  const absent = new Map<string, { team: string; dive: string; members: string[] }>();
  for (const person of known.people.keys()) {
    const open = known.attempts.get(person)!.find((attempt) => isOpen(attempt));
    const place = teamOf(state, known, person);
    if (here.has(person) || place === null || !isOn(known, person, boat)) continue;
    const { team, dive } = place;
    if (open !== undefined) {
      const [low, high] = downOf(open);
      const there = found.get(team);
      const members = [...(there?.members ?? []), person];
      found.set(team, { team, dive, members, earliest: Math.min(low, there?.earliest ?? low), latest: Math.max(high, there?.latest ?? high), known: true });
    } else {
      const key = `${team} ${dive}`;
      const there = absent.get(key) ?? { team, dive, members: [] };
      there.members.push(person);
      absent.set(key, there);
    }
  }
  const spans: Spans = new Map([...found].map(([team, each]) => [team, [each.earliest, each.latest] as const]));
  const openTeams = new Map([...absent.values()].filter(({ team }) => !found.has(team)).map(({ team, members }) => [team, members]));
  for (const { team, dive, members } of sortedBy([...absent.values()], (each) => [each.team, each.dive])) {
    const there = found.get(team);
    if (there !== undefined) {
      // One of the team is known to be down: so is who went with them.
      found.set(team, { ...there, dive, members: [...new Set([...there.members, ...members])].sort(), known: false });
      continue;
    }
    const [earliest, latest] = span(state, known, team, openTeams, heard, lostAt, spans, new Set());
    found.set(team, { team, dive, members, earliest, latest, known: false });
  }
  return sortedBy([...found.values()], (each) => [each.team]);
}

/** What taking over writes at `now` (ms): phone lost, deck accepted, who was met (roll call `count`), who is down. */
export function drafts(
  state: State,
  taker: string,
  here: ReadonlySet<string>,
  lost: readonly Gone[],
  now: number,
  count: string,
  boat: string | null = null,
): TakeoverDraft[] {
  const trip = state.snapshot.trip;
  const of = boat === null ? {} : { boat };
  const found: TakeoverDraft[] = [
    { kind: "phone_lost", subject: trip, at: now, data: of },
    { kind: "deck_accepted", subject: taker, at: now, data: { ...deckwatch.accepting(state, boat), ...of } },
    { kind: "roll_call_taken", subject: trip, at: now, data: { count, seen: [...new Set([...here, taker])].sort(), method: "answered", ...of } },
  ];
  const unsaid = lost.filter((each) => !each.known);
  for (const { team, dive, members, earliest, latest } of sortedBy(unsaid, (each) => [each.earliest, each.team])) {
    found.push({
      kind: "down",
      subject: team,
      at: Math.floor((earliest + latest) / 2),
      data: { dive, members, source: "told", earliest, latest },
    });
  }
  return found;
}

function isOn(known: Facts, person: string, boat: string | null): boolean {
  return boat === null || (known.afloat.now.get(person)?.has(boat) ?? true);
}

/** The team and dive a person is under water with, or is to dive with next; null: neither. */
function teamOf(state: State, known: Facts, person: string): { team: string; dive: string } | null {
  const attempts = known.attempts.get(person)!;
  const open = attempts.find((attempt) => isOpen(attempt));
  if (open !== undefined) return { team: open.teams[0]!, dive: open.dive };
  const coming = nextDiveOf(state, person, new Set(attempts.map((attempt) => attempt.dive)));
  return coming === null ? null : { team: coming.team.id, dive: coming.team.dive };
}

function span(
  state: State,
  known: Facts,
  team: string,
  absent: ReadonlyMap<string, readonly string[]>,
  heard: ReadonlyMap<string, Heard>,
  lostAt: number,
  spans: Spans,
  asked: ReadonlySet<string>,
): readonly [number, number] {
  const said = heard.get(team);
  const about = said?.about ?? null;
  const after = said?.after ?? null;
  if (about !== null) {
    const high = Math.min(about + ABOUT_MS, lostAt);
    return [Math.min(about - ABOUT_MS, high), high];
  }
  if (after !== null && after !== team && !asked.has(after)) {
    const there = spans.get(after);
    if (there !== undefined) return [Math.min(there[1], lostAt), lostAt];
    const other = heard.get(after);
    // Of a team of which nobody knows when it went, what came after it tells nothing.
    if (absent.has(after) && other !== undefined && (other.about !== null || other.after !== null)) {
      const [, high] = span(state, known, after, absent, heard, lostAt, spans, new Set([...asked, team]));
      return [high, lostAt];
    }
  }
  const met = absent.get(team)!.map((person) => {
    const where = known.where.get(person)!;
    return where.accountedFor && where.since !== null ? where.since : state.snapshot.starts_at;
  });
  return [Math.min(...met, lostAt), lostAt];
}
