import type { Act } from "../../store/trip_log.ts";
import { Buttons, LinkButton, Page, Section, type ScreenProps } from "../parts/index.ts";
import { clockTime } from "../words/format.ts";
import { acting } from "./acting.ts";
import { otherBoats, teamOn } from "./boats.ts";
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
  const under = all.filter(({ id }) => (view.teams[id]?.in_water.length ?? 0) > 0 && teamOn(deck, id));
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title="Something else happened" back={`${path}/deck`} backLabel="Deck">
        <div class="deck-links flush">
          {links(deck).map(([to, words]) => (
            <LinkButton key={to} path={`${path}/${to}`} size="large">
              {words}
            </LinkButton>
          ))}
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
      </Page>
    </>
  );
}

/** By what is likeliest to be needed: people first, then this dive, then the rest of the day. */
function links(deck: Deck): readonly (readonly [string, string])[] {
  const dive = currentDive(deck);
  return [
    ["not-well", "How are they?"],
    ["emergency", "Emergency"],
    ["sight", "In sight?"],
    ["remark", "Incident or remark"],
    ...(dive === undefined
      ? []
      : ([
          [`dive/${dive}`, "This dive: briefing, plan, off"],
          [`cover/${dive}`, "Lookout, flag, engine"],
        ] as const)),
    ["conditions", "What the sea is like"],
    ["gas", "Cylinders"],
    ["fit", "Fit to dive today?"],
    ["joins", "Somebody comes along"],
    ["transferred", "Somebody leaves this boat"],
    ...(otherBoats(deck).length === 0
      ? []
      : ([
          ["from-another-boat", "Somebody from another boat is here"],
          ["on-another-boat", "Another boat says it has one of ours"],
          ["which-boat", "Which boat is this phone on?"],
        ] as const)),
    ["pictures", "Another phone"],
    ["record", "Record of the counts"],
  ];
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
        ) : state.recall_acknowledged_at !== null ? null : (
          <DeckButton row={team} tone="plain" size="large" label={`Team ${number}: understood`} onTap={() => onWrite({ kind: "recall_acknowledged", subject: team })}>
            Under&shy;stood
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
