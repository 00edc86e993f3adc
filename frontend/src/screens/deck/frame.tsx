import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { boatsOfTrip } from "../../kernel/boatlog/snapshot.ts";
import { hasJoined } from "../../store/records.ts";
import { LinkButton, Notice, Page, Waiting } from "../parts/index.ts";
import { canSound } from "../parts/ring.ts";
import { clockTime, count, day, dayAndTime } from "../words/format.ts";
import { distinctNames, shortNames } from "../words/names.ts";
import { inWater } from "./acting.ts";
import { asleepAsked } from "./asleep.ts";
import { boatName, ofBoat } from "./boats.ts";
import { DeckButton } from "./deck_button.tsx";
import { pageChanged } from "./tap.ts";
import { OwnClock } from "./unsure.tsx";
import { useNow, useTrip, type Deck } from "./use_trip.ts";

export interface Names {
  /** Whole name. */
  readonly full: (person: string) => string;
  /** As short as tells people apart. */
  readonly short: (person: string) => string;
}

/** Opens the trip from this phone and hands it on with the present view; says what to do when it is not here (`quiet`: says nothing). */
export function OnTrip(props: { readonly trip: string; readonly quiet?: boolean; readonly children: (deck: Deck, names: Names) => ComponentChildren }) {
  const state = useTrip(props.trip);
  const own = useNow();
  useEffect(() => {
    if (state.state === "here" && document.visibilityState === "visible") void state.running.log.lookAtClock();
  }, [state, own]);
  if (props.quiet === true && state.state !== "here") return null;
  if (state.state === "opening") return <Waiting />;
  if (state.state === "not_here") {
    return (
      <Page title="This trip is not on this phone" back="/" backLabel="Trips">
        <p>Bring it onto the phone at the dock, while there is a network.</p>
        <LinkButton path={`/trips/${props.trip}/take`} tone="act" size="large" wide>
          Bring it onto this phone
        </LinkButton>
      </Page>
    );
  }
  if (state.state === "failed") {
    return (
      <Page title="The phone cannot read what it keeps" back="/" backLabel="Trips">
        <Notice tone="stop">
          Close this page and open it again. If it stays so, use another phone and the paper sheet: what this phone has written is still on it.
        </Notice>
      </Page>
    );
  }
  const { log } = state.running;
  const now = log.reckoned(own);
  const latest = now + log.unsureMs;
  const whole = log.view(latest);
  const view = ofBoat(whole, log.boat);
  const asleep = asleepAsked(log, view, now);
  const earliest = now - log.unsureMs - asleep;
  const full = distinctNames(Object.fromEntries(Object.keys(view.people).map((person) => [person, log.name(person)])));
  const short = shortNames(full);
  const names: Names = { full: (person) => full[person] ?? log.name(person), short: (person) => short[person] ?? log.name(person) };
  return <>{props.children({ running: state.running, log, view, whole, boat: log.boat, now, earliest, latest, asleep, zone: log.snapshot.time_zone }, names)}</>;
}

/** As OnTrip, for what is entered on one boat: of several, which one this phone is on is asked first, once. */
export function OnBoat(props: { readonly trip: string; readonly children: (deck: Deck, names: Names) => ComponentChildren }) {
  return (
    <OnTrip trip={props.trip}>
      {(deck, names) => (deck.boat === null && boatsOfTrip(deck.log.snapshot).length > 0 ? <ChooseBoat deck={deck} onChosen={pageChanged} /> : props.children(deck, names))}
    </OnTrip>
  );
}

/** One decision: which boat this phone is on. */
export function ChooseBoat({ deck, onChosen }: { readonly deck: Deck; readonly onChosen: () => void }) {
  const { log } = deck;
  const boats = [...boatsOfTrip(log.snapshot)].sort((a, b) => boatName(deck, a).localeCompare(boatName(deck, b)));
  return (
    <Page title="Which boat is this phone on?" back={`/trips/${log.trip}`} backLabel="Trip" note="Each boat is watched, counted and left by itself, on a phone of its own.">
      <div class="heads">
        {boats.map((boat) => (
          <DeckButton key={boat} row="which boat" tone={boat === deck.boat ? "act" : "plain"} onTap={() => (log.isOn(boat), onChosen())}>
            {boatName(deck, boat)}
          </DeckButton>
        ))}
      </div>
    </Page>
  );
}

/** What stands over every deck page: how many entries only this phone has, and its clock where it is not to be trusted. */
export function SyncStrip({ deck }: { readonly deck: Deck }) {
  return (
    <>
      <Kept deck={deck} />
      <Silent deck={deck} />
      <OwnClock deck={deck} />
      {deck.running.loop.state === "taken_off" && (
        <div class="strip warn" role="alert">
          This phone hears nothing of the other phones any more: the server no longer counts it to this trip. What it writes is kept. Use another phone, or let this one join again with a leader's code.
        </div>
      )}
      <Expected deck={deck} />
      {deck.log.device !== null && !hasJoined(deck.log.device) && (
        <div class="strip warn" role="status">
          This phone has not joined: what it writes is marked so, and stays here until it joins with a leader's code or another phone reads it.
        </div>
      )}
    </>
  );
}

