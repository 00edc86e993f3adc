import type { ComponentChildren } from "preact";
import { useRef } from "preact/hooks";
import { to } from "./navigate.ts";

/** act: the one thing to do here; plain: everything else; down, up: the two deck verbs; stop: cannot be taken back. */
export type Tone = "act" | "plain" | "down" | "up" | "stop" | "quiet";
export type Size = "normal" | "large" | "deck";

interface Look {
  readonly tone?: Tone;
  readonly size?: Size;
  readonly wide?: boolean;
  readonly children: ComponentChildren;
}

interface ButtonProps extends Look {
  readonly onPress?: () => void;
  readonly disabled?: boolean;
  readonly submit?: boolean;
  readonly label?: string;
  readonly pressed?: boolean;
  readonly name?: string;
}

/** A second press of the same button within this time is a bounce: a drop of water or a shaking hand. */
const BOUNCE_MS = 700;

export function Button(props: ButtonProps) {
  const last = useRef(-BOUNCE_MS);
  const press = (event: MouseEvent) => {
    if (event.timeStamp - last.current < BOUNCE_MS) return;
    last.current = event.timeStamp;
    props.onPress?.();
  };
  return (
    <button
      type={props.submit ? "submit" : "button"}
      class={look(props)}
      disabled={props.disabled ?? false}
      aria-label={props.label}
      aria-pressed={props.pressed}
      data-name={props.name}
      onClick={props.submit ? undefined : press}
    >
      {props.children}
    </button>
  );
}

/** Looks like a button, is a link to another screen of this app (`path` without the hash) or a download (`href`). */
export function LinkButton(props: Look & { readonly path?: string; readonly href?: string }) {
  return (
    <a class={look(props)} href={props.path === undefined ? props.href : to(props.path)}>
      {props.children}
    </a>
  );
}

/** Buttons side by side; on a narrow screen one under the other. `even`: all equally large. */
export function Buttons(props: { readonly even?: boolean; readonly children: ComponentChildren }) {
  return <div class={props.even ? "buttons even" : "buttons"}>{props.children}</div>;
}

function look({ tone = "plain", size = "normal", wide = false }: Look): string {
  return `button ${tone} ${size}${wide ? " wide" : ""}`;
}
