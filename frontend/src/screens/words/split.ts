/** What is decided of a team of three before it dives: who watches whom, and what each one's end means. */
import type { Reason } from "./answers.ts";
import type { ProposedTeam } from "./answers_teams.ts";

const DECIDED = ["ring", "split"];

/** The reasons that say why a team is as it is. */
export function whyReasons(reasons: readonly Reason[]): readonly Reason[] {
  return reasons.filter((reason) => !DECIDED.includes(reason.code));
}

/** The sentences of an announced team that say what is decided. */
export function decided(reasons: readonly Reason[]): readonly Reason[] {
  return reasons.filter((reason) => DECIDED.includes(reason.code));
}

/** The same of a team that is proposed. */
export function decidedOf(team: ProposedTeam): readonly Reason[] {
  const { ring = [], split = [] } = team;
  const watch = ring.map((one) => `${one.diver} watches ${one.watches}`).join("; ");
  return [
    ...(watch === "" ? [] : [{ code: "ring", message: `${watch}.` }]),
    ...split.map((one) => ({ code: "split", divers: [one.ends], message: one.message })),
  ];
}