/** After the page was opened again nothing sounds before the first touch: said while somebody is in the water. */
export function Silent({ deck }: { readonly deck: Deck }) {
  if (canSound() || inWater(deck.view).length === 0) return null;
  return (
    <div class="strip warn" role="alert">
      This phone cannot ring yet: touch the screen once.
    </div>
  );
}

// Our own choice: long enough to say ashore that the boat will be late.
const BEFORE_MS = 60 * 60_000;

/** In the last hour before back-by and after it: what happens ashore unless the trip is ended or somebody is told. */
function Expected({ deck }: { readonly deck: Deck }) {
  const expects = shore(deck);
  if (expects === null || deck.view.ended_at !== null || deck.latest < expects.at - BEFORE_MS) return null;
  return (
    <div class="strip" role="status">
      {expects.byHand ? expectedBy(expects) : `From ${expects.by} ${expects.who} ashore is alarmed, unless told that all are home or late${expects.known}`}.
    </div>
  );
}

/** How many entries only this phone has, in words; red when not even its disk has them. */
function Kept(props: { readonly deck: Deck }) {
  const { log, running } = props.deck;
  if (log.onlyInMemory > 0) {
    return (
      <div class="strip warn" role="alert">
        Keep this page open: the phone could not store {count(log.onlyInMemory, "entry", "entries")}. It tries again with the next one.
      </div>
    );
  }
  const all = log.entries.length;
  const only = log.onlyHere;
  const good = running.loop.lastGoodAt;
  return (
    <div class="strip" role="status" data-only-here={only} data-entries={all}>
      {all === 0
        ? "Nothing written yet"
        : only > 0
          ? `${count(only, "entry", "entries")} only on this phone`
          : good !== null
            ? `${all === 1 ? "The one entry is" : `All ${all} entries are`} on the server, ${clockTime(good, props.deck.zone)}`
            : `${count(all, "entry", "entries")} on this phone, all known to the server`}
      {log.refused > 0 && <span>, {log.refused} of them refused by the server and kept here</span>}
    </div>
  );
}

/** The dives with their teams, numbered as the deck calls them. */
export function numbered(deck: Deck): { readonly dive: string; readonly number: number; readonly teams: readonly { readonly id: string; readonly number: number }[] }[] {
  const planned = deck.log.snapshot.dives.map((dive) => ({ dive: dive.id, number: dive.number, teams: dive.teams.map((team) => team.id) }));
  for (const [id, team] of Object.entries(deck.view.teams)) {
    const dive = planned.find((one) => one.dive === team.dive);
    if (dive !== undefined && !dive.teams.includes(id)) dive.teams.push(id);
  }
  return planned.map(({ dive, number, teams }) => ({ dive, number, teams: teams.map((id, n) => ({ id, number: n + 1 })) }));
}

export function siteOf(deck: Deck, dive: string): string {
  const sites = deck.log.labels["sites"] as Record<string, string> | undefined;
  return sites?.[dive] ?? "";
}

export function label(deck: Deck, key: "club" | "trip" | "rescue_contact" | "radio_channel" | "call_sign"): string {
  const text = deck.log.labels[key];
  return typeof text === "string" ? text : "";
}

/** Litres of oxygen aboard, as the club wrote them down; null: it did not. */
export function oxygenAboard(deck: Deck): number | null {
  const litres = deck.log.labels["oxygen_l"];
  return typeof litres === "number" && litres > 0 ? litres : null;
}

/** Who ashore expects the boat by when; `known`: since when this phone knows it, as the end of a sentence; `byHand`: nothing calls them. */
interface Expects {
  readonly who: string;
  readonly by: string;
  readonly at: number;
  readonly known: string;
  readonly byHand: boolean;
}

/** Who ashore expects the boat, as the server last said it; null: nobody. */
export function shore(deck: Deck): Expects | null {
  const { ashore, back_by: at, ashore_at: knownAt, told_otherwise: byHand } = deck.log.labels;
  const who = Array.isArray(ashore) ? (ashore[0] as unknown) : null;
  if (typeof who !== "string" || typeof at !== "number") return null;
  // With its day where that is another one.
  const said = (ms: number) => (day(ms, deck.zone) === day(deck.latest, deck.zone) ? clockTime(ms, deck.zone) : dayAndTime(ms, deck.zone));
  return { who, by: said(at), at, known: typeof knownAt === "number" ? `, as known ${said(knownAt)}` : "", byHand: byHand === true };
}

/** By when they expect the boat and since when that is known, as a sentence without its end. */
export function expectedBy(expects: Expects): string {
  return `${expects.who} ashore expects you by ${expects.by}${expects.known}${expects.byHand ? ". Nothing here calls them: tell them yourselves if you are late" : ""}`;
}

/** The team's members in the order of the plan, so that a name keeps its place from the briefing to the ladder. */
export function membersOf(deck: Deck, team: string): readonly string[] {
  const members = deck.view.teams[team]?.members ?? [];
  const planned = deck.log.snapshot.dives.flatMap((dive) => dive.teams).find((one) => one.id === team)?.members ?? [];
  return [...members].sort((a, b) => place(planned, a) - place(planned, b));
}

function place(planned: readonly string[], person: string): number {
  const at = planned.indexOf(person);
  return at < 0 ? planned.length : at;
}
