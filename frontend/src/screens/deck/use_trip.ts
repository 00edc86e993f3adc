import { useEffect, useReducer, useState } from "preact/hooks";
import type { View } from "../../kernel/boatlog/view.ts";
import { onReplaced } from "../../store/phone.ts";
import type { TripLog } from "../../store/trip_log.ts";
import { follow, type Running } from "../../sync/running.ts";

export type TripState =
  | { readonly state: "opening" }
  | { readonly state: "not_here" }
  | { readonly state: "failed"; readonly error: unknown }
  | { readonly state: "here"; readonly running: Running };

/** The trip from this phone's own store; drawn again whenever an entry is added or the network's state changes. */
export function useTrip(trip: string): TripState {
  const [state, setState] = useState<TripState>({ state: "opening" });
  const [turn, again] = useState(0);
  const [, draw] = useReducer((n: number) => n + 1, 0);
  useEffect(() => onReplaced((which) => which === trip && again((before) => before + 1)), [trip]);
  useEffect(() => {
    let gone = false;
    let stop = () => {};
    follow(trip).then(
      (running) => {
        if (gone) return;
        if (running === null) return setState({ state: "not_here" });
        stop = running.subscribe(() => draw(undefined));
        setState({ state: "here", running });
      },
      (error: unknown) => !gone && setState({ state: "failed", error }),
    );
    return () => {
      gone = true;
      stop();
    };
  }, [trip, turn]);
  return state;
}

/** Now, renewed every second and at once when the page comes back into sight. */
export function useNow(everyMs = 1000): number {
  const [now, setNow] = useState(Date.now);
  useEffect(() => {
    const tick = () => setNow(Date.now());
    const timer = setInterval(tick, everyMs);
    document.addEventListener("visibilitychange", tick);
    return () => {
      clearInterval(timer);
      document.removeEventListener("visibilitychange", tick);
    };
  }, [everyMs]);
  return now;
}

export interface Deck {
  readonly running: Running;
  readonly log: TripLog;
  /** Of several boats: deck holder, hand-over, roll call and departure are those of the boat that this phone is on. */
  readonly view: View;
  /** The same of all boats. */
  readonly whole: View;
  /** Of several boats the one that this phone is on; null: one boat goes, or nobody has said. */
  readonly boat: string | null;
  /** The log's time, as well as this phone knows it. */
  readonly now: number;
  /** What it may be at the earliest, for a wait, and at the latest, for a time due: an uncertain clock helps neither. */
  readonly earliest: number;
  readonly latest: number;
  /** How long the phone slept, or its clock was set forward: asked where a dive or a wait hangs on it, else 0 (ms). */
  readonly asleep: number;
  readonly zone: string;
}
