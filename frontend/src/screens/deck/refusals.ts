import { mayGoDown } from "../../kernel/boatlog/questions.ts";
import { names as joined } from "../words/format.ts";
import type { Names } from "./frame.tsx";
import type { Deck } from "./use_trip.ts";

/** Why a team may not go down, where a tap cannot mend it; the missing hand-over is mended by the tap itself. */
export function refusalWords(deck: Deck, names: Names, team: string): string | null {
  const refusals = mayGoDown(deck.log.state, team).filter((one) => !["deck_holder_in_team", "no_deck_holder"].includes(one.code));
  const first = refusals[0];
  if (first === undefined) return null;
  const who = joined(first.people.map(names.short));
  const words: Readonly<Record<string, string>> = {
    already_down: `${who} is in the water already.`,
    ashore: `${who} stayed ashore: change this team.`,
    with_others: `${who} is with another boat: enter them back here first, or change this team.`,
    held_from_diving: `${who} is held from diving.`,
    not_fit_to_dive_said: `${who} said “not today”: change this team.`,
    dive_called_off: "This dive was called off.",
    team_unknown: "This team is not known.",
  };
  return words[first.code] ?? first.code.replaceAll("_", " ");
}
