// A diver at the surface after the dives entered, in the terms of physics.
// The twin of boatlog/surfaced.py: whatever is disputed takes the safe end.

import { after, unknownState, wait } from "../physics/dive.ts";
import { stateBefore } from "../physics/earlier.ts";
import { Missing } from "../physics/known.ts";
import type { NitrogenState } from "../physics/nitrogen.ts";
import { type Breathed, breathed } from "../physics/no_fly.ts";
import { Mix } from "../physics/oxygen.ts";
import { DAY_S, DEFAULT_SETTINGS, squareDive } from "../physics/profile.ts";
import type { Settings } from "../physics/profile.ts";
import { floorDiv } from "../physics/rounding.ts";
import { Depth } from "../physics/units.ts";
import { decided } from "./claims.ts";
import { bottomTimeS, downOf, surfacedOf } from "./dives.ts";
import type { Facts } from "./facts.ts";
import type { State } from "./fold.ts";
import { greatest, told } from "./order.ts";
import type { Person } from "./snapshot.ts";

const DAY_MS = DAY_S * 1000;

/** A diver at the surface: nitrogen then, when (ms; null: no dive on this trip), dives, days and gas for flying. */
export interface Surfaced {
  readonly nitrogen: NitrogenState;
  readonly at: number | null;
  readonly dives: number;
  readonly days: number | null;
  readonly breathed: Breathed;
}

/** The diver after all dives entered. `safe` false: the other end of what is disputed, never to act on. */
export function surfaced(state: State, person: string, known: Facts, safe = true): Surfaced | Missing {
  const settings = settingsOf(state);
  const attempts = known.attempts.get(person) ?? [];
  const unseen = attempts.filter((attempt) => surfacedOf(attempt) === null);
  if (unseen.length > 0) return new Missing(unseen.map((attempt) => `surfacing from ${nameOf(state, attempt.dive)}`));
  if (known.held.get(person) === true) return new Missing(["release of a diver held from diving"]);
  const listed = state.snapshot.people.find((each) => each.id === person);
  const earlier = listed?.earlier_dives ?? null;
  const start = attempts.length > 0 ? downOf(attempts[0]!)[0] : state.snapshot.starts_at;
  let nitrogen = before(listed, start, settings);
  let dives = earlier?.length ?? 0;
  let last: number | null = null;
  const gases = (earlier ?? []).map((dive) => new Mix(dive.o2_pm * 10, true));
  for (const attempt of attempts) {
    const span = surfacedOf(attempt)!;
    const times = bottomTimeS(attempt)!;
    const downs = downOf(attempt);
    const down = safe ? downs[0] : downs[1];
    if (last !== null) nitrogen = wait(nitrogen, Math.max(0, Math.floor((down - last) / 1000)));
    last = safe ? span[1] : span[0];
    const mix = mixOf(state, person, attempt.dive, downs[1]);
    gases.push(mix);
    if (attempt.depth === null) {
      nitrogen = unknownState(`reported depth of ${nameOf(state, attempt.dive)}`);
      dives += 1;
      continue;
    }
    const depth = new Depth(attempt.depth.hundredths, attempt.depth.unit);
    const made = squareDive(depth, safe ? times[1] : times[0], mix);
    const [answer, next] = after(nitrogen, made, settings);
    nitrogen = next;
    dives += answer.joined ? 0 : 1;
  }
  const oneDay = earlier !== null && earlier.length === 0 && attempts.length > 0 && (last ?? 0) - downOf(attempts[0]!)[0] < DAY_MS;
  return { nitrogen, at: last, dives, days: oneDay ? 1 : null, breathed: breathed(gases) };
}

export function settingsOf(state: State): Settings {
  const rules = state.snapshot.settings;
  return {
    ...DEFAULT_SETTINGS,
    method: rules.method,
    gfLowPm: rules.gf_low_pm,
    gfHighPm: rules.gf_high_pm,
    descent: new Depth(rules.descent_cm_min, "m"),
    ascent: new Depth(rules.ascent_cm_min, "m"),
    restS: (rules.rest_after_beyond_limit_min ?? floorDiv(DAY_S, 60)) * 60,
  };
}

/** The diver at the start of the first dive of this trip (ms), from the dives made before it. */
function before(listed: Person | undefined, start: number, settings: Settings): NitrogenState {
  const earlier = listed?.earlier_dives ?? null;
  if (earlier === null) return stateBefore(null, settings);
  const made = earlier.map((dive) => ({
    depth: new Depth(dive.depth.hundredths, dive.depth.unit),
    bottomTimeS: dive.bottom_time_s,
    mix: new Mix(dive.o2_pm * 10, true),
    surfacedS: Math.max(0, Math.floor((start - dive.surfaced_at) / 1000)),
  }));
  return stateBefore(made, settings);
}

/** The gas of a diver on a dive: the last cylinder checked before `beforeMs`, else the one planned. */
export function mixOf(state: State, person: string, dive: string, beforeMs: number): Mix {
  const checks = decided(state, "gas_checked").filter((claim) => claim.entry.subject === person && claim.at <= beforeMs);
  const last = greatest(checks, (claim) => told(claim.at, claim.entry));
  if (last !== undefined) {
    const o2 = last.data["o2_pm"] as number | null;
    return new Mix(o2 === null ? null : o2 * 10, last.data["analysed_by"] === person);
  }
  for (const planned of state.snapshot.dives) {
    if (planned.id !== dive) continue;
    for (const team of planned.teams) {
      for (const diver of team.divers) if (diver.id === person && diver.o2_pm !== null) return new Mix(diver.o2_pm * 10, true);
    }
  }
  return new Mix(null, false);
}

function nameOf(state: State, dive: string): string {
  const planned = state.snapshot.dives.find((each) => each.id === dive);
  return planned === undefined ? "a dive that was not planned" : `dive ${planned.number}`;
}
