// Whether the emergency page is open and why, and how far the club's procedure is.
// The twin of boatlog/emergency.py; both read the same default steps, to be replaced by the club's own.

import DEFAULT from "../../../../teamdive/boatlog/data/lost_diver.json" with { type: "json" };
import { decided, readings } from "./claims.ts";
import type { Claim } from "./claims.ts";
import type { Entry } from "./entries.ts";
import type { State } from "./fold.ts";
import type { Hold } from "./holds.ts";
import { compareKeys, greatest, told } from "./order.ts";
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
 * `emergency_ended` closes what it names (see `ending`); who is overdue keeps it open.
 */
export function page(
  state: State,
  holds: ReadonlyMap<string, readonly Hold[]>,
  calls: readonly RollCall[],
  overdue: ReadonlyMap<string, number>,
): EmergencyPage {
  const reasons = openReasons(state, holds).map(({ reason }) => reason);
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

/** What whoever ends the plan now writes: the entries that it answers. One that this phone does not know stays open. */
export function ending(state: State, holds: ReadonlyMap<string, readonly Hold[]>): { readonly of: readonly string[] } {
  return { of: [...new Set(openReasons(state, holds).map(({ entry }) => entry.id))].sort() };
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

/** What the ends of the plan answer: the entries they name, and of those that name none all that happened before. */
function ends(state: State): (at: number, entry: Entry) => boolean {
  const said = decided(state, "emergency_ended");
  const named = new Set(said.flatMap(({ data }) => (data["of"] as readonly string[] | undefined) ?? []));
  const last = greatest(said.filter(({ data }) => !("of" in data)), (claim) => told(claim.at, claim.entry));
  return (at, entry) => named.has(entry.id) || (last !== undefined && compareKeys(told(at, entry), told(last.at, last.entry)) <= 0);
}

/** The starts of the plan that no end answered. One person's doubt does not undo a start. */
export function started(state: State): Claim[] {
  return left(state, "emergency_started", ends(state));
}

function left(state: State, kind: string, answered: (at: number, entry: Entry) => boolean): Claim[] {
  return (state.byKind.get(kind) ?? []).flatMap((entry) => readings(state, entry).claims).filter((claim) => !answered(claim.at, claim.entry));
}

/** What was entered that opens the page and that no end answered. */
function openReasons(state: State, holds: ReadonlyMap<string, readonly Hold[]>): { readonly entry: Entry; readonly reason: Reason }[] {
  const answered = ends(state);
  const found = [["emergency_started", "started"] as const, ["distress_call_made", "distress_call"] as const].flatMap(([kind, why]) =>
    left(state, kind, answered).map(({ entry, at, data }) => ({ entry, reason: { why, since: at, people: (data["people"] as string[] | undefined) ?? [] } as Reason })),
  );
  for (const [person, held] of holds) {
    for (const { entry: id, since, urgent, why } of held) {
      const entry = state.byId.get(id)![0]!;
      if (urgent && !answered(since, entry)) found.push({ entry, reason: { why, since, people: [person] } });
    }
  }
  return found;
}
