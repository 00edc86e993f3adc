/** What one diver reads out of an announced team: their own part of it. */
import type { AnnouncedTeam, TripDive } from "../words/answers.ts";
import { plain } from "../words/plain.ts";
import { whyReasons } from "../words/split.ts";

export function teamOf(dive: TripDive, me: string | null): AnnouncedTeam | null {
  return me === null ? null : (dive.teams.find((team) => team.members.includes(me)) ?? null);
}

export function buddies(team: AnnouncedTeam, me: string): string[] {
  return team.members.filter((person) => person !== me);
}

/** The reasons that speak of a first time of this diver. */
export function newForMe(team: AnnouncedTeam, me: string, nameOf: (id: string) => string): string[] {
  return team.reasons.filter((reason) => isFirst(reason.code) && (reason.divers ?? []).includes(me)).map((reason) => toMe(plain(reason.message ?? reason.code.replaceAll("_", " "), nameOf)));
}

/** "Sten takes 1 stretch (depth), beside Marta. ..." is said to Sten as "Depth: Marta is beside you.". */
function toMe(text: string): string {
  const [, what, beside] = /stretch(?:es)? \(([^)]+)\)(?:, beside ([^.]+))?/.exec(text) ?? [];
  if (what === undefined) return text;
  const first = what.charAt(0).toUpperCase() + what.slice(1);
  return beside === undefined ? `${first}.` : `${first}: ${beside} is beside you.`;
}

export function othersReasons(team: AnnouncedTeam, me: string, nameOf: (id: string) => string): string[] {
  return whyReasons(team.reasons).filter((reason) => !(isFirst(reason.code) && (reason.divers ?? []).includes(me))).map((reason) => plain(reason.message ?? reason.code.replaceAll("_", " "), nameOf));
}

function isFirst(code: string): boolean {
  return code === "stretch";
}
