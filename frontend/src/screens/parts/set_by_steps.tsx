import { Button, Buttons, Steps } from "./index.ts";

const MINUTE = 60_000;

/** A time of day set by minutes: no keyboard on a wet deck. */
export function TimeSteps(props: { readonly value: number; readonly latest?: number; readonly onChange: (value: number) => void }) {
  const move = (minutes: number) => props.onChange(Math.min(props.value + minutes * MINUTE, props.latest ?? Infinity));
  return (
    <Buttons even>
      {[-10, -1, 1, 10].map((minutes) => (
        <Button key={minutes} size="large" label={`${Math.abs(minutes)} min ${minutes < 0 ? "earlier" : "later"}`} onPress={() => move(minutes)}>
          {minutes < 0 ? `−${-minutes} min` : `+${minutes} min`}
        </Button>
      ))}
    </Buttons>
  );
}

/** A depth set by steps of its unit, in hundredths. */
export function DepthSteps(props: { readonly label: string; readonly unit: "m" | "ft"; readonly value: number; readonly onChange: (value: number) => void }) {
  const metric = props.unit === "m";
  return (
    <Steps
      label={props.label}
      unit={props.unit}
      value={props.value}
      steps={metric ? [500, 100, 10] : [1000, 500, 100]}
      least={0}
      most={metric ? 10_000 : 33_000}
      show={(value) => (metric ? (value / 100).toFixed(1) : String(Math.round(value / 100)))}
      showStep={(step) => String(step / 100)}
      onChange={props.onChange}
    />
  );
}
