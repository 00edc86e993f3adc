/** What one diver reads out of an announced team: their own part of it. */
import type { AnnouncedTeam, TripDive } from "../words/answers.ts";
import { plain } from "../words/plain.ts";

export function teamOf(dive: TripDive, me: string | null): AnnouncedTeam | null {
  return me === null ? null : (dive.teams.find((team) => team.members.includes(me)) ?? null);
}

export function buddies(team: AnnouncedTeam, me: string): string[] {
  return team.members.filter((person) => person !== me);
}

/** The reasons that speak of a first time of this diver. */
export function newForMe(team: AnnouncedTeam, me: string, nameOf: (id: string) => string): string[] {
  return team.reasons.filter((reason) => isFirst(reason.code) && (reason.divers ?? []).includes(me)).map((reason) => plain(reason.message ?? reason.code.replaceAll("_", " "), nameOf));
}

export function othersReasons(team: AnnouncedTeam, me: string, nameOf: (id: string) => string): string[] {
  return team.reasons.filter((reason) => !(isFirst(reason.code) && (reason.divers ?? []).includes(me))).map((reason) => plain(reason.message ?? reason.code.replaceAll("_", " "), nameOf));
}

function isFirst(code: string): boolean {
  return code === "stretch";
}
