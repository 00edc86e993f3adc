import { useState } from "preact/hooks";
import type { QuestionView } from "../../kernel/boatlog/view.ts";
import { Reason } from "../parts/index.ts";
import { names as joined } from "../words/format.ts";
import { DeckButton } from "./deck_button.tsx";
import type { Names } from "./frame.tsx";
import { TwoNames } from "./two_names.tsx";
import type { Deck } from "./use_trip.ts";

/** Two people whom it is not about say by name that they looked: the careful reading stays, nobody is asked again. */
export function LookedAt({ deck, names, question }: { readonly deck: Deck; readonly names: Names; readonly question: QuestionView }) {
  const { log, view } = deck;
  const [chosen, choose] = useState<readonly string[]>([]);
  const able = Object.keys(view.people)
    .filter((person) => !question.people.includes(person))
    .sort((a, b) => names.full(a).localeCompare(names.full(b)));
  const [first, second] = chosen;
  const close = () =>
    void log.write({ by: first!, kind: "question_settled", subject: question.subject ?? log.trip, data: { code: question.code, entries: question.entries, with: second } });
  return (
    <Reason title="Two people looked at it">
      <p>The careful reading stays, and it is not asked again. Neither may be somebody it is about.</p>
      <TwoNames label="Who looked at it" able={able} names={names} chosen={chosen} onChange={choose} />
      {first !== undefined && second !== undefined && (
        <DeckButton row={`looked ${question.code} ${question.entries.join(" ")}`} tone="act" size="large" onTap={close}>
          {joined([first, second].map(names.short))} looked at it
        </DeckButton>
      )}
    </Reason>
  );
}
