import { Button, Buttons } from "../parts/index.ts";
import type { Names } from "./frame.tsx";

/** Two people chosen by name, one tap each; a third takes the place of the first. */
export function TwoNames(props: {
  readonly label: string;
  readonly able: readonly string[];
  readonly names: Names;
  readonly chosen: readonly string[];
  readonly onChange: (chosen: readonly string[]) => void;
}) {
  const { able, names, chosen, onChange } = props;
  const toggle = (person: string) => onChange(chosen.includes(person) ? chosen.filter((one) => one !== person) : [...chosen, person].slice(-2));
  return (
    <div role="group" aria-label={props.label}>
      <Buttons>
        {able.map((person) => (
          <Button key={person} size="large" tone={chosen.includes(person) ? "act" : "plain"} pressed={chosen.includes(person)} onPress={() => toggle(person)}>
            {names.short(person)}
          </Button>
        ))}
      </Buttons>
    </div>
  );
}
