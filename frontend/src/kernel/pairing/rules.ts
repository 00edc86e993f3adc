// Whether a rule holds a diver or a team back, and what an override lifts. The twin of pairing/rules.py.

import { type Case, RULES } from "./case.ts";
import type { Override, Reason } from "./model.ts";

/** Why an override does not count, or null. Never for oneself, only a leader, never below the floor. */
export function refusal(override: Override, of: Case): string | null {
  if (!RULES[override.rule]!.overridable) return "this rule is never overridden";
  if (override.by === override.diver) return "nobody overrides a rule for themselves";
  const by = of.people.get(override.by);
  if (by !== undefined && by.leader !== true) return "only a dive leader overrides a rule";
  return null;
}

/** The override that lifts this reason. Whoever signs it is not one of those whom the rule protects. */
export function excused(reason: Reason, of: Case): Override | null {
  return (
    of.overrides.find(
      (override) =>
        override.rule === reason.code &&
        reason.divers.includes(override.diver) &&
        !reason.divers.includes(override.by) &&
        refusal(override, of) === null,
    ) ?? null
  );
}

/** Those that no override lifts. */
export function standingReasons(reasons: readonly Reason[], of: Case): Reason[] {
  return reasons.filter((reason) => excused(reason, of) === null);
}
