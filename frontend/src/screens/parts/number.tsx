import type { ComponentChildren } from "preact";

interface BigNumberProps {
  /** What it is, in words: above the number. */
  readonly label: string;
  readonly value: ComponentChildren;
  readonly unit?: string;
  /** Whose it is, or since when: below the number. */
  readonly note?: ComponentChildren;
  readonly tone?: "plain" | "warn" | "stop";
  readonly size?: "normal" | "huge";
}

/** The number that matters on this screen. */
export function BigNumber(props: BigNumberProps) {
  return (
    <div class={`number ${props.tone ?? "plain"} ${props.size ?? "normal"}`}>
      <span class="number-label">{props.label}</span>
      <span class="number-value">
        {props.value}
        {props.unit !== undefined && <span class="number-unit"> {props.unit}</span>}
      </span>
      {props.note !== undefined && <span class="number-note">{props.note}</span>}
    </div>
  );
}

/** In the place of a number that cannot be answered: what is missing, and where to give it. */
export function NotKnown(props: { readonly label: string; readonly what: readonly string[]; readonly children?: ComponentChildren }) {
  return (
    <div class="number unknown">
      <span class="number-label">{props.label}</span>
      <span class="number-value">not known</span>
      <span class="number-note">missing: {props.what.join(", ")}</span>
      {props.children}
    </div>
  );
}

interface StepsProps {
  readonly label: string;
  readonly unit: string;
  readonly value: number;
  readonly steps: readonly number[];
  readonly least: number;
  readonly most: number;
  readonly show?: (value: number) => string;
  /** How a step is written on its button, without its sign. */
  readonly showStep?: (step: number) => string;
  readonly onChange: (value: number) => void;
}

/** A number set by large steps: no keyboard on a wet deck. */
export function Steps(props: StepsProps) {
  const show = props.show ?? String;
  const change = (step: number) => props.onChange(Math.min(props.most, Math.max(props.least, props.value + step)));
  const showStep = props.showStep ?? show;
  const down = props.steps.map((step) => -step);
  return (
    <div class="steps" role="group" aria-label={props.label}>
      <BigNumber label={props.label} value={show(props.value)} unit={props.unit} size="huge" />
      <div class="step-grid">
        {[...down, ...props.steps].map((step) => (
          <StepButton key={step} step={step} show={showStep} onPress={() => change(step)} />
        ))}
      </div>
    </div>
  );
}

function StepButton(props: { readonly step: number; readonly show: (value: number) => string; readonly onPress: () => void }) {
  const text = `${props.step > 0 ? "+" : "−"}${props.show(Math.abs(props.step))}`;
  return (
    <button type="button" class="button plain deck" onClick={props.onPress}>
      {text}
    </button>
  );
}

/** Whole numbers read off a gauge, by large digits: nothing stands there until someone has typed it. */
export function Digits(props: { readonly label: string; readonly unit: string; readonly value: string; readonly most: number; readonly onChange: (value: string) => void }) {
  const add = (digit: string) => {
    const next = props.value === "0" ? digit : props.value + digit;
    if (next.length <= String(props.most).length) props.onChange(next);
  };
  return (
    <div class="steps" role="group" aria-label={props.label}>
      <BigNumber label={props.label} value={props.value === "" ? "–" : props.value} unit={props.unit} size="huge" />
      <div class="step-grid digits">
        {["1", "2", "3", "4", "5", "6", "7", "8", "9"].map((digit) => (
          <DigitButton key={digit} text={digit} onPress={() => add(digit)} />
        ))}
        <DigitButton text="Clear" onPress={() => props.onChange("")} />
        <DigitButton text="0" onPress={() => add("0")} />
      </div>
    </div>
  );
}

function DigitButton(props: { readonly text: string; readonly onPress: () => void }) {
  return (
    <button type="button" class="button plain deck" onClick={props.onPress}>
      {props.text}
    </button>
  );
}
