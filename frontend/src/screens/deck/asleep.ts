import type { View } from "../../kernel/boatlog/view.ts";
import type { TripLog } from "../../store/trip_log.ts";

/** A shorter sleep is passed by: our own choice, as much as a clock set meanwhile may shorten a wait unseen. */
const ASK_MS = 5 * 60_000;
/** As long as a dive bears on the next one, and on a flight. */
const DAY_MS = 24 * 3600_000;
const IN_WATER: ReadonlySet<string> = new Set(["down", "in_water", "lost_from_sight", "marker_seen", "up"]);

/**
 * How much of the time that this phone slept or was closed is to be asked about (ms): its clock may have been set forward
 * meanwhile. 0 where no dive and nobody's wait hangs on it: a phone in a pocket is the ordinary case.
 */
export function asleepAsked(log: Pick<TripLog, "asleepMs">, view: Pick<View, "people">, now: number): number {
  const { asleepMs } = log;
  if (asleepMs < ASK_MS) return 0;
  const hangs = Object.values(view.people).some(({ state, surfaced_at }) => IN_WATER.has(state) || (surfaced_at !== null && now - asleepMs - surfaced_at[1] < DAY_MS));
  return hangs ? asleepMs : 0;
}
