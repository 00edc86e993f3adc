import { useState } from "preact/hooks";
import { Button, Digits, Page } from "../parts/index.ts";
import { pressure } from "../words/format.ts";
import { DeckButton } from "./deck_button.tsx";
import { pageChanged } from "./tap.ts";

export interface Pressure {
  readonly unit: "bar" | "psi";
  readonly value: number;
}

/** One gauge of one diver, typed off it; no number is offered that nobody read. */
export function Gauge(props: {
  readonly title: string;
  readonly label: string;
  readonly unit: "bar" | "psi";
  readonly back: string;
  readonly skip: string;
  readonly onRead: (read: Pressure) => void;
  readonly onSkip: () => void;
}) {
  const { unit } = props;
  const [typed, type] = useState("");
  const read: Pressure = { unit, value: Number(typed) };
  const most = unit === "bar" ? 400 : 6000;
  const fits = typed !== "" && read.value <= most;
  const next = (then: () => void) => {
    pageChanged();
    type("");
    then();
  };
  return (
    <Page title={props.title} back={props.back} backLabel="Deck">
      <Digits label={props.label} unit={unit} value={typed} most={most} onChange={type} />
      {fits ? (
        <DeckButton row="gauge" tone="act" onTap={() => next(() => props.onRead(read))}>
          It shows {pressure(read)}
        </DeckButton>
      ) : (
        <p class="head still">{typed === "" ? "Type what the gauge shows" : `No gauge shows more than ${most} ${unit}`}</p>
      )}
      <div class="apart" />
      <Button size="large" wide onPress={() => next(props.onSkip)}>
        {props.skip}
      </Button>
    </Page>
  );
}
