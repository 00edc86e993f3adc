/** The answer to "why not these two", as sentences. */
import type { Reason } from "../words/answers.ts";
import type { WhyNot } from "../words/answers_teams.ts";
import { plain } from "../words/plain.ts";

/** A rule that refuses them; else what the whole dive costs with them as a team, against the teams proposed. */
export function whyNotLines(why: WhyNot, nameOf: (id: string) => string): string[] {
  if (why.chosen) return ["They are a team in what is proposed."];
  if (why.rules !== undefined && why.rules.length > 0) return why.rules.map((reason) => reasonText(reason, nameOf));
  const lines: string[] = [];
  const { more, day } = why;
  if (more !== undefined) {
    if (more.placed < 0) lines.push(`With them as a team ${people(-more.placed)} would have no team.`);
    if (more.overrides > 0) lines.push("With them as a team a rule would have to be set aside.");
    if (more.safety_penalty > 0) lines.push("It is allowed, but someone new to part of this dive would have less margin beside them.");
    const minutes = Math.floor(more.cost_s / 60);
    if (minutes > 0) lines.push(`It would cost all divers together ${minutes} more min under water.`);
    if (lines.length === 0) lines.push("It would be just as good: the teams proposed were taken by order of the list.");
  }
  const rest = (day?.teams ?? []).filter((team) => !why.divers.every((id) => team.includes(id)));
  if (rest.length > 0) lines.push(`The whole day would then be: ${rest.map((team) => team.map(nameOf).join(" with ")).join("; ")}.`);
  const left = day?.not_placed ?? [];
  if (left.length > 0) lines.push(`Without a team then: ${left.map(nameOf).join(", ")}.`);
  if (lines.length === 0) lines.push("Nothing speaks against them.");
  return lines;
}

export function reasonText(reason: Reason, nameOf: (id: string) => string): string {
  return plain(reason.message ?? reason.code.replaceAll("_", " "), nameOf);
}

function people(n: number): string {
  return n === 1 ? "one person" : `${n} people`;
}
