import { useState } from "preact/hooks";
import { happened } from "../../kernel/boatlog/claims.ts";
import { Button, goInstead, LinkButton, Page, Reason, Section, type ScreenProps } from "../parts/index.ts";
import { clockTime, count as counted, names as joined } from "../words/format.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { expectedBy, OnBoat, shore, SyncStrip, type Names } from "./frame.tsx";
import { boatName, boatsOf, otherBoats } from "./boats.ts";
import { saidElsewhere, toCall, type Method } from "./counters.ts";
import { Compared, methodWords, NextCount } from "./next_count.tsx";
import { LeaveAllTheSame } from "./override.tsx";
import { pageChanged, tapped } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function RollCall({ params }: ScreenProps) {
  return <OnBoat trip={params["trip"] ?? ""}>{(deck, names) => <RollCallPage deck={deck} names={names} />}</OnBoat>;
}

interface Counting {
  readonly count: string;
  readonly method: Method;
  readonly named: string | null;
}

/** Everyone by name, one tap each; the boat does not leave while anyone is not accounted for or the counts differ. */
function RollCallPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view, whole, boat, zone } = deck;
  const [{ count, method, named }, setCounting] = useState<Counting>(() => ({ count: begun(deck) ?? crypto.randomUUID(), method: "answered", named: null }));
  const caller = named ?? acting(view);
  const left = lastDeparture(deck);
  const place = left === null ? "port" : "site";
  const two = view.roll_call.needed > 1;
  const mine = view.roll_call.counts.find((one) => one.count === count);
  const seen = new Set(mine?.seen ?? []);
  const { called: everyone, away } = toCall(view.people, boat === null ? null : { boat, call: view.roll_call });
  const called = [...everyone].sort((a, b) => names.full(a).localeCompare(names.full(b)));
  const open = called.filter((person) => !seen.has(person));
  const inWater = (person: string) => ["down", "marker_seen", "in_water"].includes(view.people[person]?.state ?? "");
  const missing = [...view.departure.not_accounted_for].sort((a, b) => Number(inWater(b)) - Number(inWater(a)) || names.full(a).localeCompare(names.full(b)));
  const finish = () => log.write({ by: caller, kind: "count_finished", subject: log.trip, data: { count, method, heads: null, place } });
  const name = async (person: string) => {
    await log.write({ by: caller, kind: "roll_call_taken", subject: log.trip, data: { count, seen: [person], method, place } });
    // The last name ends the count by itself: no further tap on a normal day.
    if (mine?.finished_at == null && open.every((other) => other === person)) await finish();
  };
  const leave = () => {
    if (tapped("leave")) void log.write({ by: caller, kind: "departed", subject: log.trip, data: { place } }).then(() => goInstead(`/trips/${log.trip}/deck`));
  };
  const end = () => void log.write({ by: caller, kind: "trip_ended", subject: log.trip }).then(() => goInstead(`/trips/${log.trip}/deck`));
  const expects = shore(deck);
  const blocked = view.departure.blocked;
  const next = blocked && two && mine?.finished_at != null;
  const begin = (person: string, how: Method, of: string) => {
    pageChanged();
    setCounting({ count: of, method: how, named: person });
  };
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title={boat === null ? "Roll call" : `Roll call of ${boatName(deck, boat)}`} back={`/trips/${log.trip}/deck`} backLabel="Deck" note={method === "seen" ? "Look at each person as you tap the name." : "Call each name and wait for that person's own answer."}>
        {missing.length > 0 ? (
          <div class="missing" role="alert">
            <p class="missing-title">{blocked ? "Do not leave. Not accounted for:" : "Two people decided to leave. Not accounted for, still:"}</p>
            <p class="missing-names">{joined(missing.map(names.full))}</p>
          </div>
        ) : (
          <div class="missing clear" role="status">
            <Standing blocked={blocked} begun={seen.size > 0} done={next} called={called.length} open={open.map(names.full)} />
          </div>
        )}
        <SaidElsewhere deck={deck} names={names} />
        {away.length > 0 && <p class="lead">With others, who bring them home: {joined(away.map(names.full))}.</p>}
        <Compared deck={deck} names={names} />
        {caller === null || next ? (
          <NextCount deck={deck} names={names} called={called} onCount={begin} />
        ) : (
          <>
            <div class="roll" role="group" aria-label="Names">
              {called.map((person) =>
                seen.has(person) ? (
                  <p key={person} class="head done">
                    {names.full(person)} {methodWords[method]}
                  </p>
                ) : inWater(person) ? (
                  <p key={person} class="head still">
                    {names.full(person)} is in the water
                  </p>
                ) : (
                  <DeckButton key={person} row={`call ${count} ${person}`} tone="plain" label={`${names.full(person)} ${methodWords[method]}`} onTap={() => void name(person)}>
                    {names.full(person)}
                  </DeckButton>
                ),
              )}
            </div>
            {blocked ? (
              <p class="lead">
                {counted(open.length, "name")} to go in this count, called by {names.full(caller)}.
              </p>
            ) : (
              <>
                {(place === "port" || missing.length > 0) && (
                  <p class="lead">
                    {expects === null ? "Nobody ashore is alarmed if this boat does not come back." : `${missing.length > 0 && !expects.byHand ? "The alarm ashore stays armed: " : ""}${expectedBy(expects)}.`}
                  </p>
                )}
                <Button tone={missing.length > 0 ? "stop" : "act"} size="deck" wide onPress={leave}>
                {place === "port" ? "Leave port" : "Leave the site"}
                  {missing.length > 0 && ` without ${joined(missing.map(names.short))}`}
                </Button>
              </>
            )}
            {!blocked && missing.length === 0 && place === "site" && whole.departure.blocked && <NotOver deck={deck} />}
            {!whole.departure.blocked && whole.departure.not_accounted_for.length === 0 && place === "site" && view.ended_at === null && (
              <Reason title="The trip is over: everyone is ashore">
                <p>The log of the trip ends here. Each diver's dives are in the record, to be confirmed by the diver.</p>
                {expects !== null && <p>{expects.byHand ? `Tell ${expects.who} ashore that all are home: nothing here does.` : `${expects.who} ashore is told that all are home once this phone has a network.`}</p>}
                <DeckButton row="end of trip" tone="plain" size="large" onTap={end}>
                  End the trip
                </DeckButton>
              </Reason>
            )}
            {blocked && two && seen.size > 0 && open.length === 0 && mine?.finished_at == null && (
              <DeckButton row={`end ${count}`} tone="act" onTap={() => void finish()}>
                End this count: everyone here is named
              </DeckButton>
            )}
            {view.ended_at !== null && whole.departure.not_accounted_for.length === 0 && expects !== null && (
              <p class="lead">
                {expects.byHand ? `Tell ${expects.who} ashore that all are home: nothing here does.` : `${expects.who} ashore ${log.onlyHere > 0 ? "is not told yet that all are home: this phone has no network" : "is told that all are home"}.`}
              </p>
            )}
            {left !== null && <p class="lead">Last left at {clockTime(left, zone)}.</p>}
            {seen.size > 0 && open.length > 0 && mine?.finished_at == null && (
              <Reason title="This count is over, and names are missing">
                <p>It then stands as it is, beside the other count.</p>
                <Button size="large" wide onPress={() => void finish()}>
                  End this count without {joined(open.map(names.short))}
                </Button>
              </Reason>
            )}
          </>
        )}
        {otherBoats(deck).length > 0 && <BetweenBoats deck={deck} theirs="Somebody from another boat is here" ours="Another boat says it has one of ours" />}
        {blocked && missing.length > 0 && caller !== null && <LeaveAllTheSame deck={deck} names={names} missing={missing} />}
        {place === "port" && caller !== null && (
          <LinkButton path={`/trips/${log.trip}/ashore`} size="large" wide>
            Somebody stays ashore
          </LinkButton>
        )}
        {caller !== null && !next && (
          <Section>
            <Reason title={two ? "Somebody else counts, or in another way" : "A second count, by someone else"}>
              <NextCount deck={deck} names={names} called={called} onCount={begin} />
            </Reason>
          </Section>
        )}
        <LinkButton path={`/trips/${log.trip}/went-in`} wide>
          Somebody went in again
        </LinkButton>
        <LinkButton path={`/trips/${log.trip}/record`} tone="quiet" wide>
          The written record
        </LinkButton>
      </Page>
    </>
  );
}

