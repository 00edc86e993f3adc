import type { ComponentChildren } from "preact";
import { counts } from "./tap.ts";

interface Props {
  /** All buttons of one row share it: after a tap the whole row waits. */
  readonly row: string;
  readonly tone: "down" | "up" | "plain" | "stop" | "act";
  readonly onTap: () => void;
  readonly label?: string;
  readonly children: ComponentChildren;
}

/** A button that makes an entry: very large, and deaf to water. */
export function DeckButton(props: Props) {
  return (
    <button
      type="button"
      class={`button deck ${props.tone}`}
      aria-label={props.label}
      onClick={(event) => counts(props.row, event.timeStamp) && props.onTap()}
    >
      {props.children}
    </button>
  );
}
