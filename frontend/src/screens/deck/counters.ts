import type { View } from "../../kernel/boatlog/view.ts";

export type Method = "answered" | "seen" | "tag" | "signed";
type RollCall = Pick<View["roll_call"], "counts" | "compared" | "alone">;

/** Of several boats: which one counts, and how far. */
interface Own {
  readonly boat: string;
  readonly call: Pick<View["roll_call"], "named" | "missing">;
}

/** Whom to call here, and who went over to others who bring them home: those answer to somebody else. */
export function toCall(people: View["people"], own: Own | null = null): { readonly called: readonly string[]; readonly away: readonly string[] } {
  const all = Object.entries(people).filter(([, { state, boats }]) => state !== "ashore" && (own === null || boats.includes(own.boat)));
  // Whom another boat of the trip is said to have handed over here is called by name all the same.
  const called = (person: string) => own !== null && [...own.call.named, ...own.call.missing].includes(person);
  const gone = all.filter(([person, { state, accounted_for: brought }]) => state === "transferred" && brought && !called(person)).map(([person]) => person);
  return { called: all.map(([person]) => person).filter((person) => !gone.includes(person)), away: gone };
}

/** Of whom this boat was told by radio that another one has them, and that one's own count does not name them yet. */
export function saidElsewhere(people: View["people"], boat: string | null): readonly string[] {
  return boat === null
    ? []
    : Object.entries(people)
        .filter(([, { state, boats, accounted_for: taken }]) => state === "transferred" && taken && boats.length > 0 && !boats.includes(boat))
        .map(([person]) => person);
}

/** Whether the two counts that were compared found the same names: then they do not differ, whoever is missing. */
export function sameNames({ counts, compared }: RollCall): boolean {
  const [first, second] = counts.filter(({ count }) => compared.includes(count));
  return first !== undefined && second !== undefined && first.seen.join(" ") === second.seen.join(" ");
}

/** The ended count that still waits for a second one: pairs are made in the order of their ends. */
export function unpaired({ counts, compared }: RollCall) {
  const ended = counts.filter((one) => one.finished_at !== null && one.counter !== null).sort((a, b) => a.finished_at! - b.finished_at!);
  const last = ended.at(-1);
  return last === undefined || compared.includes(last.count) ? undefined : last;
}

/** Whether this person may take the next count that way: somebody else, or the one crew member alone in a second active way. */
export function mayCount(call: RollCall, person: string, method: Method): boolean {
  const waiting = unpaired(call);
  if (waiting === undefined || waiting.counter !== person) return true;
  return call.alone && waiting.active && method !== "seen" && !waiting.methods.includes(method);
}
