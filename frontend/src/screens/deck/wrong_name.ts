import { OF_A_PERSON, OF_A_TEAM } from "../../kernel/boatlog/corrections.ts";
import type { Entry } from "../../kernel/boatlog/entries.ts";
import type { View } from "../../kernel/boatlog/view.ts";

type Said = Readonly<Record<string, unknown>>;
const LISTS: Readonly<Record<string, "members" | "people" | "seen">> = { down: "members", surfaced: "people", roll_call_taken: "seen" };

/** The people an entry names: whoever it is about, or all whom it lists; none where a wrong name is not one of these. */
export function named(entry: Entry): readonly string[] {
  if (OF_A_PERSON.has(entry.kind)) return [entry.subject];
  const list = LISTS[entry.kind];
  return list === undefined ? [] : (entry.data[list] as readonly string[]);
}

/** Who it may have been instead: everyone on the boat whom the entry does not name. */
export function otherPeople(view: View, entry: Entry): readonly string[] {
  return named(entry).length === 0 ? [] : Object.keys(view.people).filter((person) => !named(entry).includes(person));
}

/** Which team it may have been instead: the others of the same dive. */
export function otherTeams(view: View, entry: Entry): readonly string[] {
  if (!OF_A_TEAM.has(entry.kind)) return [];
  const dive = entry.data["dive"] ?? view.teams[entry.subject]?.dive;
  return Object.keys(view.teams).filter((team) => team !== entry.subject && view.teams[team]!.dive === dive && view.teams[team]!.members.length > 0);
}

/** What a correction says where `wrong` was a person and it was `right`. One entry: nobody is nowhere in between. */
export function anotherPerson(entry: Entry, wrong: string, right: string): Said {
  const list = LISTS[entry.kind];
  if (list === undefined) return { reason: "wrong_person", void: true, subject: right };
  return { reason: "wrong_person", void: false, data: { [list]: named(entry).map((person) => (person === wrong ? right : person)) } };
}

/** What a correction says where it was another team, with that team's people where the entry lists them. */
export function anotherTeam(view: View, entry: Entry, right: string): Said {
  const list = LISTS[entry.kind];
  const data = list === undefined ? {} : { data: { [list]: view.teams[right]!.members } };
  return { reason: "wrong_person", void: true, subject: right, ...data };
}
