import { useState } from "preact/hooks";
import { Button, Buttons, CheckField, Form, Notice, ProblemList, SelectField, TextField, useSend } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import type { Club } from "../words/answers.ts";
import { whole } from "../words/units.ts";

type Policy = Readonly<Record<string, unknown>>;

/** What a club decides about who dives with whom; what it leaves empty is off. */
export function TeamRules(props: { readonly club: Club }) {
  const { club } = props;
  const before: Policy = club.settings.policy ?? {};
  const [policy, setPolicy] = useState<Policy>(before);
  const [dives, setDives] = useState(shown(before["least_dives_last_year"]));
  const [first, setFirst] = useState(shown(before["first_exposure_min"]));
  const [saved, setSaved] = useState(false);
  const { sending, problem, send } = useSend();
  const change = (name: string, value: unknown) => {
    setSaved(false);
    setPolicy({ ...policy, [name]: value });
  };
  const numbers: readonly (readonly [string, string])[] = [
    ["least_dives_last_year", dives],
    ["first_exposure_min", first],
  ];
  const wrong = (typed: string) => (typed.trim() !== "" && !((whole(typed) ?? 0) > 0) ? "A whole number, or leave it empty." : undefined);
  const save = () => {
    if (numbers.some(([, typed]) => wrong(typed) !== undefined)) return;
    const said = Object.fromEntries(Object.entries(policy).filter(([name]) => !numbers.some(([one]) => one === name)));
    const typed = Object.fromEntries(numbers.flatMap(([name, text]) => (text.trim() === "" ? [] : [[name, whole(text)]])));
    send(async () => {
      await server.patch(`/api/clubs/${club.id}`, { policy: { ...said, ...typed } });
      setSaved(true);
    });
  };
  return (
    <Form label="Rules for teams" onSubmit={save}>
      <h2>Rules for teams</h2>
      <ProblemList problem={problem} />
      {saved && (
        <Notice>
          <p>Saved. Teams found from now on keep to it.</p>
        </Notice>
      )}
      <SelectField
        label="Teams of three"
        value={shown(policy["threes"]) || "only_when_odd"}
        options={[
          { value: "only_when_odd", label: "only where the number is odd" },
          { value: "never", label: "never" },
          { value: "free", label: "wherever they are better" },
        ]}
        onChange={(value) => change("threes", value)}
      />
      <SelectField
        label="Boat handler, lookout, oxygen, standby"
        value={shown(policy["surface_cover"]) || "shown"}
        options={[
          { value: "shown", label: "may be named" },
          { value: "warn", label: "warn until all are named" },
          { value: "required", label: "no teams until all are named" },
        ]}
        onChange={(value) => change("surface_cover", value)}
      />
      <CheckField
        label="one depth step deeper beside someone certified for it"
        hint="Scientific-diving practice. Not for juniors or supervised divers."
        checked={policy["deeper_beside_certified"] === true}
        onChange={(value) => change("deeper_beside_certified", value)}
      />
      <CheckField label="a guardian may lead their own child’s first time" checked={policy["guardian_may_lead"] === true} onChange={(value) => change("guardian_may_lead", value)} />
      <TextField label="Least dives in the last year" hint="Left empty: not asked. Scientific-diving practice is 12." keys="numeric" value={dives} onChange={setDives} error={wrong(dives)} />
      <TextField label="A first time: not longer than, minutes" hint="For the whole team of whoever takes a step. Left empty: no such limit." keys="numeric" value={first} onChange={setFirst} error={wrong(first)} />
      <Buttons>
        <Button submit disabled={sending}>
          {sending ? "Saving …" : "Save the rules"}
        </Button>
      </Buttons>
    </Form>
  );
}

function shown(value: unknown): string {
  return typeof value === "string" || typeof value === "number" ? String(value) : "";
}
