import type { Reason } from "../words/answers.ts";
import { Notice } from "../parts/index.ts";
import { reasonText } from "./why_words.ts";

/** Why no teams can be formed at all, and what may be done about it. */
export function NoTeams(props: { readonly facts: readonly Reason[] | undefined; readonly remedy: string; readonly nameOf: (id: string) => string }) {
  return (
    <Notice tone="stop">
      <strong>No teams can be formed like this.</strong>
      <ul>
        {(props.facts ?? []).map((fact, n) => (
          <li key={n}>{reasonText(fact, props.nameOf)}</li>
        ))}
      </ul>
      <p>{props.remedy}</p>
    </Notice>
  );
}

/** That the search ended with a gap. */
export function NotProven(props: { readonly status: string }) {
  if (props.status !== "feasible") return null;
  return (
    <Notice tone="warn">
      <p>These teams are allowed, but it is not proven that there are none better.</p>
    </Notice>
  );
}
