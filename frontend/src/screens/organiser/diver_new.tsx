import { useState } from "preact/hooks";
import { Button, Buttons, Empty, errorAt, Form, goInstead, Page, ProblemList, SelectField, TextField, useSend, type ScreenProps } from "../parts/index.ts";
import { useDraft } from "../parts/use_draft.ts";
import { server } from "../../sync/server.ts";
import { clubsOf, type Club, type DiverRecord } from "../words/answers.ts";
import { hundredths } from "../words/units.ts";

/** One diver more, without a spreadsheet: a name is enough, the record then says what is missing. */
export default function DiverNew(props: ScreenProps) {
  const club = clubsOf(props.session?.me).find((one) => one.id === props.params["club"]);
  return (
    <Page title="Add one diver" back={`/organise/clubs/${props.params["club"] ?? ""}/roster`} backLabel="Roster" note="What else is needed for planning is typed on the record, which opens next.">
      {club?.may.import_roster ? <NewForm club={club} /> : <Empty>Only an organiser of the club adds to its roster.</Empty>}
    </Page>
  );
}

const NOTHING = { name: "", email: "", certification: "", depth: "", evidence: "said" };

function NewForm(props: { readonly club: Club }) {
  const { club } = props;
  const unit = club.units.depth;
  const [typed, setTyped, drop] = useDraft(`new diver ${club.id}`, NOTHING);
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const set = (part: Partial<typeof NOTHING>) => setTyped({ ...typed, ...part });
  const deep = hundredths(typed.depth);
  const mistakes = {
    name: typed.name.trim() === "" ? "Give the name that the roll call uses." : undefined,
    depth: typed.depth.trim() !== "" && (deep ?? 0) === 0 ? "A depth such as 30, or leave it empty." : undefined,
    certification: typed.depth.trim() !== "" && typed.certification.trim() === "" ? "Say which certification goes this deep." : undefined,
  };
  const add = () => {
    setAsked(true);
    if (Object.values(mistakes).some((one) => one !== undefined)) return;
    send(async () => {
      const certification = { name: typed.certification.trim(), evidence: typed.evidence, ...(typed.depth.trim() === "" ? {} : { depth_hundredths: deep, depth_unit: unit }) };
      const diver = await server.post<DiverRecord>(`/api/clubs/${club.id}/divers`, {
        name: typed.name.trim(),
        ...(typed.email.trim() === "" ? {} : { email: typed.email.trim() }),
        ...(certification.name === "" ? {} : { certification }),
      });
      drop();
      goInstead(`/organise/divers/${diver.id}`);
    });
  };
  return (
    <Form label="Add one diver" onSubmit={add}>
      <ProblemList problem={problem} named={(pointer) => ({ "/name": "Name", "/email": "E-mail" })[pointer]} />
      <TextField label="Name" value={typed.name} onChange={(name) => set({ name })} error={(asked ? mistakes.name : undefined) ?? errorAt(problem, "/name")} />
      <TextField label="E-mail" hint="Needed for an account only." type="email" value={typed.email} onChange={(email) => set({ email })} error={errorAt(problem, "/email")} />
      <TextField label="Certification" value={typed.certification} onChange={(certification) => set({ certification })} error={asked ? mistakes.certification : undefined} />
      <TextField label={`Certified depth, ${unit}`} keys="decimal" value={typed.depth} onChange={(depth) => set({ depth })} error={asked ? mistakes.depth : undefined} />
      <SelectField
        label="How it is known"
        value={typed.evidence}
        options={[
          { value: "said", label: "said" },
          { value: "shown", label: "shown" },
          { value: "seen", label: "card seen" },
        ]}
        onChange={(evidence) => set({ evidence })}
      />
      <Buttons>
        <Button tone="act" submit disabled={sending}>
          {sending ? "Adding …" : "Add the diver"}
        </Button>
      </Buttons>
    </Form>
  );
}
