import { useState } from "preact/hooks";
import { Button, Buttons, Notice } from "../parts/index.ts";
import { names } from "../words/format.ts";
import type { TeamsDesk } from "./teams_desk.ts";
import { PickTwo } from "./teams_wishes.tsx";
import { holds } from "./teams_words.ts";
import { whyNotLines } from "./why_words.ts";

/** "Why not these two?": the rule that refuses them, or what that team and the whole day would cost. */
export function WhyNotThese(props: { readonly desk: TeamsDesk; readonly open: boolean }) {
  const { desk } = props;
  const [one, setOne] = useState("");
  const [other, setOther] = useState("");
  const [asked, setAsked] = useState(false);
  const missing = one === "" || other === "" ? "Choose two names." : one === other ? "Choose two different names." : undefined;
  const answer = desk.data.proposal?.answer.why_not?.find((why) => holds([why.divers], [one, other]));
  return (
    <details class="desk-panel" open={props.open}>
      <summary>
        <h2>Why not these two?</h2>
      </summary>
      <PickTwo desk={desk} one={one} other={other} onOne={setOne} onOther={setOther} error={asked ? missing : undefined} />
      <Buttons>
        <Button
          disabled={desk.sending}
          onPress={() => {
            setAsked(true);
            if (missing === undefined) desk.solve({ why_not: [[one, other]] });
          }}
        >
          Ask
        </Button>
      </Buttons>
      {answer !== undefined && (
        <Notice>
          <strong>{names(answer.divers.map(desk.nameOf))}</strong>
          <ul>
            {whyNotLines(answer, desk.nameOf).map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </Notice>
      )}
    </details>
  );
}
