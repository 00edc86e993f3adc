import type { ComponentChildren } from "preact";
import { to } from "./navigate.ts";

export function List(props: { readonly label?: string; readonly children: ComponentChildren }) {
  return (
    <ul class="list" aria-label={props.label}>
      {props.children}
    </ul>
  );
}

interface RowProps {
  readonly title: ComponentChildren;
  readonly note?: ComponentChildren;
  /** On the right: a number or a state in one or two words. */
  readonly side?: ComponentChildren;
  readonly tone?: "plain" | "warn" | "stop";
  readonly path?: string;
  readonly onPress?: () => void;
  readonly children?: ComponentChildren;
}

/** One thing in a list; the whole line is the target when it leads somewhere. */
export function Row(props: RowProps) {
  const inside = (
    <>
      <span class="row-text">
        <span class="row-title">{props.title}</span>
        {props.note !== undefined && <span class="row-note">{props.note}</span>}
      </span>
      {props.side !== undefined && <span class="row-side">{props.side}</span>}
    </>
  );
  return (
    <li class={`row ${props.tone ?? "plain"}`}>
      {props.path !== undefined ? (
        <a class="row-line" href={to(props.path)}>
          {inside}
          <span class="row-go" aria-hidden="true">
            ›
          </span>
        </a>
      ) : props.onPress !== undefined ? (
        <button type="button" class="row-line" onClick={props.onPress}>
          {inside}
        </button>
      ) : (
        <div class="row-line">{inside}</div>
      )}
      {props.children}
    </li>
  );
}

/** Label and value pairs, for facts about one thing. */
export function Facts(props: { readonly items: readonly (readonly [string, ComponentChildren])[] }) {
  return (
    <dl class="facts">
      {props.items.map(([label, value]) => (
        <div key={label}>
          <dt>{label}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}

/** A table that scrolls sideways by itself on a phone; the first column is the row's heading. */
export function Grid(props: {
  readonly label: string;
  readonly head: readonly string[];
  readonly rows: readonly { readonly key: string; readonly cells: readonly ComponentChildren[]; readonly tone?: "warn" | "stop" }[];
}) {
  return (
    <div class="grid" role="region" aria-label={props.label} tabIndex={0}>
      <table>
        <thead>
          <tr>
            {props.head.map((text) => (
              <th key={text} scope="col">
                {text}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {props.rows.map((row) => (
            <tr key={row.key} class={row.tone ?? ""}>
              {row.cells.map((cell, n) =>
                n === 0 ? (
                  <th key={n} scope="row">
                    {cell}
                  </th>
                ) : (
                  <td key={n}>{cell}</td>
                ),
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
