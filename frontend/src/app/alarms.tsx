import { useEffect, useRef, useState } from "preact/hooks";
import { tripsHere } from "../store/phone.ts";
import { inWater } from "../screens/deck/acting.ts";
import { OnTrip, type Names } from "../screens/deck/frame.tsx";
import { Undo } from "../screens/deck/undo.tsx";
import { mustSound, Overdue, overdueTeams } from "../screens/deck/overdue.tsx";
import { useWatch } from "../screens/deck/watch.ts";
import type { Deck } from "../screens/deck/use_trip.ts";
import { allowSound, ring } from "../screens/parts/ring.ts";
import { useWakeLock } from "../screens/parts/wake_lock.ts";

/** A trip is watched from days before it starts, for a phone with the wrong date, until longer after than any of them lasts. */
const BEFORE_MS = 3 * 24 * 3600_000;
const AFTER_MS = 14 * 24 * 3600_000;
const AGAIN_MS = 4_000;
const HIDDEN_MS = 60_000;
/** A finger lets a page sound when it is lifted, a mouse or a key when pressed (HTML standard, activation triggering input). */
const TOUCHES = ["pointerdown", "pointerup", "touchend", "click", "keydown"] as const;

/** Watches every trip on this phone, whatever page is open: an overdue team takes the whole screen and rings, and the last tap can be taken back. */
export function Alarms(props: { readonly hash: string }) {
  const [trips, setTrips] = useState<readonly string[]>([]);
  useEffect(() => {
    const touch = () => allowSound();
    touch();
    for (const name of TOUCHES) addEventListener(name, touch);
    return () => {
      for (const name of TOUCHES) removeEventListener(name, touch);
    };
  }, []);
  useEffect(() => {
    tripsHere().then(
      (records) => {
        const now = Date.now();
        setTrips(records.filter(({ snapshot }) => now > snapshot.starts_at - BEFORE_MS && now < snapshot.starts_at + AFTER_MS).map(({ trip }) => trip));
      },
      () => {
        // The page that needs the trip says what is wrong with the storage.
      },
    );
  }, [props.hash]);
  return (
    <>
      {trips.map((trip) => (
        <OnTrip key={trip} trip={trip} quiet>
          {(deck, names) => <Watch deck={deck} names={names} hash={props.hash} />}
        </OnTrip>
      ))}
    </>
  );
}

/** Where the emergency plan is worked through: while it runs the alarm does not cover it. */
const PLAN = /\/(emergency|lost\/[^/]+|not-well)$/;

function Watch({ deck, names, hash }: { readonly deck: Deck; readonly names: Names; readonly hash: string }) {
  const [hiddenUntil, hide] = useState(0);
  useWatch(deck);
  // A phone that falls asleep on another page than the deck would not ring either.
  useWakeLock(inWater(deck.view).length > 0);
  const overdue = overdueTeams(deck);
  const who = overdue.map((team) => team.id).join(" ");
  const shownFor = useRef("");
  // A team that becomes overdue is shown even if the page for another one was put aside.
  if (shownFor.current !== who) {
    shownFor.current = who;
    if (hiddenUntil !== 0) hide(0);
  }
  const sounds = mustSound(deck);
  useEffect(() => {
    if (!sounds) return undefined;
    ring();
    const timer = setInterval(ring, AGAIN_MS);
    return () => clearInterval(timer);
  }, [sounds]);
  return (
    <>
      <Undo deck={deck} names={names} />
      {overdue.length > 0 && deck.now >= hiddenUntil && !(deck.view.emergency && PLAN.test(hash)) && <Overdue deck={deck} names={names} onLeave={() => hide(deck.now + HIDDEN_MS)} />}
    </>
  );
}
