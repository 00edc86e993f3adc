// A diver's state carried from one question to the next: what is left of a day when its dives are not given again.
// The twin of physics/carried.py.

import type { Exposure } from "./exposure.ts";
import { type Missing, isMissing, missing } from "./known.ts";
import { type Group, type NitrogenState, unknownState } from "./nitrogen.ts";
import type { Breathed } from "./no_fly.ts";
import { DAY_S, type Settings } from "./profile.ts";
import { scaledUp } from "./rounding.ts";
import * as tables from "./tables.ts";
import * as tissues from "./tissues.ts";
import type { Tissues } from "./tissues.ts";

/** Tensions are carried in whole units of 1e-9 bar. */
export const E9 = 1_000_000_000;

const ELSEWHERE = missing("repetitive group after dives at another altitude");

export const OXYGEN_NOT_GIVEN = missing("oxygen of the dives before the state given: give those dives");

/** A diver on surfacing; the last of `groups` is this surfacing's, each has its seconds before it; times of `oxygen` too. */
export interface Carried {
  readonly tensionsE9: readonly number[] | Missing;
  readonly groups: readonly (readonly [Group, number])[];
  readonly beyond: boolean;
  readonly altitudeFt: number;
  readonly beyondAgoS: number | null;
  readonly oxygen: readonly Exposure[] | Missing;
  /** The gas of which least is published for flying. */
  readonly breathed: Breathed;
}

/** What to keep of a state on surfacing from its last dive. */
export function carried(
  state: NitrogenState,
  settings: Settings,
  oxygen: readonly Exposure[] | Missing = OXYGEN_NOT_GIVEN,
  breathed: Breathed = "not_known",
): Carried {
  const held = state.surfacedTissues;
  const tensionsE9 = isMissing(held) ? held : held.map((x) => scaledUp(x, E9));
  const { groups, beyond, beyondAgoS } = state;
  return { tensionsE9, groups, beyond, altitudeFt: settings.altitudeFt, beyondAgoS, oxygen, breathed };
}

/** The diver `waitedS` (ten minutes or more) after that surfacing, at the site of the settings. */
export function resumed(kept: Carried, waitedS: number, settings: Settings): NitrogenState {
  let held: Tissues | Missing = isMissing(kept.tensionsE9) ? kept.tensionsE9 : kept.tensionsE9.map((x) => x / E9);
  const here = tables.altitudeRowFt(settings.altitudeFt);
  const same = here === tables.altitudeRowFt(kept.altitudeFt);
  const atS = settings.atAltitudeS;
  // Barred as long as the club's time asks, counted from surfacing.
  const state = (
    surfacedGroup: Group,
    sinceS: number,
    groups: readonly (readonly [Group, number])[],
  ): NitrogenState => {
    const beyond = kept.beyond && (waitedS < settings.restS || sinceS === waitedS);
    const beyondAgoS = kept.beyondAgoS === null ? null : kept.beyondAgoS + waitedS - sinceS;
    const restS = beyond ? settings.restS : DAY_S;
    return { surfacedGroup, surfacedTissues: held, sinceS, openDive: null, groups, beyond, restS, beyondAgoS };
  };
  if (here > 0 && atS === null) return unknownState("hours_at_altitude");
  if (here === 0 || atS === null || (atS >= waitedS && same)) {
    if (same || waitedS >= DAY_S) {
      const group = same ? kept.groups[kept.groups.length - 1]![0] : null;
      return state(group, waitedS, same ? kept.groups : []);
    }
    return state(ELSEWHERE, waitedS, [[ELSEWHERE, 0]]);
  }
  if (atS >= waitedS) return unknownState("dives at another altitude after arriving at this one");
  if (!isMissing(held)) held = tissues.constant(held, tissues.SEA_LEVEL_BAR, tissues.AIR_N2, waitedS - atS);
  if (waitedS < DAY_S) return state(ELSEWHERE, atS, [[ELSEWHERE, 0]]);
  const group = tables.groupOnArrival(settings.altitudeFt);
  return state(group, atS, [[group, 0]]);
}