/** Of several boats: who of this one is said to be on another. */
function SaidElsewhere({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  return (
    <>
      {saidElsewhere(deck.view.people, deck.boat).map((person) => (
        <p key={person} class="lead">
          {names.full(person)} is said to be on <b>{boatsOf(deck, person)}</b>: its own count has not named them yet.
        </p>
      ))}
    </>
  );
}

/** Two taps for whoever changed boats. */
export function BetweenBoats({ deck, theirs, ours }: { readonly deck: Deck; readonly theirs: string; readonly ours: string }) {
  const path = `/trips/${deck.log.trip}`;
  return (
    <div class="deck-links flush">
      <LinkButton path={`${path}/from-another-boat`} size="large">
        {theirs}
      </LinkButton>
      <LinkButton path={`${path}/on-another-boat`} size="large">
        {ours}
      </LinkButton>
    </div>
  );
}

/** The trip is over once everyone on every boat is accounted for: which this phone may have no word of. */
function NotOver({ deck }: { readonly deck: Deck }) {
  const { boats } = deck.whole;
  const words = otherBoats(deck).flatMap((boat) => {
    const open = new Set([...(boats[boat]?.departure.not_accounted_for ?? []), ...(boats[boat]?.roll_call.missing ?? [])]);
    return boats[boat]?.departure.blocked !== true ? [] : [`${open.size === 0 ? "the count" : counted(open.size, "person", "people")} of ${boatName(deck, boat)}`];
  });
  return (
    <p class="lead">
      The trip goes on: this phone has no word yet of {joined(words)}. It is ended ashore, once the phones of all boats have met the server or read each other.
    </p>
  );
}

/** How far the count is, where nobody is missing. */
function Standing(props: { readonly blocked: boolean; readonly begun: boolean; readonly done: boolean; readonly called: number; readonly open: readonly string[] }) {
  const [title, below] = !props.blocked
    ? ["Everyone is accounted for by name", `${props.called} aboard`]
    : props.done
      ? ["This count is done", "Now a second count"]
      : props.begun
        ? ["Do not leave yet. Still to be called:", joined(props.open)]
        : ["Count again before the boat leaves", `${counted(props.called, "name")} to call`];
  return (
    <>
      <p class="missing-title">{title}</p>
      <p class="missing-names">{below}</p>
    </>
  );
}

/** The count that the deck holder began and that nothing has opened again: a reload or another page does not lose it. */
function begun(deck: Deck): string | null {
  const by = acting(deck.view);
  return deck.view.roll_call.counts.filter((one) => one.active && one.by.length === 1 && one.by[0] === by).at(-1)?.count ?? null;
}

function lastDeparture(deck: Deck): number | null {
  let last: number | null = null;
  for (const { entry } of deck.log.entries) if (entry.kind === "departed" && (entry.data["boat"] ?? deck.boat) === deck.boat) last = Math.max(last ?? 0, happened(deck.log.state, entry));
  return last;
}
