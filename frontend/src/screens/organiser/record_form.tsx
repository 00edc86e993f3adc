import { useState } from "preact/hooks";
import { Button, CheckField, errorAt, Form, ProblemList, SelectField, TextField, useSend, useServer } from "../parts/index.ts";
import { useDraft } from "../parts/use_draft.ts";
import { server } from "../../sync/server.ts";
import type { DiverRecord, RosterDiver } from "../words/answers.ts";
import { recordBody, recordMistakes, typedRecord, underAge, type TypedRecord } from "./record_words.ts";

/** Mends one record by hand: what the spreadsheet did not have. */
export function RecordForm(props: { readonly diver: DiverRecord; readonly again: () => void }) {
  const { diver } = props;
  const [typed, setTyped, drop] = useDraft<TypedRecord>(`record ${diver.id}`, typedRecord(diver));
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const mistakes = recordMistakes(typed);
  const set = (part: Partial<TypedRecord>) => setTyped({ ...typed, ...part });
  const error = (field: keyof TypedRecord, pointer: string) => (asked ? mistakes[field] : undefined) ?? errorAt(problem, pointer);
  const own = diver.cylinders.find((one) => !one.redundant);
  const save = () => {
    setAsked(true);
    if (Object.keys(mistakes).length > 0) return;
    send(async () => {
      await server.patch(`/api/divers/${diver.id}`, recordBody(typed, diver));
      drop();
      setTyped({ ...typed, fitnessUntil: "" });
      drop();
      props.again();
    });
  };
  return (
    <Form label={`Record of ${diver.name}`} onSubmit={save}>
      <ProblemList problem={problem} />
      <TextField label="Name" value={typed.name} onChange={(name) => set({ name })} error={error("name", "/name")} />
      <TextField label="E-mail" type="email" value={typed.email} onChange={(email) => set({ email })} error={errorAt(problem, "/email")} />
      <TextField label="Telephone" value={typed.phone} onChange={(phone) => set({ phone })} error={errorAt(problem, "/phone")} />
      <TextField label="Certification" value={typed.certification} onChange={(certification) => set({ certification })} error={error("certification", "/certification/name")} />
      <TextField label={`Certified depth, ${typed.depthUnit}`} keys="decimal" value={typed.depth} onChange={(depth) => set({ depth })} error={error("depth", "/certification/depth_hundredths")} />
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
      <TextField label="Certification good until" hint="Only where it runs out." type="date" value={typed.certifiedUntil ?? ""} onChange={(certifiedUntil) => set({ certifiedUntil })} error={errorAt(problem, "/certification/until")} />
      <TextField label="Fitness in date until" hint="Left empty, what is on record stays." type="date" value={typed.fitnessUntil} onChange={(fitnessUntil) => set({ fitnessUntil })} error={errorAt(problem, "/fitness/in_date_until")} />
      <TextField label="Last dive" type="date" value={typed.lastDive} onChange={(lastDive) => set({ lastDive })} error={errorAt(problem, "/stated_last_dive")} />
      <TextField label="Dives in all" keys="numeric" value={typed.dives} onChange={(dives) => set({ dives })} error={error("dives", "/stated_dives")} />
      <TextField label="Breathing rate (RMV), l/min" keys="decimal" value={typed.rmv} onChange={(rmv) => set({ rmv })} error={error("rmv", "/rmv_l_min")} />
      <TextField label={`Usual cylinder, ${own?.volume_unit ?? diver.units.volume}`} keys="decimal" value={typed.volume} onChange={(volume) => set({ volume })} error={error("volume", "/cylinder/volume")} />
      <TextField label={`Its working pressure, ${own?.pressure_unit ?? diver.units.pressure}`} keys="numeric" value={typed.workingPressure} onChange={(workingPressure) => set({ workingPressure })} error={error("workingPressure", "/cylinder/working_pressure")} />
      <TextField label="Born" type="date" value={typed.born} onChange={(born) => set({ born })} error={errorAt(problem, "/born")} />
      {underAge(typed.born, today()) && <Guardians diver={diver} typed={typed} set={set} error={errorAt(problem, "/guardians")} />}
      <TextField label="In an emergency" value={typed.emergency} onChange={(emergency) => set({ emergency })} error={errorAt(problem, "/emergency_contact")} />
      <CheckField label="may lead" checked={typed.canLead} onChange={(canLead) => set({ canLead })} />
      <CheckField
        label="dives under supervision only"
        checked={typed.supervised}
        onChange={(supervised) => set({ supervised })}
      />
      <Button tone="act" submit disabled={sending}>
        {sending ? "Saving …" : "Save the record"}
      </Button>
    </Form>
  );
}

const today = (): string => new Date().toISOString().slice(0, 10);

/** Of somebody under age: without the paper on file nobody places them in a team. */
function Guardians(props: {
  readonly diver: DiverRecord;
  readonly typed: TypedRecord;
  readonly set: (part: Partial<TypedRecord>) => void;
  readonly error: string | undefined;
}) {
  const { diver, typed, set } = props;
  const { answer } = useServer<{ readonly divers: readonly RosterDiver[] }>(`/api/clubs/${diver.club}/divers`);
  const others = answer.state === "here" ? answer.data.divers.filter((one) => one.id !== diver.id) : diver.guardians;
  return (
    <>
      <SelectField
        label="A guardian’s written consent"
        value={typed.consent}
        options={[
          { value: "", label: "not known: no team until it is" },
          { value: "yes", label: "on file" },
          { value: "no", label: "not on file" },
        ]}
        onChange={(consent) => set({ consent: consent as TypedRecord["consent"] })}
      />
      <SelectField
        label="Guardian who dives with the club"
        value={typed.guardian}
        options={[{ value: "", label: "none" }, ...others.map((one) => ({ value: one.id, label: one.name }))]}
        onChange={(guardian) => set({ guardian })}
        {...(props.error === undefined ? {} : { error: props.error })}
      />
    </>
  );
}
