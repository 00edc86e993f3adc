import { useState } from "preact/hooks";
import { DEFAULT_STEPS } from "../../kernel/boatlog/emergency.ts";
import { server } from "../../sync/server.ts";
import { Button, Buttons, errorAt, Form, Notice, ProblemList, TextField, useSend, type ScreenProps } from "../parts/index.ts";
import { Save, Saved } from "../parts/save.tsx";
import { useDraft } from "../parts/use_draft.ts";
import type { Club } from "../words/answers.ts";
import { whole } from "../words/units.ts";
import { ClubPage } from "./settings_page.tsx";

interface Step {
  readonly say: string;
  readonly after: string;
}

interface Typed {
  readonly contact: string;
  readonly channel: string;
  readonly sign: string;
  readonly oxygen: string;
  readonly steps: readonly Step[];
}

/** What the deck shows when somebody is missing: whom to call, and the club's own steps with their minutes. */
export default function MissingSettings(props: ScreenProps) {
  return (
    <ClubPage {...props} title="If somebody is missing" note="The emergency page of the deck shows this. The coastguard’s word comes first.">
      {(club) => <MissingForm key={club.id} club={club} />}
    </ClubPage>
  );
}

function MissingForm({ club }: { readonly club: Club }) {
  const own = club.settings.lost_diver.map(({ say, after_min: after }) => ({ say, after: after === null ? "" : String(after) }));
  const [typed, setTyped, drop] = useDraft<Typed>(`missing ${club.id}`, {
    contact: club.settings.rescue_contact,
    channel: club.settings.radio_channel,
    sign: club.settings.call_sign,
    oxygen: club.settings.oxygen_l === null ? "" : String(club.settings.oxygen_l),
    steps: own,
  });
  const [saved, setSaved] = useState(false);
  const { sending, problem, send } = useSend();
  const change = (part: Partial<Typed>) => {
    setSaved(false);
    setTyped({ ...typed, ...part });
  };
  const { steps } = typed;
  const wrongOxygen = typed.oxygen.trim() !== "" && !((whole(typed.oxygen) ?? 0) > 0) ? "Whole litres, such as 637." : errorAt(problem, "/oxygen_l");
  const put = (at: number, step: Step) => change({ steps: steps.map((one, n) => (n === at ? step : one)) });
  const save = () => {
    if (wrongOxygen !== undefined || steps.some(({ after }) => wrongMinutes(after) !== undefined)) return;
    send(async () => {
      await server.patch(`/api/clubs/${club.id}`, {
        rescue_contact: typed.contact,
        radio_channel: typed.channel,
        call_sign: typed.sign,
        oxygen_l: typed.oxygen.trim() === "" ? null : whole(typed.oxygen),
        lost_diver: steps.map(({ say, after }) => ({ say, after_min: whole(after) })),
      });
      drop();
      setSaved(true);
    });
  };
  return (
    <Form label="If somebody is missing" onSubmit={save}>
      <ProblemList problem={problem} named={named} />
      <Saved saved={saved} from="Trips that are not ready yet use the steps; the rest reaches every phone that takes a trip from now on." />
      <TextField label="Whom to call" hint="Coastguard, ambulance, chamber: names and numbers as they are to be read." lines={3} value={typed.contact} onChange={(contact) => change({ contact })} error={errorAt(problem, "/rescue_contact")} />
      <TextField label="Radio channel" value={typed.channel} onChange={(channel) => change({ channel })} error={errorAt(problem, "/radio_channel")} />
      <TextField label="Call sign of our radio" value={typed.sign} onChange={(sign) => change({ sign })} error={errorAt(problem, "/call_sign")} />
      <TextField label="Oxygen aboard, litres" hint="Litres of the cylinder times its pressure in bar, full: 3 L at 200 bar are 600." keys="numeric" value={typed.oxygen} onChange={(oxygen) => change({ oxygen })} error={wrongOxygen} />
      <h2>Our steps, in order</h2>
      <p>Minutes count from when the team is overdue. The deck shows each step with the time by which it is to be done.</p>
      {steps.length === 0 && (
        <>
          <Notice>
            <p>No steps of your own yet: the deck shows general ones, to be replaced by yours.</p>
          </Notice>
          <Buttons>
            <Button onPress={() => change({ steps: DEFAULT_STEPS.map(({ say }) => ({ say, after: "" })) })}>Start from the general steps</Button>
          </Buttons>
        </>
      )}
      {steps.map((step, n) => (
        <fieldset key={n} class="card">
          <legend>Step {n + 1}</legend>
          <TextField label={`Step ${n + 1}: what to do`} lines={3} value={step.say} onChange={(say) => put(n, { ...step, say })} error={errorAt(problem, `/lost_diver/${n}/say`)} />
          <TextField
            label={`Step ${n + 1}: minutes from overdue`}
            hint="Left empty: no time set."
            keys="numeric"
            value={step.after}
            onChange={(after) => put(n, { ...step, after })}
            error={wrongMinutes(step.after) ?? errorAt(problem, `/lost_diver/${n}/after_min`)}
          />
          <Buttons>
            {n > 0 && <Button onPress={() => change({ steps: [...steps.slice(0, n - 1), step, ...steps.slice(n - 1, n), ...steps.slice(n + 1)] })}>Move up</Button>}
            <Button onPress={() => change({ steps: steps.filter((_, at) => at !== n) })}>Remove step {n + 1}</Button>
          </Buttons>
        </fieldset>
      ))}
      <Buttons>
        <Button onPress={() => change({ steps: [...steps, { say: "", after: "" }] })}>Add a step</Button>
      </Buttons>
      <Save sending={sending} />
    </Form>
  );
}

function wrongMinutes(text: string): string | undefined {
  if (text.trim() === "") return undefined;
  const value = whole(text);
  return value === null || value > 1440 ? "Whole minutes from 0 to 1440, or leave it empty." : undefined;
}

function named(pointer: string): string | undefined {
  const step = /^\/lost_diver\/(\d+)/.exec(pointer)?.[1];
  return step === undefined ? undefined : `Step ${Number(step) + 1}`;
}
