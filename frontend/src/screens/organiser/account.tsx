import { useState } from "preact/hooks";
import { Button, Buttons, Choice, Facts, Form, Notice, ProblemList, Reason, Section, useSend } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import type { Club, DiverRecord } from "../words/answers.ts";

type Role = Club["role"];

interface Given {
  readonly email: string;
  readonly role: Role;
  readonly password: string | null;
}

const roles: readonly { readonly value: Role; readonly label: string; readonly note: string }[] = [
  { value: "diver", label: "diver", note: "sees their own record, teams and status" },
  { value: "leader", label: "leader", note: "plans trips and reads the roster" },
  { value: "organiser", label: "organiser", note: "all of it: roster, settings and accounts too" },
];

/** The diver's sign-in: given, its role changed, taken away. A diver needs none to be planned and counted. */
export function Account(props: { readonly diver: DiverRecord; readonly again: () => void }) {
  const { diver, again } = props;
  const [role, setRole] = useState<Role>(diver.role ?? "diver");
  const [given, setGiven] = useState<Given | null>(null);
  const { sending, problem, send } = useSend();
  const path = `/api/divers/${diver.id}/account`;
  const has = diver.role !== null && diver.role !== undefined;
  const ask = (work: () => Promise<Given | null>) =>
    send(async () => {
      setGiven(await work());
      again();
    });
  return (
    <Section title="Account">
      <ProblemList problem={problem} />
      {given !== null && <Result given={given} name={diver.name} />}
      {has ? (
        <>
          <Facts
            items={[
              ["Signs in as", diver.email || "–"],
              ["Role", diver.role],
            ]}
          />
          <Reason title="Change the role">
            <Form label="Role of the account" onSubmit={() => ask(() => server.patch<Given>(path, { role }).then(() => null))}>
              <Choice label="Role" value={role} options={roles} onChange={setRole} />
              <Buttons>
                <Button submit disabled={sending || role === diver.role}>
                  Save the role
                </Button>
              </Buttons>
            </Form>
          </Reason>
          <Reason title="The password is lost">
            <p>A new one is shown here once; the old one no longer works, and every device of {diver.name} asks for the new one.</p>
            <Button disabled={sending} onPress={() => ask(() => server.patch<Given>(path, { new_password: true }))}>
              Make a new password
            </Button>
          </Reason>
          <Reason title="Take the account away">
            <p>The sign-in then reads nothing of this club any more. The record of {diver.name} stays, and an account can be given again.</p>
            <Button tone="stop" disabled={sending} onPress={() => ask(() => server.delete(path).then(() => null))}>
              Take the account away
            </Button>
          </Reason>
        </>
      ) : diver.email === "" ? (
        <p>None. People sign in by e-mail: add theirs under “Change the record” first.</p>
      ) : (
        <>
          <p>None. {diver.name} needs one only to see their own teams, record and status.</p>
          <Form label="Give an account" onSubmit={() => ask(() => server.post<Given>(path, { role }))}>
            <Choice label="Role" value={role} options={roles} onChange={setRole} />
            <Buttons>
              <Button submit tone="act" disabled={sending}>
                {sending ? "One moment …" : "Give an account"}
              </Button>
            </Buttons>
          </Form>
        </>
      )}
    </Section>
  );
}

function Result(props: { readonly given: Given; readonly name: string }) {
  const { given, name } = props;
  if (given.password === null) {
    return (
      <Notice>
        <p>
          {name} signs in as {given.email} already, with the password they have. Role here: {given.role}.
        </p>
      </Notice>
    );
  }
  return (
    <Notice tone="warn">
      <p>
        Shown this once. Say it or hand it to {name}; they change it under “Me”, “Password”.
      </p>
      <Facts
        items={[
          ["E-mail", given.email],
          ["Password", <code key="password">{given.password}</code>],
        ]}
      />
    </Notice>
  );
}
