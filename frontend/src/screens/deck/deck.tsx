import { useState } from "preact/hooks";
import { mayGoDown } from "../../kernel/boatlog/questions.ts";
import type { View } from "../../kernel/boatlog/view.ts";
import type { Act } from "../../store/trip_log.ts";
import { go, LinkButton, Notice, to, type ScreenProps } from "../parts/index.ts";
import { useWakeLock } from "../parts/wake_lock.ts";
import { clockTime, count as counted } from "../words/format.ts";
import { holderIsOut } from "./acting.ts";
import { allUp, down, oneUp } from "./acts.ts";
import { membersOf, numbered, OnBoat, SyncStrip, type Names } from "./frame.tsx";
import { boatName, coverHere, here, otherBoats, soundsHere, teamOn } from "./boats.ts";
import { useKeys } from "./keys.ts";
import { toAsk } from "./not_well.tsx";
import { refused } from "./refusals.ts";
import { asked } from "./settle.ts";
import { counts, settling } from "./tap.ts";
import { depthKnown, mustHandOver, TeamRow } from "./team_row.tsx";
import type { Deck } from "./use_trip.ts";

export function DeckScreen({ params }: ScreenProps) {
  return <OnBoat trip={params["trip"] ?? ""}>{(deck, names) => <DeckPage deck={deck} names={names} />}</OnBoat>;
}

function DeckPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  useWakeLock();
  const { log, view } = deck;
  const path = `/trips/${log.trip}`;
  const dives = numbered(deck);
  // Chosen once: the page never changes to another dive by itself, under a finger.
  const [chosenDive, chooseDive] = useState(() => currentDive(deck));
  const dive = dives.find((one) => one.dive === chosenDive) ?? dives[0];
  const [failed, setFailed] = useState<string | null>(null);
  const teams = (dive?.teams ?? []).filter(({ id }) => teamOn(deck, id));
  const feeling = toAsk(deck);
  const questions = asked(log, view.questions).length;

  const act = (what: Act, said: string) => {
    log.write(what).then(
      () => setFailed(null),
      () => setFailed(said),
    );
  };
  const handOver = (team: string) => go(`${path}/hand-over/${team}`);
  const chosen = useKeys(Math.max(0, ...teams.map((one) => one.number)), (number, key) => {
    const team = teams.find((one) => one.number === number)?.id ?? "";
    const state = view.teams[team];
    if (state === undefined || !counts(team, performance.now())) return;
    const person = membersOf(deck, team)["abc".indexOf(key)];
    if (key === "d" && state.status === "ready" && mayGoDown(log.state, team).length === 0) act(down(view, team), `Team ${number} down`);
    else if (key === "d" && state.status === "ready" && mustHandOver(deck, team)) handOver(team);
    // A key, too, is dead where the button would be: nobody is up a moment after going down.
    else if (state.down !== null && settling((state.down[0] + state.down[1]) / 2, deck.now)) return;
    else if (key === "u" && state.in_water.length > 0) act(allUp(view, team), `Team ${number}: all up`);
    else if (person !== undefined && state.in_water.includes(person)) act(oneUp(view, team, person), `${names.short(person)} up`);
  });

  return (
    <main class="deck-page" id="main">
      <h1 class="visually-hidden">Deck</h1>
      <Head deck={deck} names={names} />
      <SyncStrip deck={deck} />
      {log.device === null && <Notice tone="stop">This phone is not enrolled and cannot keep the log. Use the phone that is, or the paper sheet.</Notice>}
      {failed !== null && <Notice tone="stop">Not written: {failed}. Tap again; if it stays so, write it on the paper sheet.</Notice>}
      {view.ended_at !== null && (
        <Notice>
          <p>
            The trip ended at <b>{clockTime(view.ended_at, deck.zone)}</b>, everyone accounted for by name. Whatever is entered now opens it again.
          </p>
        </Notice>
      )}
      {view.deck_holder === null && (
        <Notice tone="warn">
          <p>Nobody holds the deck. Nobody goes down before someone does.</p>
          <LinkButton path={`${path}/hand-over`} tone="act" size="large" wide>
            Take the deck
          </LinkButton>
        </Notice>
      )}
      {view.deck_holder !== null && holderIsOut(view) && (
        <Notice tone="stop">
          <p>{names.full(view.deck_holder)} holds the deck and is in the water: nobody keeps watch.</p>
          <LinkButton path={`${path}/hand-over`} tone="act" size="large" wide>
            Take the deck
          </LinkButton>
        </Notice>
      )}
      {emergencyHere(deck) && (
        <div class="deck-before">
          <LinkButton path={`${path}/emergency`} tone="stop" size="large" wide>
            Emergency
          </LinkButton>
        </div>
      )}
      {dives.length > 1 && (
        <div class="dive-tabs" role="group" aria-label="Dive">
          {dives.map((one) => (
            <button key={one.dive} type="button" class="button plain" aria-pressed={one.dive === dive?.dive} onClick={() => chooseDive(one.dive)}>
              Dive {one.number}
              {downOn(deck, one.dive) > 0 && ` · ${downOn(deck, one.dive)} down`}
            </button>
          ))}
        </div>
      )}
      {dive !== undefined && <Before deck={deck} dive={dive.dive} />}
      <div class="teams">
        {teams.map((team) => (
          <TeamRow
            key={team.id}
            deck={deck}
            names={names}
            team={team.id}
            number={team.number}
            chosen={chosen === team.number}
            onAct={act}
            onHandOver={handOver}
            refused={refused(deck, names, team.id)}
          />
        ))}
      </div>
      {otherBoats(deck).map((boat) => (
        <div key={boat} class="deck-before">
          <LinkButton path={`${path}/boat/${boat}`} size="large" wide>
            {boatName(deck, boat)}: {downThere(deck, boat)}
          </LinkButton>
        </div>
      ))}
      <nav class="deck-links" aria-label="Deck pages">
        {feeling.length > 0 && (
          <LinkButton path={`${path}/not-well`} size="large">
            Ask how they feel ({feeling.length})
          </LinkButton>
        )}
        <LinkButton path={`${path}/roll-call`} size="large">
          Roll call
        </LinkButton>
        <LinkButton path={`${path}/interval`} size="large">
          Surface interval
        </LinkButton>
        <LinkButton path={`${path}/went-in`} size="large">
          Somebody went in
        </LinkButton>
        <LinkButton path={`${path}/questions`} size="large">
          {questions === 0 ? "Questions" : `Questions (${questions})`}
        </LinkButton>
        <LinkButton path={`${path}/more`} size="large">
          Something else
        </LinkButton>
        <LinkButton path={path} size="large">
          Trip
        </LinkButton>
      </nav>
      <p class="deck-note">This phone may not ring when it is locked: a watch stays the second timer.</p>
    </main>
  );
}

