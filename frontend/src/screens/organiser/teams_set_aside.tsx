import { useState } from "preact/hooks";
import { Button, Form, Notice, TextField } from "../parts/index.ts";
import type { Override } from "../words/answers_teams.ts";

/** It advises; people decide: the teams that were refused are announced all the same, with a reason that stays with the plan. */
export function SetAside(props: { readonly rules: readonly Omit<Override, "reason">[]; readonly sending: boolean; readonly onAnnounce: (overrides: readonly Override[]) => void }) {
  const [reason, setReason] = useState("");
  const [asked, setAsked] = useState(false);
  if (props.rules.length === 0) return null;
  const missing = reason.trim() === "" ? "Say why: it stays with the plan." : undefined;
  return (
    <Notice>
      <Form
        label="Announce these teams all the same"
        onSubmit={() => {
          setAsked(true);
          if (missing === undefined) props.onAnnounce(props.rules.map((rule) => ({ ...rule, reason: reason.trim() })));
        }}
      >
        <TextField
          label={props.rules.length === 1 ? "Why this rule may be set aside here" : `Why these ${props.rules.length} rules may be set aside here`}
          hint="Your name and the reason stay with the plan."
          value={reason}
          onChange={setReason}
          error={asked ? missing : undefined}
        />
        <Button submit disabled={props.sending}>
          Set aside and announce
        </Button>
      </Form>
    </Notice>
  );
}
