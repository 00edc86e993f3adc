import type { ComponentChildren } from "preact";
import { useRef } from "preact/hooks";
import { Button } from "./button.tsx";
import { Notice, Page, Waiting } from "./page.tsx";
import { ProblemList } from "./problem.tsx";
import type { Answer } from "./use_server.ts";

/** What came from the server, or why it did not come; an answer that was here stays on screen when the network drops. */
export function Loaded<T>(props: {
  readonly answer: Answer<T>;
  readonly again: () => void;
  readonly children: (data: T) => ComponentChildren;
  /** Where the page itself is made from the answer: what it is called, and the way back, while there is none. */
  readonly alone?: { readonly title: string; readonly back: string };
}) {
  const kept = useRef<{ data: T } | null>(null);
  if (props.answer.state === "here") kept.current = { data: props.answer.data };
  const around = (inside: ComponentChildren) => (props.alone === undefined ? <>{inside}</> : <Page {...props.alone}>{inside}</Page>);
  if (props.answer.state === "waiting" && kept.current === null) return around(<Waiting />);
  if (props.answer.state === "refused") {
    const { problem } = props.answer;
    return around(
      <>
        {problem.status === 404 ? (
          <Notice tone="stop">
            <p>This is not here, or not yours to see.</p>
          </Notice>
        ) : (
          <ProblemList problem={problem} />
        )}
        <Button onPress={props.again}>Try again</Button>
      </>,
    );
  }
  if (kept.current === null) {
    return around(
      <Notice tone="warn">
        <p>No network: this page is kept on the server.</p>
        <Button onPress={props.again}>Try again</Button>
      </Notice>,
    );
  }
  return (
    <>
      {props.answer.state === "unreachable" && (
        <Notice tone="warn">
          <p>No network: this is what was here when it was last reached.</p>
          <Button onPress={props.again}>Try again</Button>
        </Notice>
      )}
      {props.children(kept.current.data)}
    </>
  );
}