/** Who keeps watch, the flag and the engine: asked for before a team goes down, and never in its way. */
function Before({ deck, dive }: { readonly deck: Deck; readonly dive: string }) {
  const { view, log } = deck;
  const ready = Object.entries(view.teams).some(([id, team]) => team.dive === dive && team.status === "ready" && teamOn(deck, id));
  const cover = coverHere(deck, dive);
  if (!ready || view.deck_holder === null) return null;
  const open = cover === null ? "Lookout, flag and engine" : [cover.flag_up === true ? "" : "flag", cover.engine_off === true ? "" : "engine"].filter((word) => word !== "").join(" and ");
  if (open === "") return null;
  return (
    <div class="deck-before">
      <LinkButton path={`/trips/${log.trip}/cover/${dive}`} size="large" wide>
        {cover === null ? `${open}: to be said before they go down` : `Still to be said: ${open}`}
      </LinkButton>
    </div>
  );
}

/** In sight whatever is scrolled: how many are down, who is due first, who holds the deck. */
function Head({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { view, zone, log } = deck;
  const count = (...states: readonly string[]) => here(deck).filter(([, { state }]) => states.includes(state)).length;
  const [under, notAboard, lost] = [count("down", "marker_seen", "in_water"), count("up"), count("lost_from_sight")];
  const due = numbered(deck)
    .flatMap((dive) => dive.teams)
    .flatMap(({ id, number }) => {
      const team = view.teams[id];
      return team === undefined || team.in_water.length === 0 || team.due_at === null || !teamOn(deck, id) ? [] : [{ number, at: team.due_at }];
    })
    .sort((a, b) => a.at - b.at)[0];
  return (
    <header class="deck-head">
      <p>
        <b class="deck-count">{under}</b> in the water{notAboard > 0 && `, ${notAboard} up`}
        {lost > 0 && `, ${lost} lost from sight`}
        {due !== undefined ? (
          <span class="deck-next">
            first due <b>{clockTime(due.at, zone)}</b>, team {due.number}
          </span>
        ) : (
          notAboard > 0 && <span class="deck-next">not all aboard</span>
        )}
      </p>
      <a class="deck-holder" href={to(`/trips/${log.trip}/hand-over`)}>
        <span>
          {deck.boat !== null && <small>{boatName(deck, deck.boat)}</small>}
          {view.deck_holder === null ? "No one has the deck" : `Deck: ${names.short(view.deck_holder)}`}
        </span>
      </a>
    </header>
  );
}

/** How many of this dive are in the water, of this boat. */
function downOn(deck: Deck, dive: string): number {
  return Object.entries(deck.view.teams).reduce((sum, [id, team]) => sum + (team.dive === dive && teamOn(deck, id) ? team.in_water.length : 0), 0);
}

/** Another boat's teams, as they are known here. */
function downThere(deck: Deck, boat: string): string {
  const down = Object.entries(deck.view.teams).filter(([id, team]) => team.in_water.length > 0 && teamOn(deck, id, boat)).length;
  return `${down === 0 ? "no team" : counted(down, "team")} down as far as this phone knows`;
}

/** What only a team opens that this phone does not sound for is that team's own boat's. */
function emergencyHere(deck: Deck): boolean {
  const { open, why } = deck.view.emergency_page;
  const late = Object.entries(deck.view.teams).filter(([, team]) => team.status === "overdue");
  return open && (why.some((each) => each !== "overdue") || late.some(([id]) => soundsHere(deck, id)));
}

/** The dive with people in the water or not yet aboard, or with a depth still to be reported; else the first with a team to go. */
export function currentDive(deck: Deck): string | undefined {
  const dives = numbered(deck);
  const find = (fits: (team: View["teams"][string]) => boolean) =>
    dives.find((dive) =>
      dive.teams.some(({ id }) => {
        const team = deck.view.teams[id];
        return team !== undefined && teamOn(deck, id) && fits(team);
      }),
    )?.dive;
  return (
    find((team) => ["down", "due", "overdue", "up"].includes(team.status)) ??
    find((team) => team.status === "aboard" && !depthKnown(deck, team)) ??
    find((team) => team.status === "ready") ??
    dives.at(-1)?.dive
  );
}
