import { holders } from "../../kernel/boatlog/deckwatch.ts";
import { mayGoDown } from "../../kernel/boatlog/questions.ts";
import { names as joined } from "../words/format.ts";
import { boatsOf, isOn } from "./boats.ts";
import type { Names } from "./frame.tsx";
import type { Deck } from "./use_trip.ts";

/** Why a team may not go down, in words; who of it is to be entered back aboard; and whether it can have gone all the same. */
export interface Refused {
  readonly words: string;
  readonly aboard: readonly string[];
  readonly happens: boolean;
}

/** Null where a tap mends it (the missing hand-over) or nothing bars it. */
export function refused(deck: Deck, names: Names, team: string): Refused | null {
  const held = holders(deck.log.state, deck.boat);
  const mended = (one: { readonly code: string; readonly people: readonly string[] }) =>
    one.code === "no_deck_holder" || (one.code === "deck_holder_in_team" && (held.size === 0 || one.people.some((person) => held.has(person))));
  const first = mayGoDown(deck.log.state, team).find((one) => !mended(one));
  const members = deck.view.teams[team]?.members ?? [];
  const apart = members.filter((person) => !isOn(deck, person));
  if (first === undefined && apart.length > 0 && apart.length < members.length) {
    const where = apart.map((person) => `${names.short(person)} is on ${boatsOf(deck, person)}`);
    return { words: `${joined(where)}: change this team.`, aboard: [], happens: true };
  }
  if (first === undefined) return null;
  const who = joined(first.people.map(names.short));
  const one = first.people.length === 1;
  const words: Readonly<Record<string, string>> = {
    already_down: `${who} ${one ? "is" : "are"} down with another team: enter up there first.`,
    ashore: `${who} stayed ashore: change this team.`,
    with_others: `${who} ${one ? "is" : "are"} with another boat: enter them back here first, or change this team.`,
    // Of another boat: whoever holds this one's hands it over by the tap itself.
    deck_holder_in_team: `${who} ${one ? "holds" : "hold"} the deck of ${joined(first.people.map((person) => boatsOf(deck, person)))}: it is handed over there first.`,
    not_aboard: `Not back aboard yet: ${who}.`,
    held_from_diving: `${who} ${one ? "is" : "are"} held from diving.`,
    not_fit_to_dive_said: `${who} said “not today”: change this team.`,
    dive_called_off: "This dive was called off.",
    team_unknown: "This team is not known.",
  };
  return {
    words: words[first.code] ?? first.code.replaceAll("_", " "),
    aboard: first.code === "not_aboard" ? first.people : [],
    // Whoever is down already comes up where they went down; a team that is not known has nobody in it.
    happens: !["already_down", "team_unknown"].includes(first.code),
  };
}
