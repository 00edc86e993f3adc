import { useState } from "preact/hooks";
import { happened } from "../../kernel/boatlog/claims.ts";
import type { View } from "../../kernel/boatlog/view.ts";
import { Button, goInstead, Page, type ScreenProps } from "../parts/index.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { membersOf, OnTrip, type Names } from "./frame.tsx";
import { Gauge } from "./gauge.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function After({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <AfterPage deck={deck} names={names} team={params["team"] ?? ""} />}</OnTrip>;
}

const efforts = ["Easy", "Light", "Moderate", "Hard", "As hard as it gets"] as const;
type Asked = "pressure_reported" | "effort_said";

/** What the divers of a team who are up have not yet been asked about this dive: the gauge first, then how hard it was. */
export function toAskAfter(deck: Deck, team: string): readonly { readonly person: string; readonly what: Asked }[] {
  const state = deck.view.teams[team];
  if (state === undefined) return [];
  return membersOf(deck, team).flatMap((person) => {
    const since = surfacedAt(deck.view, person, state.dive);
    if (since === null) return [];
    const said = (what: Asked) => deck.log.entries.some(({ entry }) => entry.kind === what && entry.subject === person && entry.data["dive"] === state.dive && happened(deck.log.state, entry) >= since);
    return (["pressure_reported", "effort_said"] as const).filter((what) => !said(what)).map((what) => ({ person, what }));
  });
}

/** When this dive of the diver ended; null: not made, or not yet over. */
function surfacedAt(view: View, person: string, dive: string): number | null {
  return view.people[person]?.dives_done.filter((done) => done.dive === dive).at(-1)?.surfaced?.[0] ?? null;
}

/** One question a screen; each can be passed over, and leaving loses nothing that was said. */
function AfterPage({ deck, names, team }: { readonly deck: Deck; readonly names: Names; readonly team: string }) {
  const { log, view } = deck;
  const back = `/trips/${log.trip}/deck`;
  const [passed, pass] = useState<readonly string[]>([]);
  const dive = view.teams[team]?.dive ?? "";
  const open = toAskAfter(deck, team).filter(({ person, what }) => !passed.includes(`${person} ${what}`));
  const asked = open[0];
  if (asked === undefined) {
    return (
      <Page title="That is all" back={back} backLabel="Deck">
        <Button tone="act" size="deck" wide onPress={() => goInstead(back)}>
          Back to the deck
        </Button>
      </Page>
    );
  }
  const { person, what } = asked;
  const next = () => {
    pageChanged();
    pass([...passed, `${person} ${what}`]);
    if (open.length === 1) goInstead(back);
  };
  const say = (data: Readonly<Record<string, unknown>>) => void log.write({ by: acting(view), kind: what, subject: person, data: { dive, ...data } }).then(next);
  if (what === "pressure_reported") {
    return (
      <Gauge
        key={person}
        title={names.full(person)}
        label="Gauge at the surface"
        unit={log.snapshot.units.pressure}
        back={back}
        skip="Not read"
        onRead={(pressure) => say({ pressure, from: "instrument" })}
        onSkip={next}
      />
    );
  }
  return (
    <Page title={`${names.full(person)}: how hard was it?`} back={back} backLabel="Deck" note="The diver says it. It is kept with the dive.">
      <div class="heads">
        {efforts.map((word, n) => (
          <DeckButton key={word} row="effort" tone="plain" size="large" onTap={() => say({ effort: n + 1 })}>
            {n + 1}: {word}
          </DeckButton>
        ))}
      </div>
      <div class="apart" />
      <Button size="large" wide onPress={next}>
        Not asked
      </Button>
    </Page>
  );
}
