import type { Entry } from "../../kernel/boatlog/entries.ts";
import type { StoredEntry } from "../../store/records.ts";
import type { Act, TripLog } from "../../store/trip_log.ts";
import type { View } from "../../kernel/boatlog/view.ts";
import { fixNow } from "../parts/fix.ts";
import { acting } from "./acting.ts";

/** The deck's verbs as entries. Each is one tap; who taps is `acting`. */
export function down(view: View, team: string): Act {
  const known = view.teams[team];
  return { by: acting(view), kind: "down", subject: team, data: { dive: known?.dive ?? "", members: known?.members ?? [], fix: fixNow() } };
}

/** Everyone who was still under water is up. */
export function allUp(view: View, team: string): Act {
  const known = view.teams[team];
  return { by: acting(view), kind: "surfaced", subject: team, data: { dive: known?.dive ?? "", people: known?.in_water ?? [], fix: fixNow() } };
}

/** One head. While others of the team are under water this starts their own clock. */
export function oneUp(view: View, team: string, person: string): Act {
  const known = view.teams[team];
  const left = (known?.in_water ?? []).filter((other) => other !== person);
  const dive = known?.dive ?? "";
  const by = acting(view);
  if (left.length === 0) return { by, kind: "surfaced", subject: team, data: { dive, people: [person], fix: fixNow() } };
  return { by, kind: "surfaced_alone", subject: person, data: { team, dive, fix: fixNow() } };
}

/** `boat`: of several the one that they come aboard, where it is not the phone's own. */
export function aboard(view: View, person: string, boat: string | null = null): Act {
  return { by: acting(view), kind: "back_aboard", subject: person, ...(boat === null ? {} : { data: { boat } }) };
}

export function markerSeen(view: View, team: string): Act {
  return { by: acting(view), kind: "marker_seen", subject: team, data: { fix: fixNow() } };
}

/** Adds to "up alone" when the team was last together, on which the others' own clock rests. */
export function lastTogether(log: TripLog, view: View, entry: string, at: number): Act | null {
  const told = log.entry(entry);
  if (told === undefined) return null;
  return {
    by: acting(view),
    kind: "correction",
    subject: told.subject,
    corrects: entry,
    data: { reason: "other", void: false, data: { last_seen_at: at } },
  };
}

/** Who is in the team now; nobody: it does not dive. */
export function changeTeam(view: View, team: string, members: readonly string[]): Act {
  const known = view.teams[team];
  const lead = known?.lead ?? null;
  return {
    by: acting(view),
    kind: "team_changed",
    subject: team,
    data: { dive: known?.dive ?? "", members, lead: lead !== null && members.includes(lead) ? lead : null },
  };
}

export function quiet(view: View, team: string, until: number): Act {
  return { by: acting(view), kind: "overdue_quieted", subject: team, data: { until } };
}

/** All that the tap wrote of which this was the last entry, so far as it is not taken back: an answer may be several, of one instant. */
export function wholeTap(log: TripLog, { id, entry }: StoredEntry): readonly StoredEntry[] {
  const said = (one: Entry) => JSON.stringify([one.kind, one.device, one.by, one.at, one.data["reason"]]);
  const same = entry.kind === "correction" ? said(entry) : null;
  return log.entries.filter((other) => other.id === id || said(other.entry) === same).filter((other) => !log.state.corrections.has(other.id)).sort((left, right) => left.entry.seq - right.entry.seq);
}

/** Takes an entry back: a correction that says it did not happen. */
export function undo(log: TripLog, view: View, id: string): Act | null {
  const entry = log.entry(id);
  if (entry === undefined) return null;
  // A correction is somebody's word: only they take it back.
  return { by: entry.kind === "correction" ? entry.by : acting(view), kind: "correction", subject: entry.subject, corrects: id, data: { reason: "mistyped", void: true } };
}
