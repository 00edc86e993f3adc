// The moments at which waiting pays: when a planned team's limit, in whole minutes, rises, and what ends that.
// The twin of physics/waiting.py.

import { wait } from "./dive.ts";
import { stateBefore } from "./earlier.ts";
import { type Diver, type TeamDive, type TeamSettings, diverLimits } from "./diver.ts";
import { LONGEST_WAIT_MIN, leastMinute } from "./interval.ts";
import { type Missing, isMissing } from "./known.ts";
import { JOIN_S, type NitrogenState } from "./nitrogen.ts";
import type { Method } from "./profile.ts";
import { ceilDiv, floorDiv } from "./rounding.ts";
import { type Bound, teamLimits } from "./team.ts";

const MOST_STEPS = 30;

/** The team's limit once it has waited `afterMin` longer than stated, and the whole minutes that wins. */
export interface Step {
  readonly afterMin: number;
  readonly limit: Bound;
  readonly gainMin: number;
}

/** Where waiting pays, soonest first. `ends` binds once it no longer does; `more`: there are steps past these. */
export interface Steps {
  readonly now: Bound;
  readonly steps: readonly Step[];
  readonly ends: Bound;
  readonly more: boolean;
}

/** The later moments at which the team's limit, in whole minutes, rises; none where waiting wins nothing. */
export function intervalSteps(
  dive: TeamDive,
  divers: readonly Diver[],
  settings: TeamSettings,
): Steps | Missing {
  const states = divers.map((diver) => stateBefore(diver.earlier, settings.dive));
  const bound = (minutes: number): Bound | Missing => later(dive, divers, settings, states, minutes);
  const whole = (minutes: number): number => {
    const limit = bound(minutes);
    return isMissing(limit) ? -1 : floorDiv(limit.seconds, 60);
  };
  const now = bound(0);
  const ends = bound(LONGEST_WAIT_MIN);
  if (isMissing(now)) return now;
  if (isMissing(ends)) return ends;
  const first = whole(0);
  let reached = first;
  let after = partedMin(divers);
  const top = floorDiv(ends.seconds, 60);
  const steps: Step[] = [];
  while (reached < top && steps.length < MOST_STEPS) {
    const wanted = reached + 1;
    const minute = leastMinute(after + 1, LONGEST_WAIT_MIN, (at) => whole(at) >= wanted);
    const limit = minute === null ? ends : bound(minute);
    if (minute === null || isMissing(limit)) break;
    after = minute;
    reached = floorDiv(limit.seconds, 60);
    steps.push({ afterMin: minute, limit, gainMin: reached - first });
  }
  return { now, steps, ends, more: reached < top };
}

/** One minute less than the wait after which nobody's dive joins the last one. */
function partedMin(divers: readonly Diver[]): number {
  let most = 0;
  for (const { earlier } of divers) {
    if (earlier === null || earlier.length === 0) continue;
    most = Math.max(most, ceilDiv(JOIN_S - Math.min(...earlier.map((made) => made.surfacedS)), 60));
  }
  return Math.max(0, most - 1);
}

/** What binds the team once it has waited that much longer than stated. */
function later(
  dive: TeamDive,
  divers: readonly Diver[],
  settings: TeamSettings,
  states: readonly NitrogenState[],
  minutes: number,
): Bound | Missing {
  const by = minutes * 60;
  const members = divers.map((diver, i) =>
    diverLimits(dive, waited(diver, by), settings, wait(states[i]!, by)),
  );
  return teamLimits(dive, members, settings).limit;
}

/** The diver with the coming dive that much later. */
export function waited(diver: Diver, seconds: number): Diver {
  if (diver.earlier === null || diver.earlier.length === 0) return diver;
  return { ...diver, earlier: diver.earlier.map((made) => ({ ...made, surfacedS: made.surfacedS + seconds })) };
}

/** The same settings with one method governing. */
export function methodOnly(settings: TeamSettings, method: Method): TeamSettings {
  return { ...settings, dive: { ...settings.dive, method } };
}
