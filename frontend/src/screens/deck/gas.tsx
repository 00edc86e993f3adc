import { useState } from "preact/hooks";
import { Button, List, Page, Row, Steps, type ScreenProps } from "../parts/index.ts";
import { percentOxygen, pressure as written } from "../words/format.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { OnTrip, SyncStrip, type Names } from "./frame.tsx";
import { Gauge, type Pressure } from "./gauge.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function Gas({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <GasPage deck={deck} names={names} />}</OnTrip>;
}

/** Each diver's cylinder as its diver read it: which, the gauge, the oxygen, and who held the analyser. */
function GasPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view } = deck;
  const [person, choose] = useState<string | null>(null);
  const [cylinder, setCylinder] = useState<string | null>(null);
  const [read, setRead] = useState<Pressure | null>(null);
  const [o2, setO2] = useState(320);
  const back = `/trips/${log.trip}/more`;
  const step = (change: () => void) => {
    pageChanged();
    change();
  };
  const leave = () => step(() => (choose(null), setCylinder(null), setRead(null)));
  if (person === null) {
    const divers = Object.entries(view.people)
      .filter(([, { dives, state }]) => dives && state !== "ashore")
      .map(([one]) => one)
      .sort((a, b) => names.full(a).localeCompare(names.full(b)));
    return (
      <>
        <SyncStrip deck={deck} />
        <Page title="Cylinders" back={back} backLabel="Something else" note="Each diver reads their own, and again after a change of cylinder.">
          <List label="Divers">
            {divers.map((one) => (
              <Row key={one} title={names.full(one)} note={lastRead(deck, one)} onPress={() => step(() => choose(one))} />
            ))}
          </List>
        </Page>
      </>
    );
  }
  const who = names.full(person);
  if (cylinder === null) {
    return (
      <Page title={`${who}: which cylinder today?`}>
        <div class="heads three">
          {["1", "2", "3"].map((each) => (
            <DeckButton key={each} row="cylinder" tone="plain" label={`Cylinder ${each}`} onTap={() => step(() => setCylinder(each))}>
              {each}
            </DeckButton>
          ))}
        </div>
        <div class="apart" />
        <Button size="large" wide onPress={leave}>
          None: back
        </Button>
      </Page>
    );
  }
  if (read === null) {
    return <Gauge title={who} label={`Gauge of cylinder ${cylinder}`} unit={log.snapshot.units.pressure} back={back} skip="Not read: back" onRead={setRead} onSkip={leave} />;
  }
  const write = (o2_pm: number | null) =>
    void log
      .write({ by: acting(view), kind: "gas_checked", subject: person, data: { cylinder, pressure: read, o2_pm, analysed_by: o2_pm === null ? null : person } })
      .then(leave);
  return (
    <Page title={`${who}: what does the analyser show?`} note={`${who} reads it in person. A label is not an analysis.`}>
      <DeckButton row="mix" tone="plain" onTap={() => write(210)}>
        21 %: air
      </DeckButton>
      <Steps label="Or oxygen" unit="%" value={o2} steps={[50, 10, 1]} least={160} most={1000} show={(each) => (each / 10).toFixed(1)} showStep={(each) => String(each / 10)} onChange={setO2} />
      <DeckButton row="mix" tone="act" onTap={() => write(o2)}>
        {(o2 / 10).toFixed(1)} % oxygen
      </DeckButton>
      <div class="apart" />
      <Button size="large" wide onPress={() => write(null)}>
        Not analysed by {names.short(person)}
      </Button>
    </Page>
  );
}

function lastRead({ log }: Deck, person: string): string {
  const last = log.entries
    .filter(({ entry }) => entry.kind === "gas_checked" && entry.subject === person)
    .sort((a, b) => a.entry.at - b.entry.at)
    .at(-1)?.entry.data;
  if (last === undefined) return "nothing read yet";
  const o2 = last["o2_pm"];
  return `${written(last["pressure"] as Pressure)}, ${typeof o2 === "number" ? percentOxygen(o2) : "not analysed"}`;
}
