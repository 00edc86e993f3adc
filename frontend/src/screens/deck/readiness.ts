import { DISPUTE_MS } from "../../kernel/boatlog/claims.ts";
import type { Offset } from "../../kernel/boatlog/offsets.ts";
import { hasJoined } from "../../store/records.ts";
import { ownOffset } from "../../sync/own_clock.ts";
import { farWords, lengthWords, unsureWords } from "../words/unsure.ts";
import { fixLeave, type Leave } from "../parts/fix.ts";
import { names } from "../words/format.ts";
import { label, oxygenAboard } from "./frame.tsx";
import { FLOW_L_MIN, oxygenMinutes } from "./oxygen.ts";
import type { Deck } from "./use_trip.ts";
import { callFacts } from "./whom_to_call.tsx";

export interface Check {
  readonly key: "shell" | "trip" | "kept" | "clock" | "ring" | "place" | "overdue" | "call" | "oxygen";
  readonly title: string;
  readonly done: boolean;
  /** What stands, or what to do. */
  readonly note: string;
}

/** What the phone itself can tell about its storage; asked for by the screen, not known at once. */
export interface PhoneFacts {
  readonly shell: boolean;
  readonly kept: boolean;
  readonly place: Leave;
}

let facts: PhoneFacts = { shell: false, kept: false, place: "not_asked" };

export async function askPhone(): Promise<PhoneFacts> {
  const controlled = "serviceWorker" in navigator && navigator.serviceWorker.controller !== null;
  const cached = controlled && "caches" in globalThis && (await caches.match("/")) !== undefined;
  const kept = (navigator.storage as StorageManager | undefined)?.persisted !== undefined && (await navigator.storage.persisted());
  facts = { shell: cached, kept, place: await fixLeave() };
  return facts;
}

const ringKey = (trip: string) => `teamdive.ring_heard.${trip}`;

export function noteRingHeard(trip: string, heard: boolean): void {
  try {
    if (heard) localStorage.setItem(ringKey(trip), String(Date.now()));
    else localStorage.removeItem(ringKey(trip));
  } catch {
    // Then it stays open, which is true: this phone keeps nothing.
  }
}

function ringHeard(trip: string): boolean {
  try {
    return localStorage.getItem(ringKey(trip)) !== null;
  } catch {
    return false;
  }
}

/** Nine things a leader sees before the boat leaves; each says what to do when it is open. */
export function readiness(deck: Deck): readonly Check[] {
  const { log } = deck;
  const offset = ownOffset(log);
  const overdue = log.snapshot.settings.overdue_after_min;
  const litres = oxygenAboard(deck);
  const noCall = callFacts.filter(([, key]) => label(deck, key) === "").map(([title]) => title.toLowerCase());
  return [
    {
      key: "shell",
      title: "The app is stored on this phone",
      done: facts.shell,
      note: facts.shell ? "It opens with no network." : "Close and open this page once while there is a network.",
    },
    {
      key: "trip",
      title: "The trip is stored, and the phone enrolled",
      done: hasJoined(log.device),
      note: !hasJoined(log.device) ? "This phone has not joined: let it join with a leader's code while there is a network." : `${log.snapshot.people.length} people, ${log.snapshot.dives.length} dives.`,
    },
    {
      key: "kept",
      title: "The phone promised not to clear it",
      done: facts.kept,
      note: facts.kept ? "The browser keeps what is written here." : "Ask it below; installing the app on the home screen helps.",
    },
    {
      key: "clock",
      title: "The clock was compared",
      done: offset !== null && isSure(offset.error_ms),
      note: offset === null ? "Needs a network for a moment." : clockWords(offset),
    },
    {
      key: "ring",
      title: "A test ring was heard",
      done: ringHeard(log.trip),
      note: ringHeard(log.trip) ? "Heard on this phone." : "Ring it below, with the sound turned up.",
    },
    {
      key: "place",
      title: "The phone may say where it is",
      done: facts.place === "given",
      note: placeWords[facts.place],
    },
    {
      key: "call",
      title: "Whom to call is on this phone",
      done: noCall.length === 0,
      note: noCall.length === 0 ? "Channel, call sign and whom to call stand on the emergency page." : `Missing: ${names(noCall)}. The club writes it down at the desk under “If somebody is missing”; then bring the trip here again.`,
    },
    {
      key: "oxygen",
      title: "How long the oxygen lasts",
      done: litres !== null,
      note: litres === null ? "The club writes its litres down at the same place; until then only the gauge tells." : `${litres} L when full: ${oxygenMinutes(litres, 1)} min for one diver, ${oxygenMinutes(litres, 2)} min for two, at ${FLOW_L_MIN} L a minute.`,
    },
    {
      key: "overdue",
      title: "The club has set when a team is overdue",
      done: overdue !== null,
      note: overdue === null ? "The club sets these minutes at the desk; nobody else can." : `${overdue} min after the time due.`,
    },
  ];
}

const placeWords: Readonly<Record<Leave, string>> = {
  given: "Down, up and marker carry its last position; nothing waits for it.",
  not_asked: "Ask it below, once. Without it a position is read from the plotter.",
  refused: "It was refused: allow the position for this page in the phone's settings, or read the plotter.",
  none: "This phone has none: read the plotter.",
};

/** How far this phone's clock is off, how surely that is known, and what to do. */
function clockWords({ offset_ms, error_ms }: Offset): string {
  if (!isSure(error_ms)) return `This phone's clock is ${unsureWords(error_ms)}. Open this page where there is a network.`;
  if (Math.abs(offset_ms) <= Math.max(1000, error_ms)) return `This phone's clock is right to ${lengthWords(Math.abs(offset_ms) + error_ms)}.`;
  const far = `This phone is ${farWords(offset_ms)} ${offset_ms > 0 ? "behind" : "ahead"}`;
  return Math.abs(offset_ms) < DISPUTE_MS ? `${far}. Its times are put right here.` : `${far}. Its times are put right here; set its clock right while there is a network.`;
}

const isSure = (errorMs: number): boolean => errorMs < DISPUTE_MS;
