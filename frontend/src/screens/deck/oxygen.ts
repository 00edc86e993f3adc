import { happened, standing } from "../../kernel/boatlog/claims.ts";
import type { State } from "../../kernel/boatlog/fold.ts";

/** What a demand or free-flow set is turned to where nobody entered another: a training page's figure, common practice. */
export const FLOW_L_MIN = 15;

/** Oxygen given to one person: from when (ms), until when (null: still), at how many litres a minute. */
export interface Given {
  readonly from: number;
  readonly to: number | null;
  readonly flow: number;
}

/** Whole minutes that so many litres last so many people, rounded down. */
export function oxygenMinutes(litres: number, people: number, flow = FLOW_L_MIN): number {
  return Math.floor(litres / (flow * people));
}

/** When (ms) the oxygen aboard ends at the flows given; null: nobody is given any now. Never later than it may be. */
export function oxygenEndsAt(litres: number, given: readonly Given[], now: number): number | null {
  const flow = given.reduce((sum, each) => (each.to === null ? sum + each.flow : sum), 0);
  if (flow === 0) return null;
  const used = given.reduce((sum, { from, to, flow: own }) => sum + (own * Math.max(0, (to ?? now) - from)) / 60_000, 0);
  return now + Math.floor((Math.max(0, litres - used) / flow) * 60_000);
}

/** Everyone who was or is given oxygen, or the one person named, as the log tells it. */
export function givenOxygen(state: State, person?: string): readonly Given[] {
  const said = ["oxygen_started", "oxygen_stopped"]
    .flatMap((kind) => state.byKind.get(kind) ?? [])
    .filter((entry) => (person === undefined || entry.subject === person) && standing(state, entry) !== null)
    .map((entry) => ({ entry, at: happened(state, entry) }))
    .sort((a, b) => a.at - b.at);
  const found: Given[] = [];
  const open = new Map<string, number>();
  for (const { entry, at } of said) {
    const there = open.get(entry.subject);
    const flow = entry.data["flow_l_min"];
    if (entry.kind === "oxygen_started" && there === undefined) {
      open.set(entry.subject, found.push({ from: at, to: null, flow: typeof flow === "number" ? flow : FLOW_L_MIN }) - 1);
    } else if (entry.kind === "oxygen_stopped" && there !== undefined) {
      found[there] = { ...(found[there] as Given), to: at };
      open.delete(entry.subject);
    }
  }
  return found;
}
