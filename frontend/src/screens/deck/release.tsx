import { useState } from "preact/hooks";
import { Reason } from "../parts/index.ts";
import { names as joined } from "../words/format.ts";
import { DeckButton } from "./deck_button.tsx";
import type { Names } from "./frame.tsx";
import { TwoNames } from "./two_names.tsx";
import type { Deck } from "./use_trip.ts";

/** Two others say by name that a diver may dive again; nobody releases themselves. */
export function Release({ deck, names, person }: { readonly deck: Deck; readonly names: Names; readonly person: string }) {
  const { log, view } = deck;
  const [chosen, choose] = useState<readonly string[]>([]);
  const able = Object.entries(view.people).filter(([other, { state }]) => other !== person && (state === "aboard" || state === "unknown"));
  const [first, second] = chosen;
  return (
    <Reason title="Release to dive again">
      <p>After any symptom a doctor decides. Two others say it by name.</p>
      <TwoNames label="Who releases" able={able.map(([other]) => other)} names={names} chosen={chosen} onChange={choose} />
      {first !== undefined && second !== undefined && (
        <DeckButton
          row={`release ${person}`}
          tone="stop"
          size="large"
          onTap={() => void log.write({ by: first, kind: "held_from_diving", subject: person, data: { released: true, with: second } })}
        >
          {joined([first, second].map(names.short))} release {names.short(person)}
        </DeckButton>
      )}
    </Reason>
  );
}
