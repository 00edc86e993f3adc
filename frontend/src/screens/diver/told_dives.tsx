import { useState } from "preact/hooks";
import { server } from "../../sync/server.ts";
import { Button, Buttons, CheckField, LinkButton, List, ProblemList, Row, Section, useSend, useServer } from "../parts/index.ts";
import { dayAndTime, minutes } from "../words/format.ts";
import { questionText } from "../words/questions.ts";
import { showDepth, type System } from "../words/units.ts";

interface Told {
  readonly id: string;
  readonly trip: string;
  readonly down_at: string;
  readonly surfaced_at: string | null;
  readonly bottom_time_s: number | null;
  readonly depth: { readonly unit: "m" | "ft"; readonly hundredths: number } | null;
  readonly found: { readonly current_kn: string | null; readonly visibility_m: string | null; readonly water_temp_c: string | null };
  readonly effort: number | null;
  readonly pressure: { readonly unit: string; readonly start: number | null; readonly end: number | null };
  readonly rmv_l_min: string | null;
  readonly task: { readonly kind: string; readonly level: number } | null;
  readonly task_done: boolean;
  readonly questions: readonly string[];
  readonly confirmed_at: string | null;
}

/** The diver's dives as boat logs tell them: confirmed with one tap, nothing typed twice. */
export function ToldDives(props: { readonly diver: string; readonly zone: string; readonly system: System }) {
  const path = `/api/divers/${props.diver}/told-dives`;
  const { answer, again } = useServer<{ readonly dives: readonly Told[] }>(path);
  if (answer.state !== "here" || answer.data.dives.length === 0) return null;
  return (
    <Section title="Dives from the boat">
      <List label="Dives from the boat">
        {answer.data.dives.map((dive) => (
          <ToldDive key={dive.id} dive={dive} path={path} zone={props.zone} system={props.system} again={again} />
        ))}
      </List>
    </Section>
  );
}

function ToldDive(props: { readonly dive: Told; readonly path: string; readonly zone: string; readonly system: System; readonly again: () => void }) {
  const { dive } = props;
  const [done, setDone] = useState(dive.task_done);
  const { sending, problem, send } = useSend();
  const confirm = () =>
    send(async () => {
      await server.post(`${props.path}/${dive.id}/confirm`, { task_done: done });
      props.again();
    });
  const depth = dive.depth === null ? "depth not known" : showDepth(dive.depth, props.system);
  const time = dive.bottom_time_s === null ? "time not known" : `${minutes(dive.bottom_time_s)} min`;
  const open = dive.confirmed_at === null;
  return (
    <Row title={`${depth}, ${time}`} note={dayAndTime(Date.parse(dive.down_at), props.zone)} side={open ? "to confirm" : "confirmed"}>
      {foundWords(dive).map((words) => (
        <p key={words}>{words}</p>
      ))}
      {dive.questions.map((code) => (
        <p key={code}>{questionText(code)}. Two people of the trip can settle it.</p>
      ))}
      {open && dive.task !== null && <CheckField label={`The task was done: ${dive.task.kind}`} checked={done} onChange={setDone} />}
      <ProblemList problem={problem} />
      <Buttons>
        {open && (
          <Button tone="act" disabled={sending} onPress={confirm}>
            It was like this
          </Button>
        )}
        {dive.depth !== null && (
          <LinkButton path={`/me/trips/${dive.trip}/depths`} tone="quiet">
            How the depth was told
          </LinkButton>
        )}
      </Buttons>
    </Row>
  );
}

/** What was found and read at sea, a line each; nothing where nothing was entered. */
function foundWords(dive: Told): readonly string[] {
  const { found, effort, pressure, rmv_l_min: rate } = dive;
  const sea = [
    found.current_kn === null ? "" : `current ${Number(found.current_kn)} kn`,
    found.visibility_m === null ? "" : `sight ${Number(found.visibility_m)} m`,
    found.water_temp_c === null ? "" : `water ${Number(found.water_temp_c)} °C`,
    effort === null ? "" : `effort ${effort} of 5`,
  ].filter((text) => text !== "");
  const { unit, start, end } = pressure;
  const gauge = start === null && end === null ? [] : [`Gauge ${start ?? "not read"} to ${end ?? "not read"}${unit === "" ? "" : ` ${unit}`}`];
  const breathed = rate === null ? [] : [`You breathed at least ${Number(rate)} L a minute: more, if you were not at the deepest all the time.`];
  return [...(sea.length === 0 ? [] : [`Found: ${sea.join(", ")}`]), ...gauge, ...breathed];
}
