import { useState } from "preact/hooks";
import { Button, Buttons, errorAt, Form, Notice, Page, ProblemList, TextField, useSend, type ScreenProps } from "../parts/index.ts";
import { server } from "../../sync/server.ts";

/** The password that a club made is replaced by one's own. Nothing typed here is kept on the device. */
export default function Password(props: ScreenProps) {
  const [current, setCurrent] = useState("");
  const [next, setNext] = useState("");
  const [asked, setAsked] = useState(false);
  const [done, setDone] = useState(false);
  const { sending, problem, send } = useSend();
  const mistakes = {
    current: current === "" ? "Type the password you signed in with." : undefined,
    next: next.length < 8 ? "At least 8 characters." : next === current ? "Choose another than the current one." : undefined,
  };
  const change = () => {
    setAsked(true);
    setDone(false);
    if (mistakes.current !== undefined || mistakes.next !== undefined) return;
    send(async () => {
      await server.post("/_allauth/browser/v1/account/password/change", { current_password: current, new_password: next });
      setCurrent("");
      setNext("");
      setAsked(false);
      setDone(true);
    });
  };
  return (
    <Page title="Password" back="/me" backLabel="Me" note={props.session?.email}>
      <ProblemList problem={problem} named={(pointer) => ({ "/current_password": "Current password", "/new_password": "New password" })[pointer]} />
      {done && (
        <Notice>
          <p>Changed. You stay signed in here; other devices ask for the new one.</p>
        </Notice>
      )}
      <Form label="Password" onSubmit={change}>
        <TextField
          label="Current password"
          type="password"
          autocomplete="current-password"
          value={current}
          onChange={setCurrent}
          error={(asked ? mistakes.current : undefined) ?? errorAt(problem, "/current_password")}
        />
        <TextField
          label="New password"
          hint="At least 8 characters. Three or four words that only you put together are easy to keep."
          type="password"
          autocomplete="new-password"
          value={next}
          onChange={setNext}
          error={(asked ? mistakes.next : undefined) ?? errorAt(problem, "/new_password")}
        />
        <Buttons>
          <Button tone="act" submit disabled={sending}>
            {sending ? "Changing …" : "Change the password"}
          </Button>
        </Buttons>
      </Form>
    </Page>
  );
}
