import { useState } from "preact/hooks";
import { Button, Empty, goInstead, List, Page, Row, Section, type ScreenProps } from "../parts/index.ts";
import { clockTime } from "../words/format.ts";
import { withDoubt } from "../words/unsure.ts";
import { acting } from "./acting.ts";
import { here } from "./boats.ts";
import { DeckButton } from "./deck_button.tsx";
import { OnTrip, SyncStrip, type Names } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

/** Who ought to be asked now how they feel, of this boat: ten minutes and an hour after surfacing, our own choice. */
export function toAsk(deck: Deck): readonly string[] {
  return here(deck)
    .filter(([, { ask_symptoms_at: at, held, state }]) => at !== null && at <= deck.now && !held && state === "aboard")
    .map(([person]) => person);
}

export function NotWell({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <NotWellPage deck={deck} names={names} />}</OnTrip>;
}

function NotWellPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view, zone } = deck;
  const path = `/trips/${log.trip}`;
  const [chosen, choose] = useState<string | null>(null);
  const asked = toAsk(deck);
  const everyone = Object.entries(view.people)
    .filter(([, { state }]) => state !== "ashore")
    .sort(([a, left], [b, right]) => Number(right.dives_done.length > 0) - Number(left.dives_done.length > 0) || names.full(a).localeCompare(names.full(b)));
  if (chosen !== null) return <WhatHappened deck={deck} names={names} person={chosen} onBack={() => choose(null)} />;
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title="How are they?" back={`${path}/deck`} backLabel="Deck" note="Ask each by name. What was felt is written on the emergency page, in words that can be erased.">
        {asked.length > 0 && (
          <Section title="Ask now">
            <div class="cards">
              {asked.map((person) => (
                <Ask key={person} deck={deck} names={names} person={person} />
              ))}
            </div>
          </Section>
        )}
        <Section title="Not well, up too fast, or a stop missed">
          {everyone.length === 0 && <Empty>Nobody is aboard.</Empty>}
          <List label="Who">
            {everyone.map(([person, known]) => (
              <Row
                key={person}
                title={names.full(person)}
                note={known.held ? "held from diving" : known.surfaced_at === null ? "" : withDoubt(`up at ${clockTime(known.surfaced_at[0], zone)}`, known.surfaced_at[1] - known.surfaced_at[0])}
                tone={known.held ? "stop" : "plain"}
                onPress={() => (pageChanged(), choose(person))}
              />
            ))}
          </List>
        </Section>
      </Page>
    </>
  );
}

function Ask(props: { readonly deck: Deck; readonly names: Names; readonly person: string }) {
  const { deck, names, person } = props;
  const known = deck.view.people[person];
  const dive = known?.dives_done.at(-1)?.dive;
  if (known === undefined || dive === undefined || known.surfaced_at === null) return null;
  const after = deck.now - known.surfaced_at[0] >= 60 * 60_000 ? 60 : 10;
  const answer = (said: "well" | "not_well") => deck.log.write({ by: acting(deck.view), kind: "symptoms_asked", subject: person, data: { dive, after_min: after, said } });
  return (
    <article class="card">
      <h3>
        {names.full(person)}, {after} min after the dive
      </h3>
      <div class="heads two">
        <DeckButton row={`ask ${person}`} tone="up" size="large" label={`${names.full(person)} is well`} onTap={() => void answer("well")}>
          Well
        </DeckButton>
        <DeckButton row={`ask ${person}`} tone="stop" size="large" label={`${names.full(person)} is not well`} onTap={() => void answer("not_well").then(() => goInstead(`/trips/${deck.log.trip}/emergency`))}>
          Not well
        </DeckButton>
      </div>
    </article>
  );
}

/** One tap holds this diver and opens the emergency page; nothing here is a diagnosis. */
function WhatHappened(props: { readonly deck: Deck; readonly names: Names; readonly person: string; readonly onBack: () => void }) {
  const { deck, names, person } = props;
  const { log, view } = deck;
  const dive = view.people[person]?.dives_done.at(-1)?.dive;
  const write = (kind: string, data: Readonly<Record<string, unknown>>) =>
    void log.write({ by: acting(view), kind, subject: person, data }).then(() => goInstead(`/trips/${log.trip}/emergency`));
  return (
    <Page title={names.full(person)} note="This diver does not dive again today until two others release them.">
      <div class="heads">
        <DeckButton row="what" tone="stop" onTap={() => (dive === undefined ? write("held_from_diving", { released: false, because: "symptoms" }) : write("symptoms_asked", { dive, after_min: null, said: "not_well" }))}>
          Feels unwell or odd
        </DeckButton>
        {dive !== undefined && (
          <>
            <DeckButton row="what" tone="stop" onTap={() => write("ascended_too_fast", { dive })}>
              Came up too fast
            </DeckButton>
            <DeckButton row="what" tone="stop" onTap={() => write("stop_missed", { dive })}>
              Missed a stop
            </DeckButton>
          </>
        )}
      </div>
      <div class="apart" />
      <Button size="large" wide onPress={props.onBack}>
        None of these: back
      </Button>
      <p class="lead">If in doubt give oxygen, lie the diver down and call for advice: no figure here says that a diver is well.</p>
    </Page>
  );
}
