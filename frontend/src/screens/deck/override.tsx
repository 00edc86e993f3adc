import { useState } from "preact/hooks";
import { Button, Buttons, Reason } from "../parts/index.ts";
import { names as joined } from "../words/format.ts";
import { here } from "./boats.ts";
import { DeckButton } from "./deck_button.tsx";
import { expectedBy, shore, type Names } from "./frame.tsx";
import { TwoNames } from "./two_names.tsx";
import type { Deck } from "./use_trip.ts";

const REASONS = ["The rescue service told the boat to move", "Someone aboard has to be brought ashore", "Another boat stays and searches"] as const;

/** Two named people decide, with a reason that stays in the log. Whoever is missing stays missing. */
export function LeaveAllTheSame({ deck, names, missing }: { readonly deck: Deck; readonly names: Names; readonly missing: readonly string[] }) {
  const { log } = deck;
  const [chosen, choose] = useState<readonly string[]>([]);
  const [reason, setReason] = useState<string | null>(null);
  const able = here(deck).filter(([person, { state }]) => state === "aboard" && !missing.includes(person));
  const [first, second] = chosen;
  const expects = shore(deck);
  const decide = () => {
    if (first === undefined || second === undefined || reason === null) return;
    void log.write({ by: first, kind: "override", subject: log.trip, data: { rule: "departure", with: second, people: missing }, text: reason });
  };
  return (
    <Reason title="The boat has to leave without them">
      <p>Two people decide, by name. {joined(missing.map(names.full))}: still not accounted for{expects === null || expects.byHand ? ". Nobody ashore is alarmed by this: call for help yourselves." : `, and the alarm ashore stays armed: ${expectedBy(expects)}.`}</p>
      <TwoNames label="Who decides" able={able.map(([person]) => person)} names={names} chosen={chosen} onChange={choose} />
      <p>Why?</p>
      <Buttons>
        {REASONS.map((each) => (
          <Button key={each} tone={each === reason ? "act" : "plain"} pressed={each === reason} onPress={() => setReason(each)}>
            {each}
          </Button>
        ))}
      </Buttons>
      {first !== undefined && second !== undefined && reason !== null && (
        <div class="heads">
          <DeckButton row="override" tone="stop" onTap={decide}>
            {joined([first, second].map(names.short))} decide: leave without {joined(missing.map(names.short))}
          </DeckButton>
        </div>
      )}
    </Reason>
  );
}
