// When a diver is due at the surface; one diver up alone starts the clock of the one still down.
// The twin of boatlog/due.py: whole seconds, rounded to the earlier instant.

import { readings } from "./claims.ts";
import type { Claim, Question } from "./claims.ts";
import { downOf, isOpen, surfacedOf } from "./dives.ts";
import type { Attempt } from "./dives.ts";
import { about } from "./fold.ts";
import type { State } from "./fold.ts";
import { sortedBy } from "./order.ts";
import { depthCm, divePlan, plannedBottomTimeS, teams } from "./plan.ts";
import type { DivePlan } from "./plan.ts";

// From the surface marker or the swim until the deck can know them: our own choice of a minute.
export const SEEN_AFTER_S = 60;

/** Instants in ms; null: not known. `alone`: the clock of a diver whose team came up or lost them. */
export interface Due {
  readonly dueAt: number | null;
  readonly overdueAt: number | null;
  readonly alone: boolean;
  readonly together: Together | null;
}

/**
 * The earliest instant (ms) at which a diver may have been last seen with the team. `guessed`: nobody told it, so it is the
 * instant at which one came up or the team was said to be apart. `unsureMs`: how wide the clock leaves it.
 */
export interface Together {
  readonly at: number;
  readonly guessed: boolean;
  readonly unsureMs: number;
}

type Others = ReadonlyMap<string, readonly Attempt[]>;

/** When the diver of an open attempt is due; `others` are all attempts by person. */
export function dueOf(state: State, attempt: Attempt, others: Others): { due: Due; questions: Question[] } {
  const [down, latest] = downOf(attempt);
  // What was announced between the ends of the descent may or may not have reached them: the shorter time counts.
  const plans = (down === latest ? [down] : [down, latest]).map((instant) => divePlan(state, attempt.dive, instant));
  const plan = plans[0]!;
  const runs = plans.filter((each) => each !== null).map((each) => runTimeS(state, each, attempt));
  const planned = runs.length === 0 ? null : down + Math.min(...runs) * 1000;
  const { seen, questions } = lastTogether(state, attempt, others);
  if (planned === null) {
    // A dive that nobody planned has no run time: without one nobody can be late, and that must be said.
    const entries = [...new Set(attempt.downs.map((claim) => claim.entry.id))].sort();
    questions.push({ code: "run_time_not_known", entries, people: [attempt.person], subject: attempt.dive });
  }
  let alone: number | null = null;
  if (seen !== null) {
    const depth = attempt.depth ?? plan?.depth ?? null;
    const { ascent_cm_min, search_min, safety_stop_s } = state.snapshot.settings;
    const upS = depth === null ? 0 : Math.floor((depthCm(depth) * 60) / ascent_cm_min);
    alone = seen.at + (search_min * 60 + upS + safety_stop_s + SEEN_AFTER_S) * 1000;
  }
  const known = [planned, alone].filter((instant) => instant !== null);
  const dueAt = known.length > 0 ? Math.min(...known) : null;
  const after = state.snapshot.settings.overdue_after_min;
  const overdueAt = dueAt === null || after === null ? null : dueAt + after * 60_000;
  return { due: { dueAt, overdueAt, alone: alone !== null && alone === dueAt, together: seen }, questions };
}

/** The dive's run time, shortened by what the team's limit takes off its bottom time; the shortest of several. */
function runTimeS(state: State, plan: DivePlan, attempt: Attempt): number {
  const known = teams(state);
  const bottoms = attempt.teams.map((team) => plannedBottomTimeS(state, plan, known.get(team) ?? null));
  return plan.run_time_s - plan.bottom_time_s + Math.min(plan.bottom_time_s, ...bottoms);
}

/** When this diver may have been last seen with the team, at the earliest; null: no sign of parting. */
function lastTogether(state: State, attempt: Attempt, others: Others): { seen: Together | null; questions: Question[] } {
  const still = attempt.mates.some((mate) => (others.get(mate) ?? []).some((other) => same(attempt, other) && isOpen(other)));
  const signs: Together[] = [];
  const questions: Question[] = [];
  for (const mate of attempt.mates) {
    for (const other of others.get(mate) ?? []) {
      if (!same(attempt, other)) continue;
      const ups = other.ups.length > 0 ? other.ups : other.met === null ? [] : [other.met];
      for (const up of ups) {
        // Two of three may stay down together by plan; a head that came up unplanned counts for both.
        if (still && up.entry.kind !== "surfaced_alone") continue;
        const sign = parted(up);
        signs.push(sign);
        if (sign.guessed) {
          questions.push({ code: "last_seen_not_known", entries: [up.entry.id], people: [attempt.person], subject: up.entry.subject });
        }
      }
    }
  }
  for (const team of attempt.teams) {
    for (const entry of about(state, team)) {
      if (entry.kind !== "separated" || entry.subject !== team) continue;
      for (const claim of readings(state, entry).claims) {
        if (claim.latest >= downOf(attempt)[0]) signs.push(parted(claim));
      }
    }
  }
  return { seen: sortedBy(signs, (sign) => [sign.at, Number(sign.guessed), sign.unsureMs])[0] ?? null, questions };
}

/** What an entry says of when they were last together: it was no later than the entry itself. */
function parted(claim: Claim): Together {
  const said = (claim.data["last_seen_at"] as number | null | undefined) ?? null;
  const at = said === null ? claim.earliest : Math.min(said + claim.shift, claim.earliest);
  return { at, guessed: said === null, unsureMs: claim.latest - claim.earliest };
}

/** Whether a team-mate's attempt is the same dive of the same team, and not over before this began. */
function same(attempt: Attempt, other: Attempt): boolean {
  if (other.dive !== attempt.dive || !other.teams.some((team) => attempt.teams.includes(team))) return false;
  const up = surfacedOf(other);
  return up === null || up[1] >= downOf(attempt)[0];
}
