import { useState } from "preact/hooks";
import { server } from "../../sync/server.ts";
import { mistakesInPast, pastBody, pastLine, type Experience, type TypedPast } from "../words/past_dives.ts";
import { depthUnit, type System } from "../words/units.ts";
import { Button } from "./button.tsx";
import { CheckField, Form, SelectField, TextField } from "./field.tsx";
import { List, Row } from "./list.tsx";
import { Loaded } from "./loaded.tsx";
import { Empty, Reason, Section } from "./page.tsx";
import { errorAt, ProblemList } from "./problem.tsx";
import { useDraft } from "./use_draft.ts";
import { useSend, useServer } from "./use_server.ts";

/** What a diver has done, each dive with everything it asked at the same time; and a way to add to it. */
export function PastDives(props: { readonly diver: string; readonly name: string; readonly system: System; readonly unit: "m" | "ft"; readonly mayAdd: boolean }) {
  const { answer, again } = useServer<Experience>(`/api/divers/${props.diver}/experience`);
  return (
    <Section title="Past dives">
      <Loaded answer={answer} again={again}>
        {(known) =>
          known.done === undefined || known.done.length === 0 ? (
            <Empty>None on record. Teams need to know what was done together: how deep, in what current, with which task.</Empty>
          ) : (
            <List label="Past dives">
              {known.done.map((dive, n) => (
                <Row key={n} title={pastLine(dive, props.unit, props.system)} note={`latest ${dive.on}`} side={`${dive.count} ×`} />
              ))}
            </List>
          )
        }
      </Loaded>
      {props.mayAdd && (
        <details class="reason">
          <summary>Add past dives</summary>
          <div>
            <AddPast {...props} again={again} />
          </div>
        </details>
      )}
      <Reason title="Why each dive by itself">
        <p>Who has been deep, and who has done the task, has not therefore done both at once. Dives alike may be added together, with how many there were and the day of the latest.</p>
      </Reason>
    </Section>
  );
}

function AddPast(props: { readonly diver: string; readonly name: string; readonly system: System; readonly again: () => void }) {
  const unit = depthUnit(props.system);
  const empty: TypedPast = { depth: "", count: "1", on: "", current: "", visibility: "", temperature: "", night: false, task: "", level: "3", siteKind: "" };
  const [typed, setTyped, drop] = useDraft<TypedPast>(`past ${props.diver}`, empty);
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const mistakes = mistakesInPast(typed);
  const set = (part: Partial<TypedPast>) => setTyped({ ...typed, ...part });
  const error = (field: keyof TypedPast, pointer: string) => (asked ? mistakes[field] : undefined) ?? errorAt(problem, pointer);
  const add = () => {
    setAsked(true);
    if (Object.keys(mistakes).length > 0) return;
    send(async () => {
      await server.post(`/api/divers/${props.diver}/dives`, pastBody(typed, unit));
      drop();
      setTyped(empty);
      setAsked(false);
      props.again();
    });
  };
  return (
    <Form label={`Past dives of ${props.name}`} onSubmit={add}>
      <ProblemList problem={problem} />
      <TextField label={`Deepest point, ${unit}`} keys="decimal" value={typed.depth} onChange={(depth) => set({ depth })} error={error("depth", "/depth")} />
      <TextField label="How many dives like this" keys="numeric" value={typed.count} onChange={(count) => set({ count })} error={error("count", "/count")} />
      <TextField label="Day of the latest" type="date" value={typed.on} onChange={(on) => set({ on })} error={error("on", "/on")} />
      <TextField label="Current, knots" hint="0 for none; leave empty if it is not known: then it counts for no current." keys="decimal" value={typed.current} onChange={(current) => set({ current })} error={error("current", "/current_kn")} />
      <TextField label="Visibility, metres" keys="decimal" value={typed.visibility} onChange={(visibility) => set({ visibility })} error={error("visibility", "/visibility_m")} />
      <TextField label="Water temperature, °C" keys="decimal" value={typed.temperature} onChange={(temperature) => set({ temperature })} error={error("temperature", "/water_temp_c")} />
      <CheckField label="after dark" checked={typed.night} onChange={(night) => set({ night })} />
      <TextField label="Kind of site" hint="Such as wreck, wall; leave empty for none of note." value={typed.siteKind ?? ""} onChange={(siteKind) => set({ siteKind })} error={error("siteKind", "/site_kind")} />
      <TextField label="Task" hint="What was done, such as survey; leave empty for none." value={typed.task} onChange={(task) => set({ task })} error={error("task", "/task")} />
      {typed.task.trim() !== "" && (
        <SelectField
          label="Level"
          value={typed.level}
          options={[
            { value: "1", label: "1 watched it" },
            { value: "2", label: "2 helped" },
            { value: "3", label: "3 did it supervised" },
            { value: "4", label: "4 did it alone" },
            { value: "5", label: "5 led others" },
          ]}
          onChange={(level) => set({ level })}
        />
      )}
      <Button submit disabled={sending}>
        {sending ? "Saving …" : "Add these dives"}
      </Button>
    </Form>
  );
}
