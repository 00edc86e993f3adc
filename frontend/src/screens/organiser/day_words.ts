/** The dives of a day paired together: what is asked, what is announced of it, and what it costs, in words. */
import type { Trip } from "../words/answers.ts";
import type { DayTeamsAnswer, DayTeamsFound, DiveTeams, Override } from "../words/answers_teams.ts";
import { draftOf } from "./teams_words.ts";
import { plain } from "../words/plain.ts";

export type Partners = "keep" | "change" | "either";

export const PARTNERS: readonly { readonly value: Partners; readonly label: string; readonly note: string }[] = [
  { value: "either", label: "No matter", note: "each dive gets its best teams" },
  { value: "keep", label: "Keep partners", note: "the same people dive together" },
  { value: "change", label: "Change partners", note: "each dive beside somebody else" },
];

/** A rule set aside on one dive of the day. */
export interface DiveSetAside {
  readonly dive: string;
  readonly override: Override;
}

export function dayTitle(dives: number): string {
  return dives === 1 ? "Teams on several boats" : dives === 2 ? "Teams of both dives" : "Teams of all dives";
}

/** Whether the dives of a trip can be paired together: up to three, a single one where several boats go. */
export function oneDay(trip: Trip): boolean {
  return trip.state === "planned" && trip.dives_planned.length >= 1 && trip.dives_planned.length <= 3;
}

/** What was asked of each dive on its own page, as the question of the day takes it. */
export function askedOfDives(dives: readonly DiveTeams[]) {
  const expected = expectedGas(dives);
  return {
    dives: dives.map(({ dive, proposal }) => {
      const { wishes = [], locked = [], forbidden = [], guided = [], surface_cover = [] } = proposal?.asked ?? {};
      return { dive: dive.id, wishes, locked, forbidden, guided, surface_cover, overrides: overridesOf(proposal?.asked.overrides) };
    }),
    ...(expected === undefined ? {} : { expect_gas: expected }),
  };
}

/** The teams of every dive as found, with what was decided for each. */
export function announceBody(found: DayTeamsFound, dives: readonly DiveTeams[], decided: readonly DiveSetAside[]) {
  const expected = expectedGas(dives);
  return {
    dives: found.answer.dives.map((dive, at) => {
      const id = found.dives[at] ?? "";
      const asked = dives.find((one) => one.dive.id === id)?.proposal?.asked ?? {};
      const more = decided.filter((one) => one.dive === id).map((one) => one.override);
      return {
        dive: id,
        teams: dive.teams.map((team) => ({ ...draftOf(team), ...(typeof team.boat === "string" ? { boat: team.boat } : {}) })),
        overrides: [...overridesOf(asked.overrides), ...more],
        surface_cover: asked.surface_cover ?? [],
      };
    }),
    ...(expected === undefined ? {} : { expect_gas: expected }),
  };
}

/** The dive and team that a JSON Pointer of the announcement means. */
export function dayPointer(pointer: string, found: DayTeamsFound | null, trip: Trip): { readonly dive: string; readonly title: string } | undefined {
  const place = /^\/dives\/(\d+)(?:\/teams\/(\d+))?/.exec(pointer);
  const id = place === null ? undefined : found?.dives[Number(place[1])];
  const dive = trip.dives_planned.find((one) => one.id === id);
  if (dive === undefined) return undefined;
  const team = place?.[2];
  return { dive: dive.id, title: `Dive ${dive.number}${team === undefined ? "" : `, team ${Number(team) + 1}`}` };
}

/** Whose partners are other than wished. */
export function whatItCosts(answer: DayTeamsAnswer, nameOf: (id: string) => string): string[] {
  return answer.between_dives.reasons.map((reason) => `Dive ${reason.dive}: ${plain(reason.message, nameOf)}`);
}

function expectedGas(dives: readonly DiveTeams[]) {
  return dives.map((one) => one.proposal?.asked.expect_gas).find((one) => one !== undefined);
}

/** Signed anew by who asks: the name that signed before does not go along. */
function overridesOf(overrides: readonly Override[] = []): Override[] {
  return overrides.map(({ rule, diver, reason }) => ({ rule, diver, reason }));
}
