import { useMemo } from "preact/hooks";
import { overstay, type OverstayOwed } from "../../kernel/boatlog/overstay.ts";
import { Reason } from "../parts/index.ts";
import { depth } from "../words/format.ts";
import { loggedOverstay, NOT_A_PLAN, pastText } from "../words/overstay.ts";
import { isUnknown, missingText } from "../words/plan.ts";
import type { Names } from "./frame.tsx";
import type { Deck } from "./use_trip.ts";

interface Props {
  readonly deck: Deck;
  readonly names: Names;
  readonly team: string;
}

/** Worked out once a minute, not at every tick of the clock. */
function useOverstay({ deck, team }: Props, instant: number): ReturnType<typeof overstay> {
  const { state } = deck.log;
  const minute = Math.floor(instant / 60_000);
  return useMemo(() => overstay(state, team, minute * 60_000), [state, team, minute]);
}

/** Before the descent: what staying too long would oblige, one tap away. */
export function IfTooLong(props: Props) {
  const { names } = props;
  const told = useOverstay(props, props.deck.earliest);
  if (!isUnknown(told) && told.length === 0) return null;
  return (
    <Reason title="If they stay too long">
      {isUnknown(told) ? (
        <p>Not known: {missingText(told.not_known)}.</p>
      ) : (
        <ul>
          {told.map((one) => (
            <li key={one.past_s}>
              {pastText(one.past_s / 60)}: {loggedOverstay(one, names.short, depth)}
            </li>
          ))}
        </ul>
      )}
      <p>{NOT_A_PLAN}</p>
    </Reason>
  );
}

/** Of a late team: what they would owe if they were at the planned depth till now. */
export function OwedByNow(props: Props) {
  const { names } = props;
  const told = useOverstay(props, props.deck.latest);
  const one: OverstayOwed | undefined = isUnknown(told) ? undefined : told[0];
  if (one === undefined) return null;
  return (
    <Reason title="If they are still at the bottom">
      <p>At the planned depth until now {loggedOverstay(one, names.short, depth)} More if they went deeper.</p>
      <p>{NOT_A_PLAN}</p>
    </Reason>
  );
}
