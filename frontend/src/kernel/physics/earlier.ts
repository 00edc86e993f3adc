// What a diver did before a coming dive, as dives or as the state they left, and the state at the start of that dive.
// The twin of physics/earlier.py.

import { type Carried, resumed } from "./carried.ts";
import { after, runS } from "./dive.ts";
import { JOIN_S, type NitrogenState, clearState, unknownState, wait } from "./nitrogen.ts";
import type { Mix } from "./oxygen.ts";
import { type Settings, profile, riseFt, squareDive } from "./profile.ts";
import type { Depth } from "./units.ts";

/** A dive before the coming one; `surfacedS` is from its surfacing to the start of the coming dive. */
export interface EarlierDive {
  readonly depth: Depth;
  readonly bottomTimeS: number;
  readonly mix: Mix;
  readonly surfacedS: number;
}

/** A diver's state on surfacing `surfacedS` before the coming dive, in the place of that dive and all before it. */
export interface EarlierState {
  readonly kept: Carried;
  readonly surfacedS: number;
}

export type Earlier = EarlierDive | EarlierState;

export function isState(made: Earlier): made is EarlierState {
  return "kept" in made;
}

/** Position of an earlier dive whose bottom time began before the one before it had surfaced, or null. */
export function overlapping(earlier: readonly EarlierDive[]): number | null {
  const order = earlier.map((_, i) => i).sort((a, b) => earlier[b]!.surfacedS - earlier[a]!.surfacedS);
  for (let i = 1; i < order.length; i += 1) {
    const first = earlier[order[i - 1]!]!;
    const second = earlier[order[i]!]!;
    if (first.surfacedS < second.surfacedS + second.bottomTimeS) return order[i]!;
  }
  return null;
}

/** A diver at the start of a coming dive. null: earlier dives are not known; []: there are none. */
export function stateBefore(earlier: readonly Earlier[] | null, settings: Settings): NitrogenState {
  if (earlier === null) return unknownState("earlier_dives");
  let state = clearState(settings);
  let previous: number | null = null;
  let given: EarlierState | null = null;
  for (const made of [...earlier].sort((a, b) => b.surfacedS - a.surfacedS)) {
    if (isState(made)) {
      given = made;
      previous = made.surfacedS;
      continue;
    }
    const dive = squareDive(made.depth, made.bottomTimeS, made.mix);
    const began = made.surfacedS + runS(profile(dive, settings));
    if (given !== null) {
      state = resumed(given.kept, Math.max(JOIN_S, given.surfacedS - began), settings);
      given = null;
    } else if (previous === null) {
      if (riseFt(settings) > 0 && settings.atAltitudeS !== null) {
        if (began > settings.atAltitudeS) return unknownState("dives made before going to the site's altitude");
        state = { ...state, sinceS: settings.atAltitudeS - began };
      }
    } else {
      state = wait(state, Math.max(0, previous - began));
    }
    state = after(state, dive, settings)[1];
    previous = made.surfacedS;
  }
  if (given !== null) return resumed(given.kept, given.surfacedS, settings);
  return previous === null ? state : wait(state, previous);
}
