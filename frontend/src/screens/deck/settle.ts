import { happened } from "../../kernel/boatlog/claims.ts";
import { broughtBy, moved, wordsOn } from "../../kernel/boatlog/corrections.ts";
import type { Entry } from "../../kernel/boatlog/entries.ts";
import { roots } from "../../kernel/boatlog/fold.ts";
import type { QuestionView, View } from "../../kernel/boatlog/view.ts";
import type { Act, TripLog } from "../../store/trip_log.ts";
import { lengthWords } from "../words/unsure.ts";

/** One way to settle a question: what is said, and the corrections that say it, for a person still to be named. */
export interface Answer {
  readonly key: string;
  readonly entry: Entry;
  /** `same`: what another person said already; `right`: this time is right; `not`: it did not happen. */
  readonly says: "same" | "right" | "not";
  /** Who said the same already: the second one has to be someone else. */
  readonly not_by: readonly string[];
  /** The entries that it is about in the end: whose they are, and whom it brings in, decides whose word counts. */
  readonly about: readonly Entry[];
  readonly also: readonly string[];
  readonly acts: readonly Omit<Act, "by">[];
}

export const TIMES: ReadonlySet<string> = new Set(["down_times_differ", "up_times_differ"]);
export const DOUBLED: ReadonlySet<string> = new Set(["down_again", "two_teams", "up_without_down"]);

/** What people may answer; two different ones must say the same before it counts as settled. */
export function answers(log: TripLog, question: QuestionView): readonly Answer[] {
  const entries = question.entries.map((id) => log.entry(id)).filter((entry) => entry !== undefined);
  const corrections = entries.filter((entry) => entry.kind === "correction");
  const others = entries.filter((entry) => entry.kind !== "correction");
  if (corrections.length > 0) {
    // What several say is one answer.
    const told = corrections.filter((said, index) => corrections.findIndex((other) => wordsOf(log, other) === wordsOf(log, said)) === index);
    return told.map((said) => ({
      key: said.id,
      entry: said,
      says: "same" as const,
      not_by: saidBy(log, corrections, said),
      about: roots(log.state, said),
      also: roots(log.state, said).flatMap((root) => [...broughtBy(root, wordsOn(log.state, root))]),
      acts: [correcting(said.corrects ?? "", said.subject, { ...moved(said.data, happened(log.state, said) - said.at), reason: "settled" })],
    }));
  }
  if (TIMES.has(question.code)) {
    return others.map((right) => ({
      key: right.id,
      entry: right,
      says: "right" as const,
      not_by: saidAlready(log, others.filter((entry) => entry.id !== right.id), happened(log.state, right)),
      about: others.filter((entry) => entry.id !== right.id),
      also: [],
      acts: others.filter((entry) => entry.id !== right.id).map((wrong) => correcting(wrong.id, wrong.subject, { reason: "settled", void: false, at: happened(log.state, right) })),
    }));
  }
  if (!DOUBLED.has(question.code)) return [];
  return others.map((wrong) => ({
    key: wrong.id,
    entry: wrong,
    says: "not" as const,
    not_by: [],
    about: [wrong],
    also: [],
    acts: [correcting(wrong.id, wrong.subject, { reason: "settled", void: true })],
  }));
}

/** Writes what one person answers, all of it at one instant: it is one tap, and taken back as one. */
export async function say(log: TripLog, answer: Answer, by: string): Promise<void> {
  let at: number | undefined;
  for (const act of answer.acts) at = log.reckoned((await log.write({ by, ...act, ...(at === undefined ? {} : { at }) })).at);
}

/** The questions to ask: two times and the first person's answer to them are one question, not two. */
export function asked(log: TripLog, questions: readonly QuestionView[]): readonly QuestionView[] {
  const times = questions.filter(({ code }) => TIMES.has(code));
  const answered = (id: string) => {
    const said = log.entry(id);
    if (said?.kind !== "correction") return true;
    const wrong = log.entry(said.corrects ?? "");
    return times.some(({ entries }) => wrong !== undefined && entries.includes(wrong.id) && entries.some((other) => other !== wrong.id && saysAt(log, said, happened(log.state, log.entry(other)!))));
  };
  return questions.filter(({ code, entries }) => code !== "correction_not_settled" || !entries.every(answered));
}

