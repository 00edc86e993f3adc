import type { View } from "../../kernel/boatlog/view.ts";

export type Method = "answered" | "seen" | "tag" | "signed";
type RollCall = Pick<View["roll_call"], "counts" | "compared" | "alone">;

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
