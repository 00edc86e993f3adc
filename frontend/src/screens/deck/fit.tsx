import { useState } from "preact/hooks";
import { List, Page, Row, type ScreenProps } from "../parts/index.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { OnTrip, SyncStrip, type Names } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function Fit({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <FitPage deck={deck} names={names} />}</OnTrip>;
}

const saidWords: Readonly<Record<string, string>> = { yes: "fit, they say", no: "not today", declined: "did not say" };

/** Each diver's own word on the day, with no reason asked and none kept. */
function FitPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view } = deck;
  const [person, choose] = useState<string | null>(null);
  const say = (said: string) => {
    if (person === null) return;
    const of = log.entries.filter(({ entry }) => entry.kind === "fit_to_dive_said" && entry.subject === person).map(({ entry }) => entry.id);
    void log.write({ by: acting(view), kind: "fit_to_dive_said", subject: person, data: { said, of: [...new Set(of)] } }).then(() => (pageChanged(), choose(null)));
  };
  if (person !== null) {
    return (
      <Page title={`${names.full(person)}: fit to dive today?`} note="Slept, sober, no cold, no new medicine. Hand the phone over: only the answer is kept.">
        <div class="heads">
          <DeckButton row="fit" tone="plain" onTap={() => say("yes")}>
            Yes
          </DeckButton>
          <DeckButton row="fit" tone="plain" onTap={() => say("no")}>
            Not today
          </DeckButton>
          <DeckButton row="fit" tone="plain" onTap={() => say("declined")}>
            I would rather not say
          </DeckButton>
        </div>
      </Page>
    );
  }
  const divers = Object.entries(view.people)
    .filter(([, { dives, state }]) => dives && state !== "ashore")
    .sort(([a, left], [b, right]) => Number(left.fit_said !== null) - Number(right.fit_said !== null) || names.full(a).localeCompare(names.full(b)));
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title="Fit to dive today?" back={`/trips/${log.trip}/more`} backLabel="Something else" note="Each says it alone. Whoever says “not today” is not marked down.">
        <List label="Divers">
          {divers.map(([one, { fit_said: said }]) => (
            <Row key={one} title={names.full(one)} side={said === null ? "not asked" : (saidWords[said] ?? said)} onPress={() => (pageChanged(), choose(one))} />
          ))}
        </List>
      </Page>
    </>
  );
}
