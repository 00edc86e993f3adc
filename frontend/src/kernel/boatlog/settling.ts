// Who settles what: two named, different people, and never the diver alone with a team-mate.
// The twin of boatlog/settling.py.

import type { Entry } from "./entries.ts";

export const RECORD: ReadonlySet<string> = new Set(["down", "left_bottom", "surfaced", "surfaced_alone", "depth_reported"]);

/** Whether two different named people said it who are not among those it is about. */
export function twoOthers(named: Iterable<string | null>, about: ReadonlySet<string>): boolean {
  return new Set([...named].filter((person) => person !== null && !about.has(person))).size > 1;
}

/** Whom an entry is about: its subject, and of a dive's record everyone of the team that it names. */
export function concerned(entry: Entry): ReadonlySet<string> {
  const found = new Set([entry.subject]);
  if (RECORD.has(entry.kind)) {
    for (const name of ["members", "people"]) {
      const listed = entry.data[name];
      if (Array.isArray(listed)) for (const person of listed) if (typeof person === "string") found.add(person);
    }
  }
  return found;
}

/** Whether those who say the same of an entry are enough to settle it; `also`: whom that brings into it. */
export function settles(entry: Entry, named: Iterable<string | null>, also: Iterable<string> = []): boolean {
  const about = new Set([...concerned(entry), ...also]);
  const people = new Set([...named].filter((person) => person !== null));
  if (!RECORD.has(entry.kind)) return twoOthers(people, about);
  return people.size > 1 && [...people].some((person) => !about.has(person));
}

/** Whether this person's word counts; `before`: who said the same already, `also` as for `settles`. */
export function maySettle(entry: Entry, person: string, before: readonly string[] = [], also: Iterable<string> = []): boolean {
  if (before.includes(person)) return false;
  const about = new Set([...concerned(entry), ...also]);
  return !about.has(person) || (RECORD.has(entry.kind) && !before.some((other) => about.has(other)));
}