/** Why a limit of this person may rise: two phones, a correction or a clock; `open`: two people can settle it. */
export function whatDiffers(log: TripLog, view: Pick<View, "people" | "questions">, person: string): { readonly why: string; readonly open: boolean } {
  const made = view.people[person]?.dives_done ?? [];
  const rests = new Set(made.flatMap(({ entries }) => entries));
  const dives = new Set(made.map(({ dive }) => dive));
  const about = (id: string) => rests.has(id) || dives.has(String(log.entry(id)?.data["dive"] ?? ""));
  const open = asked(log, view.questions).filter(({ entries }) => entries.some(about));
  const [widest] = open.filter(({ code }) => TIMES.has(code)).map(({ entries }) => apart(log, entries)).sort((a, b) => b.ms - a.ms);
  if (widest !== undefined) return { why: `two ${widest.phones > 1 ? "phones" : "entries"} differ by ${lengthWords(widest.ms, Math.round)}`, open: true };
  return open.length > 0 ? { why: "a correction is not settled", open: true } : { why: "a clock is uncertain", open: false };
}

/** How far entries of one moment lie apart, and on how many phones they were made. */
function apart(log: TripLog, ids: readonly string[]): { readonly ms: number; readonly phones: number } {
  const told = ids.map((id) => log.entry(id)).filter((entry) => entry !== undefined);
  const times = told.map((entry) => happened(log.state, entry));
  return { ms: Math.max(...times) - Math.min(...times), phones: new Set(told.map((entry) => entry.device)).size };
}

/** Whoever said of each of these entries that it was at that moment, and was not taken back or disputed since. */
function saidAlready(log: TripLog, wrong: readonly Entry[], at: number): readonly string[] {
  const [first = [], ...rest] = wrong.map((entry) =>
    wordsOn(log.state, entry).flatMap(({ correction, disputed }) => (correction.by !== null && !disputed && saysAt(log, correction, at) ? [correction.by] : [])),
  );
  return [...new Set(first)].filter((person) => rest.every((others) => others.includes(person)));
}

function saysAt(log: TripLog, said: Entry, at: number): boolean {
  const { void: isVoid, at: told, ...more } = moved(said.data, happened(log.state, said) - said.at);
  return isVoid === false && told === at && Object.keys(more).every((name) => name === "reason");
}

/** Everybody who said the same of the same entry; whoever was disputed may say it afresh. */
function saidBy(log: TripLog, corrections: readonly Entry[], said: Entry): readonly string[] {
  const named = (one: Entry) => one.by !== null && !log.state.corrections.has(one.id);
  return corrections.filter((one) => wordsOf(log, one) === wordsOf(log, said) && named(one)).map((one) => one.by!);
}

/** What a correction says, times by the log's: the same figure off two clocks is two instants. */
function wordsOf(log: TripLog, said: Entry): string {
  return JSON.stringify([said.corrects, { ...moved(said.data, happened(log.state, said) - said.at), reason: "" }]);
}

/** Where a question is answered by doing something on another page of the deck. */
export const elsewhere: Readonly<Record<string, { readonly path: string; readonly label: string }>> = {
  counted_by_eye_only: { path: "roll-call", label: "Call them by name" },
  counts_differ: { path: "roll-call", label: "Count again" },
  deck_accepted_by_two: { path: "hand-over", label: "Say who has it" },
  deck_holder_in_water: { path: "hand-over", label: "Somebody else takes the deck" },
  on_two_boats: { path: "roll-call", label: "Call them by name" },
  last_seen_not_known: { path: "deck", label: "Say when, beside the team" },
};

function correcting(corrects: string, subject: string, data: Readonly<Record<string, unknown>>): Omit<Act, "by"> {
  return { kind: "correction", subject, corrects, data };
}
