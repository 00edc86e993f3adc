import type { ComponentChildren } from "preact";
import { to } from "./navigate.ts";

interface PageProps {
  readonly title: string;
  /** Path of the screen one step up; shown as a back link. */
  readonly back?: string;
  readonly backLabel?: string;
  /** Under the title, one short line. */
  readonly note?: ComponentChildren;
  /** For tables and two columns on a desk. */
  readonly wide?: boolean;
  readonly children: ComponentChildren;
}

export function Page(props: PageProps) {
  return (
    <main class={props.wide ? "page wide" : "page"} id="main">
      {props.back !== undefined && (
        <a class="back" href={to(props.back)}>
          <span aria-hidden="true">‹ </span>
          {props.backLabel ?? "Back"}
        </a>
      )}
      <h1>{props.title}</h1>
      {props.note !== undefined && <p class="lead">{props.note}</p>}
      {props.children}
    </main>
  );
}

export function Section(props: { readonly title?: string; readonly children: ComponentChildren }) {
  return (
    <section class="section">
      {props.title !== undefined && <h2>{props.title}</h2>}
      {props.children}
    </section>
  );
}

/** Two columns from 900 px on, one below. */
export function Columns(props: { readonly children: ComponentChildren }) {
  return <div class="columns">{props.children}</div>;
}

/** info: worth knowing; warn: changes what someone does; stop: may not go on. */
export function Notice(props: { readonly tone?: "info" | "warn" | "stop"; readonly children: ComponentChildren }) {
  const tone = props.tone ?? "info";
  return (
    <div class={`notice ${tone}`} role={tone === "info" ? "status" : "alert"}>
      {props.children}
    </div>
  );
}

/** The reason behind a number, one tap away. */
export function Reason(props: { readonly title?: string; readonly open?: boolean; readonly children: ComponentChildren }) {
  return (
    <details class="reason" open={props.open}>
      <summary>{props.title ?? "Why"}</summary>
      <div>{props.children}</div>
    </details>
  );
}

export function Empty(props: { readonly children: ComponentChildren }) {
  return <p class="empty">{props.children}</p>;
}

export function Waiting() {
  return (
    <p class="empty" role="status">
      One moment …
    </p>
  );
}
