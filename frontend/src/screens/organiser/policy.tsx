import { useState } from "preact/hooks";
import { CheckField, Empty, errorAt, Form, Page, ProblemList, SelectField, TextField, useSend, useServer, type ScreenProps } from "../parts/index.ts";
import { Save, Saved } from "../parts/save.tsx";
import { Loaded } from "../parts/loaded.tsx";
import { server } from "../../sync/server.ts";
import { clubsOf, type Club } from "../words/answers.ts";
import { POLICY_GROUPS, type PolicyField, type PolicyGroup } from "./policy_fields.ts";
import { policyBody, policyMistake, ROLE_PAIRS, typedPolicy, unitOf, usualText } from "./policy_words.ts";

/** One group of a club's rules for teams. */
export default function PolicyScreen(props: ScreenProps) {
  const id = props.params["club"] ?? "";
  const group = POLICY_GROUPS.find((one) => one.id === props.params["group"]);
  const { answer, again } = useServer<Readonly<Record<string, unknown>>>("/api/me");
  return (
    <Page title={group?.title ?? "Rules for teams"} back={`/organise/clubs/${id}/settings`} backLabel="Club settings" {...(group === undefined ? {} : { note: group.about })}>
      <Loaded answer={answer} again={again}>
        {(me) => {
          const club = clubsOf(me).find((one) => one.id === id);
          if (club === undefined || !club.may.manage_club) return <Empty>Only an organiser of the club changes its rules.</Empty>;
          return group === undefined ? <Empty>There are no such rules.</Empty> : <GroupForm key={group.id} club={club} group={group} />;
        }}
      </Loaded>
    </Page>
  );
}

function GroupForm(props: { readonly club: Club; readonly group: PolicyGroup }) {
  const { club, group } = props;
  const unit = club.units.depth;
  const [before, setBefore] = useState(club.settings.policy ?? {});
  const [typed, setTyped] = useState(typedPolicy(group, before, unit));
  const [asked, setAsked] = useState(false);
  const [saved, setSaved] = useState(false);
  const { sending, problem, send } = useSend();
  const wrong = (field: PolicyField) => policyMistake(field, typed[field.name] ?? "");
  const save = () => {
    setAsked(true);
    if (group.fields.some((field) => wrong(field) !== undefined)) return;
    const policy = policyBody(group, typed, before);
    send(async () => {
      await server.patch(`/api/clubs/${club.id}`, { policy });
      setBefore(policy);
      setSaved(true);
    });
  };
  return (
    <Form label={group.title} onSubmit={save}>
      <ProblemList problem={problem} />
      {group.fields.map((field) => (
        <Field
          key={field.name}
          field={field}
          unit={unit}
          value={typed[field.name] ?? ""}
          error={(asked ? wrong(field) : undefined) ?? errorAt(problem, `/policy/${field.name}`)}
          onChange={(value) => {
            setSaved(false);
            setTyped({ ...typed, [field.name]: value });
          }}
        />
      ))}
      <Saved saved={saved} from="Teams found from now on keep to it." />
      <Save sending={sending} />
    </Form>
  );
}

function Field(props: { readonly field: PolicyField; readonly unit: "m" | "ft"; readonly value: string; readonly error: string | undefined; readonly onChange: (value: string) => void }) {
  const { field, value, onChange } = props;
  const hint = field.hint === undefined ? {} : { hint: field.hint };
  if (field.kind === "choice") return <SelectField label={field.label} value={value} options={field.options} onChange={onChange} {...hint} />;
  if (field.kind === "yes") return <CheckField label={field.label} checked={value === "yes"} onChange={(yes) => onChange(yes ? "yes" : "")} {...hint} />;
  if (field.kind === "roles") return <Roles {...props} />;
  const unit = unitOf(field, props.unit);
  return (
    <TextField
      label={unit === "" ? field.label : `${field.label}, ${unit}`}
      hint={[usualText(field, props.unit), field.hint].filter(Boolean).join(" ")}
      keys="decimal"
      value={value}
      onChange={onChange}
      error={props.error}
    />
  );
}

/** Which two roles one person may hold; groups of more that were set elsewhere stay. */
function Roles(props: { readonly field: PolicyField; readonly value: string; readonly onChange: (value: string) => void }) {
  const held = props.value.split(" ").filter(Boolean);
  const set = (key: string, both: boolean) => props.onChange((both ? [...held, key] : held.filter((one) => one !== key)).join(" "));
  return (
    <fieldset class="field">
      <legend>{props.field.label}</legend>
      {ROLE_PAIRS.map((pair) => (
        <CheckField key={pair.key} label={pair.label} checked={held.includes(pair.key)} onChange={(both) => set(pair.key, both)} />
      ))}
    </fieldset>
  );
}
