import { mayGoDown } from "../../kernel/boatlog/questions.ts";
import { names as joined } from "../words/format.ts";
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
  const first = mayGoDown(deck.log.state, team).find((one) => !["deck_holder_in_team", "no_deck_holder"].includes(one.code));
  if (first === undefined) return null;
  const who = joined(first.people.map(names.short));
  const one = first.people.length === 1;
  const words: Readonly<Record<string, string>> = {
    already_down: `${who} ${one ? "is" : "are"} down with another team: enter up there first.`,
    ashore: `${who} stayed ashore: change this team.`,
    with_others: `${who} ${one ? "is" : "are"} with another boat: enter them back here first, or change this team.`,
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
