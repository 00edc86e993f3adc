// Whether the emergency page is open and why, and how far the club's procedure is.
// The twin of boatlog/emergency.py; both read the same default steps, to be replaced by the club's own.

import DEFAULT from "../../../../teamdive/boatlog/data/lost_diver.json" with { type: "json" };
import { decided, readings } from "./claims.ts";
import type { Claim } from "./claims.ts";
import type { State } from "./fold.ts";
import type { Hold } from "./holds.ts";
import { compareKeys, greatest, told } from "./order.ts";
import type { Key } from "./order.ts";
import type { RollCall } from "./rollcall.ts";
import type { ProcedureStep, Snapshot } from "./snapshot.ts";

export const DEFAULT_STEPS: readonly ProcedureStep[] = DEFAULT.steps;

export interface EmergencyPage {
  readonly open: boolean;
  readonly why: readonly string[];
  readonly people: readonly string[];
  readonly since: number | null;
}

export interface StepView {
  readonly step: string;
  readonly say: string;
  readonly due_at: number | null;
  readonly done_at: number | null;
  readonly by: string | null;
  readonly late: boolean;
}

export interface Procedure {
  readonly started_at: number;
  /** From when the minutes of the steps count (ms). */
  readonly counts_from: number;
  readonly own: boolean;
  readonly steps: readonly StepView[];
}

/** The club's steps for a lost diver, or the general ones. */
export function steps(snapshot: Snapshot): readonly ProcedureStep[] {
  return snapshot.lost_diver ?? DEFAULT_STEPS;
}

/** Whether the emergency plan was started and not ended. */
export function isRunning(state: State): boolean {
  return started(state).length > 0;
}

interface Reason {
  readonly why: string;
  readonly since: number;
  readonly people: readonly string[];
}

/**
 * Whether the emergency page is open, why, for whom and since when (ms). `overdue`: since when, by person.
 * `emergency_ended` closes what was entered before it; who is overdue keeps it open.
 */
export function page(
  state: State,
  holds: ReadonlyMap<string, readonly Hold[]>,
  calls: readonly RollCall[],
  overdue: ReadonlyMap<string, number>,
): EmergencyPage {
  const ended = lastEnd(state);
  const named = (claim: Claim) => (claim.data["people"] as string[] | undefined) ?? [];
  const reasons: Reason[] = started(state).map((claim) => ({ why: "started", since: claim.at, people: named(claim) }));
  for (const entry of state.byKind.get("distress_call_made") ?? []) {
    for (const claim of readings(state, entry).claims) {
      if (after(told(claim.at, entry), ended)) reasons.push({ why: "distress_call", since: claim.at, people: named(claim) });
    }
  }
  for (const [person, held] of holds) {
    for (const { entry: id, since, urgent, why } of held) {
      if (urgent && after(told(since, state.byId.get(id)![0]!), ended)) reasons.push({ why, since, people: [person] });
    }
  }
  for (const call of calls) {
    if (call.needed < 2 || call.compared.stage !== "emergency") continue;
    const since = Math.max(...call.counts.map(({ shown }) => shown.finished_at ?? 0));
    reasons.push({ why: "counts_differ", since, people: call.compared.differ });
  }
  for (const [person, since] of overdue) reasons.push({ why: "overdue", since, people: [person] });
  return {
    open: reasons.length > 0,
    why: [...new Set(reasons.map(({ why }) => why))].sort(),
    people: [...new Set(reasons.flatMap(({ people }) => people))].sort(),
    since: reasons.length > 0 ? Math.min(...reasons.map(({ since }) => since)) : null,
  };
}

/**
 * The steps of the procedure since the plan was started, with what is done and late; null: not started.
 * Their minutes count from overdue (`overdue`: since when, by person), or from the start where that came first.
 */
export function procedure(state: State, overdue: ReadonlyMap<string, number>, now: number): Procedure | null {
  const place = (claim: Claim) => told(claim.at, claim.entry);
  const first = started(state).reduce<Claim | null>((best, claim) => (best === null || compareKeys(place(claim), place(best)) < 0 ? claim : best), null);
  if (first === null) return null;
  const since = Math.min(first.at, ...overdue.values());
  const done = new Map<string, Claim>();
  for (const claim of decided(state, "procedure_step_done")) {
    const step = claim.data["step"] as string;
    const known = done.get(step);
    if (claim.at < first.at || (known !== undefined && compareKeys(place(claim), place(known)) >= 0)) continue;
    done.set(step, claim);
  }
  return {
    started_at: first.at,
    counts_from: since,
    own: state.snapshot.lost_diver !== undefined,
    steps: steps(state.snapshot).map((step) => stepView(step, since, done.get(step.step) ?? null, now)),
  };
}

function stepView({ step, say, within_s }: ProcedureStep, since: number, done: Claim | null, now: number): StepView {
  const dueAt = within_s === null ? null : since + within_s * 1000;
  return {
    step,
    say,
    due_at: dueAt,
    done_at: done?.at ?? null,
    by: done?.entry.by ?? null,
    late: done === null && dueAt !== null && now > dueAt,
  };
}

function after(place: Key, ended: Key | null): boolean {
  return ended === null || compareKeys(place, ended) > 0;
}

function lastEnd(state: State): Key | null {
  const last = greatest(decided(state, "emergency_ended"), (claim) => told(claim.at, claim.entry));
  return last === undefined ? null : told(last.at, last.entry);
}

/** The starts of the plan that no end followed. One person's doubt does not undo a start. */
function started(state: State): Claim[] {
  const ended = lastEnd(state);
  return (state.byKind.get("emergency_started") ?? [])
    .flatMap((entry) => readings(state, entry).claims)
    .filter((claim) => after(told(claim.at, claim.entry), ended));
}
