// Who is held from diving and why, until two others release them.
// The twin of boatlog/holds.py.

import { isUnaltered } from "./chain.ts";
import type { Claim } from "./claims.ts";
import { decided, readings } from "./claims.ts";
import type { Data, Entry } from "./entries.ts";
import type { State } from "./fold.ts";
import { compareEntries, sortedBy, key } from "./order.ts";
import { twoOthers } from "./settling.ts";

/** Why a diver is held, since when (ms), by which entry. `urgent`: the emergency page opens. */
export interface Hold {
  readonly why: string;
  readonly since: number;
  readonly entry: string;
  readonly urgent: boolean;
}

/** The holds of each person that two others have not released, in order of writing. */
export function holds(state: State): Map<string, readonly Hold[]> {
  const released = new Map<string, Claim[]>();
  for (const claim of decided(state, "held_from_diving")) {
    // An entry altered after it was written must never set anybody free.
    if (claim.data["released"] !== true || !isUnaltered(claim.entry)) continue;
    released.set(claim.entry.subject, [...(released.get(claim.entry.subject) ?? []), claim]);
  }
  const found = new Map<string, { entry: Entry; hold: Hold }[]>();
  for (const kind of KINDS) {
    for (const entry of state.byKind.get(kind) ?? []) {
      // One person's doubt does not end a hold: any reading that still counts is enough.
      const claim = readings(state, entry).claims.find(({ data }) => whyOf(kind, data) !== null);
      if (claim === undefined || isReleased(entry, released.get(entry.subject) ?? [])) continue;
      const why = whyOf(kind, claim.data)!;
      const hold = { why, since: claim.at, entry: entry.id, urgent: why !== "held" };
      found.set(entry.subject, [...(found.get(entry.subject) ?? []), { entry, hold }]);
    }
  }
  return new Map([...found].map(([person, listed]) => [person, sortedBy(listed, ({ entry }) => key(entry)).map(({ hold }) => hold)]));
}

/** Whether this person said that they are not fit to dive and took it not back since. */
export function notFit(state: State, person: string): boolean {
  return fitSaid(state, person) === "no";
}

/** What this person said of being fit to dive; null: nothing. A "no" stands until a later word follows it. */
export function fitSaid(state: State, person: string): "yes" | "no" | "declined" | null {
  const said = decided(state, "fit_to_dive_said").filter((claim) => claim.entry.subject === person);
  const named = new Set(said.flatMap(({ data }) => (data["of"] as readonly string[] | undefined) ?? []));
  const last = said.filter(({ data }) => !("of" in data)).at(-1);
  const stands = ({ entry }: Claim) => !named.has(entry.id) && (last === undefined || compareEntries(entry, last.entry) >= 0);
  if (said.some((claim) => claim.data["said"] === "no" && stands(claim))) return "no";
  return (said.at(-1)?.data["said"] as "yes" | "no" | "declined" | undefined) ?? null;
}

const KINDS = ["ascended_too_fast", "held_from_diving", "oxygen_started", "stop_missed", "symptoms_asked"];
const WHY: Readonly<Record<string, string>> = { ascended_too_fast: "fast_ascent", stop_missed: "stop_missed", oxygen_started: "oxygen" };

function whyOf(kind: string, data: Data): string | null {
  if (kind === "held_from_diving") {
    if (data["released"] === true) return null;
    // Without a reason given it may have been symptoms: that is how it is taken.
    return data["because"] === "other" ? "held" : "symptoms";
  }
  if (kind === "symptoms_asked") return data["said"] === "not_well" ? "symptoms" : null;
  return WHY[kind]!;
}

/** Whether two people, neither of them the diver, released this hold. A release frees from what it knew of. */
function isReleased(held: Entry, releases: readonly Claim[]): boolean {
  const named = new Set<string | null>();
  for (const claim of releases) {
    const of = claim.data["of"] as string[] | undefined;
    const covers = of === undefined ? compareEntries(claim.entry, held) > 0 : of.includes(held.id);
    if (!covers) continue;
    for (const person of [claim.entry.by, claim.data["with"] as string | null | undefined]) named.add(person ?? null);
  }
  return twoOthers(named, new Set([held.subject]));
}
