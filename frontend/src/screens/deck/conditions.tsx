import { useState } from "preact/hooks";
import type { Conditions as Found } from "../../kernel/boatlog/lost.ts";
import { visibleForS } from "../../kernel/boatlog/sums.ts";
import { fixNow } from "../parts/fix.ts";
import { Button, Buttons, List, Page, Row, Steps, type ScreenProps } from "../parts/index.ts";
import { clockTime, span } from "../words/format.ts";
import { acting } from "./acting.ts";
import { currentDive } from "./deck.tsx";
import { OnTrip, SyncStrip } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function Conditions({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck) => <ConditionsPage deck={deck} />}</OnTrip>;
}

interface Quantity {
  readonly key: "current_tenths_kn" | "wind_kn" | "wave_cm" | "visibility_cm" | "water_tenths_c";
  readonly title: string;
  readonly unit: string;
  /** How many of the stored whole numbers make one of the shown unit. */
  readonly parts: number;
  readonly steps: readonly number[];
  readonly least: number;
  readonly most: number;
  readonly start: number;
  /** The way it runs or comes from, asked after it. */
  readonly way?: { readonly key: "current_toward_deg" | "wind_from_deg"; readonly ask: string; readonly word: string };
}

const quantities: readonly Quantity[] = [
  { key: "current_tenths_kn", title: "Current", unit: "kn", parts: 10, steps: [5, 2, 1], least: 0, most: 100, start: 5, way: { key: "current_toward_deg", ask: "Which way does it run?", word: "toward" } },
  { key: "wind_kn", title: "Wind", unit: "kn", parts: 1, steps: [10, 5, 1], least: 0, most: 150, start: 10, way: { key: "wind_from_deg", ask: "Where does it come from?", word: "from" } },
  { key: "wave_cm", title: "Waves", unit: "m", parts: 100, steps: [100, 50, 10], least: 0, most: 2000, start: 50 },
  { key: "visibility_cm", title: "Sight under water", unit: "m", parts: 100, steps: [1000, 500, 100], least: 0, most: 10_000, start: 1000 },
  { key: "water_tenths_c", title: "Water", unit: "°C", parts: 10, steps: [50, 10, 5], least: -30, most: 400, start: 150 },
];
const ways = [
  ["N", 0],
  ["NE", 45],
  ["E", 90],
  ["SE", 135],
  ["S", 180],
  ["SW", 225],
  ["W", 270],
  ["NW", 315],
] as const;

/** What the sea is like now: one thing at a time, each its own entry; what was measured before stays until measured again. */
function ConditionsPage({ deck }: { readonly deck: Deck }) {
  const { log, view, zone } = deck;
  const back = `/trips/${log.trip}/deck`;
  const found: Found | null = view.conditions;
  const [asking, ask] = useState<Quantity | null>(null);
  const [value, setValue] = useState(0);
  const [way, askWay] = useState(false);
  const dive = currentDive(deck);
  const leave = () => {
    pageChanged();
    ask(null);
    askWay(false);
  };
  const write = (data: Readonly<Record<string, number>>) => {
    if (dive === undefined) return;
    void log.write({ by: acting(view), kind: "conditions_found", subject: dive, data: { ...data, fix: fixNow() } }).then(leave);
  };
  if (asking !== null && way && asking.way !== undefined) {
    const { key, ask: words } = asking.way;
    return (
      <Page title={words} note={`${asking.title}: ${value / asking.parts} ${asking.unit}`}>
        <div class="step-grid">
          {ways.map(([word, degrees]) => (
            <Button key={word} size="deck" onPress={() => write({ [asking.key]: value, [key]: degrees })}>
              {word}
            </Button>
          ))}
        </div>
        <Button size="large" wide onPress={() => write({ [asking.key]: value })}>
          Not known
        </Button>
      </Page>
    );
  }
  if (asking !== null) {
    const seen = asking.key === "current_tenths_kn" ? visibleForS(value).head : null;
    return (
      <Page title={asking.title} note={seen === null ? "" : `A head at the surface is in sight from a boat that stays for about ${span(seen)}, in calm daylight.`}>
        <Steps
          label="As found"
          unit={asking.unit}
          value={value}
          steps={asking.steps}
          least={asking.least}
          most={asking.most}
          show={(each) => String(each / asking.parts)}
          onChange={setValue}
        />
        <Button tone="act" size="deck" wide onPress={() => (asking.way === undefined || value === 0 ? write({ [asking.key]: value }) : (pageChanged(), askWay(true)))}>
          {value / asking.parts} {asking.unit}
        </Button>
        <div class="apart half" />
        <Button size="large" wide onPress={leave}>
          Not measured
        </Button>
      </Page>
    );
  }
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title="What the sea is like" back={back} backLabel="Deck" note={found === null ? "Nothing is entered yet." : `Last entered ${clockTime(found.at, zone)}`}>
        <List label="As found">
          {quantities.map((each) => (
            <Row key={each.key} title={each.title} side={shown(found, each)} onPress={() => (pageChanged(), setValue(found?.[each.key] ?? each.start), ask(each))} />
          ))}
        </List>
        <Buttons>
          <p>If it is more than the plan counted with, say so before the next team goes down.</p>
        </Buttons>
      </Page>
    </>
  );
}

function shown(found: Found | null, { key, parts, unit, way }: Quantity): string {
  const value = found?.[key] ?? null;
  if (value === null) return "not measured";
  const degrees = way === undefined ? null : (found?.[way.key] ?? null);
  const word = ways.find(([, each]) => each === degrees)?.[0];
  return `${value / parts} ${unit}${degrees === null || way === undefined ? "" : `, ${way.word} ${word ?? `${degrees}°`}`}`;
}
