import { openTrip } from "../store/phone.ts";
import type { TripLog } from "../store/trip_log.ts";
import { SyncLoop } from "./loop.ts";
import { server } from "./server.ts";

export interface Running {
  readonly log: TripLog;
  readonly loop: SyncLoop;
  readonly subscribe: (listener: () => void) => () => void;
}

const running = new Map<string, Running>();

/** Opens a trip on this phone and keeps it in step with the server while a page of it is shown. Null: not on this phone. */
export async function follow(trip: string): Promise<Running | null> {
  const log = await openTrip(trip);
  if (log === null) return null;
  const known = running.get(trip);
  if (known !== undefined && known.log === log) return known;
  known?.loop.stop();
  const listeners = new Set<() => void>();
  const tell = () => listeners.forEach((listener) => listener());
  const loop = new SyncLoop(
    log,
    server,
    {
      now: () => Date.now(),
      random: () => Math.random(),
      awake: () => document.visibilityState === "visible" && navigator.onLine,
      after: (ms, work) => {
        const timer = setTimeout(work, ms);
        return () => clearTimeout(timer);
      },
    },
    tell,
  );
  log.subscribe(tell);
  const made: Running = {
    log,
    loop,
    subscribe: (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
  running.set(trip, made);
  return made;
}

if (typeof document !== "undefined") {
  const nudge = () => {
    if (document.visibilityState === "visible") for (const { loop } of running.values()) loop.nudge();
  };
  document.addEventListener("visibilitychange", nudge);
  addEventListener("online", nudge);
}
