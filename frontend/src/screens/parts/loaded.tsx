import type { ComponentChildren } from "preact";
import { useRef } from "preact/hooks";
import { Button } from "./button.tsx";
import { Notice, Waiting } from "./page.tsx";
import { ProblemList } from "./problem.tsx";
import type { Answer } from "./use_server.ts";

/** What came from the server, or why it did not come; an answer that was here stays on screen when the network drops. */
export function Loaded<T>(props: { readonly answer: Answer<T>; readonly again: () => void; readonly children: (data: T) => ComponentChildren }) {
  const kept = useRef<{ data: T } | null>(null);
  if (props.answer.state === "here") kept.current = { data: props.answer.data };
  if (props.answer.state === "waiting" && kept.current === null) return <Waiting />;
  if (props.answer.state === "refused") {
    return (
      <>
        <ProblemList problem={props.answer.problem} />
        <Button onPress={props.again}>Try again</Button>
      </>
    );
  }
  return (
    <>
      {props.answer.state === "unreachable" && (
        <Notice tone="warn">
          <p>
            {kept.current === null ? "No network: this page is kept on the server." : "No network: this is what was here when it was last reached."}
          </p>
          <Button onPress={props.again}>Try again</Button>
        </Notice>
      )}
      {kept.current !== null && props.children(kept.current.data)}
    </>
  );
}
