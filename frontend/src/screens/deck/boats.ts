import { decided, happened } from "../../kernel/boatlog/claims.ts";
import type { Entry } from "../../kernel/boatlog/entries.ts";
import { boatsOfTrip } from "../../kernel/boatlog/snapshot.ts";
import type { View } from "../../kernel/boatlog/view.ts";
import { names } from "../words/format.ts";
import type { Deck } from "./use_trip.ts";

type Cover = NonNullable<View["dives"][string]["cover"]>;

/** Who has the deck, how far the count is and whether it may leave: of the boat that this phone is on. */
export function ofBoat(view: View, boat: string | null): View {
  const own = boat === null ? undefined : view.boats[boat];
  return own === undefined ? view : { ...view, ...own };
}

/** Of several boats those that this phone is not on, by name. */
export function otherBoats(deck: Deck): readonly string[] {
  const others = deck.boat === null ? [] : boatsOfTrip(deck.log.snapshot).filter((boat) => boat !== deck.boat);
  return others.sort((a, b) => boatName(deck, a).localeCompare(boatName(deck, b)));
}

export function boatName(deck: Pick<Deck, "log">, boat: string): string {
  return severalBoats(deck)[boat] ?? "a boat without a name here";
}

function severalBoats({ log }: Pick<Deck, "log">): Readonly<Record<string, string>> {
  return (log.labels["boats"] as Readonly<Record<string, string>> | undefined) ?? {};
}

/** The boat, or all boats, of the trip by name. */
export function boats(deck: Deck): string {
  const several = Object.values(severalBoats(deck)).sort();
  return several.length > 0 ? names(several) : oneBoat(deck);
}

/** The boat from which this deck calls: of several the one that this phone is on, else the deck holder's; "" where neither is known. */
export function thisBoat(deck: Deck): string {
  if (deck.boat !== null) return boatName(deck, deck.boat);
  return boatsOfTrip(deck.log.snapshot).length > 0 ? boatsOf(deck, deck.view.deck_holder ?? "") : oneBoat(deck);
}

function oneBoat({ log }: Deck): string {
  const name = log.labels["boat"];
  return typeof name === "string" ? name : "";
}

/** Names of the boats on which somebody may be; "" with one boat. */
export function boatsOf(deck: Deck, person: string): string {
  return names((deck.view.people[person]?.boats ?? []).map((boat) => boatName(deck, boat)));
}

/** Whether somebody may be on that boat; with one boat, or while this phone is on none, everyone is. */
export function isOn(deck: Deck, person: string, boat = deck.boat): boolean {
  const may = deck.view.people[person]?.boats ?? [];
  return boat === null || may.length === 0 || may.includes(boat);
}

/** Those who may be on this phone's boat. */
export function here(deck: Deck): [string, View["people"][string]][] {
  return Object.entries(deck.view.people).filter(([person]) => isOn(deck, person));
}

/** What is read out over the radio is about this boat's people, and whoever it is about. */
export function viewHere(deck: Deck, person: string): View {
  return { ...deck.view, people: Object.fromEntries(Object.entries(deck.view.people).filter(([one]) => one === person || isOn(deck, one))) };
}

/** Whether that boat watches a team: of those in the water any, else of those who are to dive. */
export function teamOn(deck: Deck, team: string, boat = deck.boat): boolean {
  const state = deck.view.teams[team];
  if (state === undefined || boat === null) return true;
  const whose = state.in_water.length > 0 ? state.in_water : state.members;
  return whose.length === 0 || whose.some((person) => isOn(deck, person, boat));
}

/** Where somebody comes aboard whose team this phone shows: here, or on their own boat where that is another. */
export function comesAboard(deck: Deck, person: string): string | null {
  return isOn(deck, person) ? deck.boat : (deck.view.people[person]?.boats[0] ?? deck.boat);
}

/** Who covers a dive from on board, flag and engine, as last said on this boat: another boat's flag is not ours. */
export function coverHere(deck: Deck, dive: string): Cover | null {
  const shown = deck.view.dives[dive]?.cover ?? null;
  if (deck.boat === null || shown === null) return shown;
  const said = decided(deck.log.state, "surface_cover_confirmed").filter(({ entry }) => entry.subject === dive && entry.by !== null && isOn(deck, entry.by));
  return (said.at(-1)?.data as Cover | undefined) ?? null;
}

/**
 * Whether this phone sounds for a team that is overdue as far as it knows: it is this boat's, it was entered down here, or
 * its own boat's phone says overdue. Of another boat's team silence is no alarm: out of reach of a network it is the rule.
 */
export function soundsHere(deck: Deck, team: string): boolean {
  if (teamOn(deck, team)) return true;
  const { log } = deck;
  const since = deck.view.teams[team]?.down?.[0] ?? 0;
  return log.entries.some(
    ({ entry }) =>
      entry.subject === team &&
      ((entry.kind === "down" && entry.device === log.device?.device) || (entry.kind === "overdue_reached" && happened(log.state, entry) >= since)),
  );
}

/** When the phones of that boat last wrote what is known here (ms); null: nothing of theirs is. */
export function lastWord({ log }: Deck, boat: string): number | null {
  // Boardings and hand-overs may name another boat than the writer's.
  const own = ({ kind, data }: Entry) => data["boat"] === boat && !["back_aboard", "transferred"].includes(kind);
  const theirs = new Set(log.entries.flatMap(({ entry }) => (own(entry) && entry.device !== log.device?.device ? [entry.device] : [])));
  const times = log.entries.flatMap(({ entry }) => (theirs.has(entry.device) ? [happened(log.state, entry)] : []));
  return times.length === 0 ? null : Math.max(...times);
}
