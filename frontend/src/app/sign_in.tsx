import { useState } from "preact/hooks";
import { Button, Form, Page, ProblemList, TextField, useSend } from "../screens/parts/index.ts";
import { signIn, type SessionState } from "./session.ts";

/** Only for the desk and the dock: a trip that is on the phone needs no sign-in. */
export function SignIn(props: { readonly onSigned: (state: SessionState) => void; readonly why?: string }) {
  const [email, setEmail] = useState("");
  const [password, setPassword] = useState("");
  const { sending, problem, send } = useSend();
  return (
    <Page title="Sign in" note={props.why ?? "With the e-mail address your club has for you."}>
      <ProblemList problem={problem} named={(pointer) => ({ "/email": "E-mail", "/password": "Password" })[pointer]} />
      <Form label="Sign in" onSubmit={() => send(async () => props.onSigned(await signIn(email.trim(), password)))}>
        <TextField label="E-mail" type="email" autocomplete="username" value={email} onChange={setEmail} />
        <TextField
          label="Password"
          type="password"
          autocomplete="current-password"
          value={password}
          onChange={setPassword}
        />
        <Button tone="act" size="large" wide submit disabled={sending}>
          {sending ? "Signing in …" : "Sign in"}
        </Button>
      </Form>
      <p class="lead">A trip that is already on this phone opens without signing in.</p>
    </Page>
  );
}
