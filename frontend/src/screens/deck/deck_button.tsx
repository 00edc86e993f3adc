import type { ComponentChildren } from "preact";
import { counts } from "./tap.ts";

interface Props {
  /** All buttons of one row share it: after a tap the whole row waits. */
  readonly row: string;
  readonly tone: "down" | "up" | "plain" | "stop" | "act";
  readonly size?: "deck" | "large";
  readonly onTap: () => void;
  readonly label?: string;
  /** It has just taken the place of another button: shown, and not to be pressed yet. */
  readonly wait?: boolean;
  readonly children: ComponentChildren;
}

/** A button that makes an entry: very large, and deaf to water. */
export function DeckButton(props: Props) {
  return (
    <button
      type="button"
      class={`button ${props.size ?? "deck"} ${props.tone}`}
      aria-label={props.label}
      disabled={props.wait ?? false}
      onClick={(event) => counts(props.row, event.timeStamp) && props.onTap()}
    >
      {props.children}
    </button>
  );
}
