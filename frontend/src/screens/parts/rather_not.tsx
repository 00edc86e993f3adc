import { useState } from "preact/hooks";
import { server } from "../../sync/server.ts";
import type { RatherNot } from "../words/answers_teams.ts";
import { Button, Buttons } from "./button.tsx";
import { CheckField, Form } from "./field.tsx";
import { Loaded } from "./loaded.tsx";
import { Empty, Notice, Reason } from "./page.tsx";
import { ProblemList } from "./problem.tsx";
import { useSend, useServer } from "./use_server.ts";

/** With whom somebody would rather not dive. Never kept as a draft on the device: others may use it. */
export function RatherNotForm(props: { readonly trip: string; readonly person: string; readonly own: boolean }) {
  const path = `/api/trips/${props.trip}/bookings/${props.person}/rather-not`;
  const { answer, again } = useServer<RatherNot>(path);
  return (
    <Loaded answer={answer} again={again}>
      {(kept) => <Names kept={kept} path={path} own={props.own} />}
    </Loaded>
  );
}

function Names(props: { readonly kept: RatherNot; readonly path: string; readonly own: boolean }) {
  const { kept, own } = props;
  const [about, setAbout] = useState<ReadonlySet<string>>(new Set(kept.about));
  const [saved, setSaved] = useState(false);
  const { sending, problem, send } = useSend();
  const set = (id: string, rather: boolean) => {
    setSaved(false);
    setAbout(new Set(rather ? [...about, id] : [...about].filter((one) => one !== id)));
  };
  const save = () =>
    send(async () => {
      await server.put(props.path, { about: [...about] });
      setSaved(true);
    });
  if (kept.choices.length === 0) return <Empty>No other diver is on this trip yet.</Empty>;
  return (
    <Form label="Rather not with" onSubmit={save}>
      <ProblemList problem={problem} />
      <p>{own ? "Tick whom you would rather not dive with. No reason is asked." : `Tick whom ${kept.name} would rather not dive with. No reason is asked.`}</p>
      {kept.choices.map((one) => (
        <CheckField key={one.id} label={one.name} checked={about.has(one.id)} onChange={(rather) => set(one.id, rather)} />
      ))}
      {saved && (
        <Notice>
          <p>Saved. It counts when teams are next found.</p>
        </Notice>
      )}
      <Buttons>
        <Button tone="act" submit disabled={sending}>
          {sending ? "Saving …" : "Save"}
        </Button>
      </Buttons>
      <Reason title="Who sees this">
        <p>{own ? "You and the organisers of your club." : `${kept.name} and the organisers of the club.`} No page, plan, file or answer shows it to anybody else, leaders and the person named included. It is kept unless somebody would lose the dive by it; people may still decide otherwise by hand.</p>
      </Reason>
    </Form>
  );
}
