import { useState } from "preact/hooks";
import { Button, goInstead, Page, type ScreenProps } from "../parts/index.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { membersOf, numbered, OnTrip, type Names } from "./frame.tsx";
import { Gauge, type Pressure } from "./gauge.tsx";
import { pageChanged } from "./tap.ts";
import { memberNames } from "./team_plan.tsx";
import type { Deck } from "./use_trip.ts";

export function TeamCheck({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <TeamCheckPage deck={deck} names={names} team={params["team"] ?? ""} />}</OnTrip>;
}

/** The written check on the partner's body: five lines as a leader would read them out, common practice, no source for the wording. */
const LINES = [
  ["Gas", "open, breathed from, gauge read"],
  ["Releases", "each one found and tried"],
  ["Inflator and weights", "fills, empties, weights can be dropped"],
  ["Alternate", "where it is, breathed from"],
  ["Computer and plan", "gas set, depth, time, turn, lost partner"],
] as const;

/** The lines, then one gauge after the other; the entry is made when the last is read, with what was read. */
function TeamCheckPage({ deck, names, team }: { readonly deck: Deck; readonly names: Names; readonly team: string }) {
  const { log, view } = deck;
  const back = `/trips/${log.trip}/deck`;
  const [done, setDone] = useState(false);
  const [read, setRead] = useState<readonly { readonly person: string; readonly pressure: Pressure }[]>([]);
  const [at, setAt] = useState(0);
  const members = membersOf(deck, team);
  const number = numbered(deck)
    .flatMap((dive) => dive.teams)
    .find((one) => one.id === team)?.number;
  const write = (pressures: typeof read) =>
    void log.write({ by: acting(view), kind: "team_check_done", subject: team, data: { lines: LINES.length, pressures } }).then(() => goInstead(back));
  const next = (pressures: typeof read) => {
    setRead(pressures);
    setAt(at + 1);
    if (at + 1 >= members.length) write(pressures);
  };
  const person = members[at];
  if (done && person !== undefined) {
    return (
      <Gauge
        title={`Team ${number ?? ""}: ${names.full(person)}`}
        label={`What ${names.short(person)}'s gauge shows`}
        unit={log.snapshot.units.pressure}
        back={back}
        skip="Not read"
        onRead={(pressure) => next([...read, { person, pressure }])}
        onSkip={() => next(read)}
      />
    );
  }
  return (
    <Page title={`Team ${number ?? ""} checks each other`} back={back} backLabel="Deck" note={`${memberNames(deck, names, team)}. On the partner's body, not on the phone.`}>
      <ol class="check-lines">
        {LINES.map(([what, how]) => (
          <li key={what}>
            <b>{what}</b>: {how}
          </li>
        ))}
      </ol>
      <DeckButton row="check" tone="act" onTap={() => (pageChanged(), setDone(true))}>
        All five done: read the gauges
      </DeckButton>
      <div class="apart" />
      <Button size="large" wide onPress={() => write([])}>
        Done, gauges not read
      </Button>
    </Page>
  );
}
