// The latest surfacing for a known flight: each diver's departure, less the wait after the planned dive.
// The twin of physics/flight.py.

import { after } from "./dive.ts";
import { isState } from "./earlier.ts";
import { type Diver, type DiverLimits, type TeamDive, nextLonger } from "./diver.ts";
import { type Missing, isMissing } from "./known.ts";
import type { NitrogenState } from "./nitrogen.ts";
import { type ClubWaits, type NoFly, REACH_S, USUAL, breathed, leastPublished, noFly } from "./no_fly.ts";
import { type Settings, squareDive } from "./profile.ts";
import { floorDiv } from "./rounding.ts";

/** When a diver goes to `toAltitudeFt`: seconds after the planned descent. `days` of diving null: not known. */
export interface Flight {
  readonly inS: number;
  readonly toAltitudeFt: number;
  readonly days: number | null;
  readonly club: ClubWaits;
}

/** The wait after the dive and the last minute, counted from its descent, at which to be at the surface. */
export interface LatestSurfacing {
  readonly wait: NoFly;
  readonly latestMin: number | Missing;
}

/** A diver on surfacing from `stayS` of this dive. */
export function afterDive(dive: TeamDive, member: DiverLimits, stayS: number, settings: Settings): NitrogenState {
  const { diver } = member;
  const square = squareDive(dive.depth, stayS, diver.mix);
  const made = { ...square, caution: diver.caution, coldOrHard: nextLonger(dive) };
  return after(member.state, made, settings)[1];
}

/** The latest surfacing for the flight, by the longest of the consensus, the table and the club's wait. */
export function latestSurfacing(
  flight: Flight,
  diver: Diver,
  surfaced: NitrogenState,
  settings: Settings,
): LatestSurfacing {
  const dives = 1 + (diver.earlier ?? []).length;
  let gas = breathed([diver.mix, ...(diver.earlier ?? []).flatMap((made) => (isState(made) ? [] : [made.mix]))]);
  for (const made of diver.earlier ?? []) {
    if (isState(made) && made.surfacedS < REACH_S) gas = leastPublished(gas, made.kept.breathed);
  }
  const more = { ...USUAL, breathed: gas };
  const wait = noFly(surfaced, settings, flight.toAltitudeFt, dives, flight.days, flight.club, more);
  if (isMissing(wait.waitMin)) return { wait, latestMin: wait.waitMin };
  return { wait, latestMin: floorDiv(flight.inS, 60) - wait.waitMin };
}
