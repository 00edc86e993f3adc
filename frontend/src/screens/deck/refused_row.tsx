import type { Act } from "../../store/trip_log.ts";
import { Reason } from "../parts/index.ts";
import { aboard } from "./acts.ts";
import { comesAboard } from "./boats.ts";
import { DeckButton } from "./deck_button.tsx";
import type { Names } from "./frame.tsx";
import type { Refused } from "./refusals.ts";
import type { Deck } from "./use_trip.ts";

/** Below the reason: the one tap that mends it, and the second way for what happened all the same. */
export function RefusedRow(props: {
  readonly deck: Deck;
  readonly names: Names;
  readonly team: string;
  readonly number: number;
  readonly refused: Refused;
  readonly onAct: (act: Act, said: string) => void;
  readonly onDown: () => void;
}) {
  const { deck, names, team, number, refused } = props;
  return (
    <>
      {refused.aboard.length > 0 && (
        <div class="heads two">
          {refused.aboard.map((person) => (
            <DeckButton key={person} row={team} tone="plain" onTap={() => props.onAct(aboard(deck.view, person, comesAboard(deck, person)), `${names.short(person)} aboard`)}>
              <span>{names.short(person)}</span> <span>aboard</span>
            </DeckButton>
          ))}
        </div>
      )}
      {refused.happens && (
        <Reason title="They have gone down all the same">
          <p>Then it is entered, so that they are watched and due like everyone.</p>
          <div class="heads">
            <DeckButton row={team} tone="down" label={`They are down, team ${number}`} onTap={props.onDown}>
              They are down
            </DeckButton>
          </div>
        </Reason>
      )}
    </>
  );
}
