import type { Act } from "../../store/trip_log.ts";
import { Button, Buttons, LinkButton, Page, Section, type ScreenProps } from "../parts/index.ts";
import { clockTime } from "../words/format.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { numbered, OnTrip, SyncStrip, type Names } from "./frame.tsx";
import { currentDive } from "./deck.tsx";
import { memberNames } from "./team_plan.tsx";
import type { Deck } from "./use_trip.ts";

export function More({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <MorePage deck={deck} names={names} />}</OnTrip>;
}

/** What a normal day does not need: one tap each, away from down, up and aboard. */
function MorePage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view } = deck;
  const path = `/trips/${log.trip}`;
  const write = (act: Omit<Act, "by">) => void log.write({ by: acting(view), ...act });
  const all = numbered(deck).flatMap((dive) => dive.teams);
  const under = all.filter(({ id }) => (view.teams[id]?.in_water.length ?? 0) > 0);
  const ready = (numbered(deck).find((one) => one.dive === currentDive(deck))?.teams ?? []).filter(({ id }) => view.teams[id]?.status === "ready");
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title="Something else happened" back={`${path}/deck`} backLabel="Deck">
        <div class="deck-links flush">
          <LinkButton path={`${path}/not-well`} size="large">
            How are they?
          </LinkButton>
          <LinkButton path={`${path}/emergency`} size="large">
            Emergency
          </LinkButton>
          <LinkButton path={`${path}/record`} size="large">
            Record of the counts
          </LinkButton>
        </div>
        {under.length > 1 && (
          <Section title="Every team">
            <DeckButton row="recall" tone="stop" onTap={() => write({ kind: "recall_given", subject: log.trip, data: { teams: under.map(({ id }) => id) } })}>
              All teams were called up
            </DeckButton>
          </Section>
        )}
        {under.map(({ id, number }) => (
          <UnderWater key={id} deck={deck} names={names} team={id} number={number} onWrite={write} />
        ))}
        {ready.map(({ id, number }) => (
          <Section key={id} title={`Team ${number}: ${memberNames(deck, names, id)}`}>
            {view.teams[id]?.checked === true ? (
              <p>Their check of each other is done.</p>
            ) : (
              <>
                <p>On the partner's body: gas open and pressure, releases, inflator and weights, alternate, computer and plan.</p>
                <Button size="large" wide onPress={() => write({ kind: "team_check_done", subject: id, data: { lines: 5, pressures: [] } })}>
                  Team {number} checked each other
                </Button>
              </>
            )}
          </Section>
        ))}
      </Page>
    </>
  );
}

function UnderWater(props: { readonly deck: Deck; readonly names: Names; readonly team: string; readonly number: number; readonly onWrite: (act: Omit<Act, "by">) => void }) {
  const { deck, names, team, number, onWrite } = props;
  const { log, zone } = deck;
  const state = deck.view.teams[team];
  if (state === undefined) return null;
  const at = (instant: number | null, words: string) => (instant === null ? null : <p>{`${words} ${clockTime(instant, zone)}`}</p>);
  return (
    <Section title={`Team ${number}: ${memberNames(deck, names, team)}`}>
      {at(state.recalled_at, "Called up")}
      {at(state.recall_acknowledged_at, "They showed that they understood")}
      {at(state.turned_at, "Turned")}
      <Buttons even>
        {state.recalled_at === null ? (
          <DeckButton row={team} tone="plain" size="large" label={`Team ${number} was called up`} onTap={() => onWrite({ kind: "recall_given", subject: log.trip, data: { teams: [team] } })}>
            Called up
          </DeckButton>
        ) : (
          <DeckButton row={team} tone="plain" size="large" label={`Team ${number}: they understood`} onTap={() => onWrite({ kind: "recall_acknowledged", subject: team })}>
            They understood
          </DeckButton>
        )}
        <DeckButton row={team} tone="plain" size="large" label={`Team ${number} turned`} onTap={() => onWrite({ kind: "turned", subject: team })}>
          Turned
        </DeckButton>
        <DeckButton row={team} tone="plain" size="large" label={`Team ${number} left the bottom`} onTap={() => onWrite({ kind: "left_bottom", subject: team })}>
          Left the bottom
        </DeckButton>
        {state.in_water.length > 1 && (
          <DeckButton
            row={team}
            tone="stop"
            size="large"
            label={`Team ${number}: they lost each other`}
            onTap={() => onWrite({ kind: "separated", subject: team, data: { people: state.in_water, last_seen_at: null } })}
          >
            They lost each other
          </DeckButton>
        )}
      </Buttons>
    </Section>
  );
}
