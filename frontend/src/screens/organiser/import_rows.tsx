import { useState } from "preact/hooks";
import { Button, Buttons, CheckField, Choice, Empty, Form, List, Notice, ProblemList, Reason, Row, TextField, useSend } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import type { ImportChoices, ImportPreview, ImportProblem, ImportRow } from "../words/answers.ts";
import { count } from "../words/format.ts";
import { actionWords, answeredAll, askingTheSame, canRetype, cell, leftOut, rowsShown, toMend, type Shown } from "./import_words.ts";

interface Props {
  readonly preview: ImportPreview;
  readonly path: string;
  readonly onChange: (next: ImportPreview) => void;
  readonly onColumns: () => void;
}

const PAGE = 50;

/** Every row, what will become of it, what is wrong with it and how to mend that; all or nothing is brought in. */
export function Rows(props: Props) {
  const { preview } = props;
  const mend = preview.rows.filter(toMend).length;
  const noted = preview.rows.filter((row) => row.problems.length > 0).length;
  const [shown, setShown] = useState<Shown>(mend > 0 ? "mend" : noted > 0 ? "notes" : "all");
  const [most, setMost] = useState(PAGE);
  const { sending, problem, send } = useSend();
  const rows = rowsShown(preview.rows, shown);
  const choose = (choices: ImportChoices) =>
    send(async () => {
      const next = await server.patch<ImportPreview>(props.path, { choices: { ...choices } });
      if (next.rows.filter(toMend).length === 0 && shown === "mend") setShown("all");
      props.onChange(next);
    });
  const apply = () =>
    send(async () => {
      await server.post(`${props.path}/apply`, {});
      props.onChange(await server.get<ImportPreview>(props.path));
    });
  const number = (name: string) => preview.counts[name] ?? 0;
  return (
    <>
      <dl class="desk-counts">
        <Count label="new" value={number("new")} />
        {preview.sheet !== "past_dives" && <Count label="changed" value={number("change")} />}
        <Count label="as before" value={number("same")} />
        <Count label="left out" value={number("leave_out")} />
        <Count label="to mend" value={mend} warn={mend > 0} />
      </dl>
      <Button tone="quiet" onPress={props.onColumns} disabled={sending}>
        Back to the columns
      </Button>
      <ProblemList problem={problem} />
      {mend > 0 && (
        <Notice tone="warn">
          <p>
            {count(mend, "row")} must be answered, mended in the spreadsheet, or left out. Until then nothing is brought in.
          </p>
        </Notice>
      )}
      <Choice<Shown>
        label="Show"
        value={shown}
        options={[
          { value: "mend", label: `To mend (${mend})` },
          { value: "notes", label: `With a remark (${noted})` },
          { value: "all", label: `All rows (${preview.rows.length})` },
        ]}
        onChange={(next) => {
          setShown(next);
          setMost(PAGE);
        }}
      />
      {rows.length === 0 ? (
        <Empty>{shown === "mend" ? "Nothing left to mend." : "No such row."}</Empty>
      ) : (
        <List label="Rows">
          {rows.slice(0, most).map((row) => (
            <RowLine key={row.row} row={row} busy={sending} preview={preview} choose={choose} />
          ))}
        </List>
      )}
      {rows.length > most && <Button onPress={() => setMost(most + PAGE)}>{`Show ${Math.min(PAGE, rows.length - most)} more of ${rows.length}`}</Button>}
      <div class="desk-foot">
        <Buttons>
          <Button tone="act" size="large" onPress={apply} disabled={sending || !preview.can_apply}>
            {sending ? "One moment …" : preview.can_apply ? importLabel(preview) : `${count(mend, "row")} still to mend`}
          </Button>
        </Buttons>
      </div>
    </>
  );
}

function importLabel(preview: ImportPreview): string {
  const brought = (preview.counts["new"] ?? 0) + (preview.counts["change"] ?? 0);
  return brought === 0 ? "Bring in (nothing changes)" : `Bring in ${count(brought, preview.sheet === "past_dives" ? "row" : "diver")}`;
}

function Count(props: { readonly label: string; readonly value: number; readonly warn?: boolean }) {
  return (
    <div class={props.warn ? "warn" : ""}>
      <dt>{props.label}</dt>
      <dd>{props.value}</dd>
    </div>
  );
}

function RowLine(props: { readonly row: ImportRow; readonly preview: ImportPreview; readonly busy: boolean; readonly choose: (choices: ImportChoices) => void }) {
  const { row, choose } = props;
  const label = (field: string | null) => (field === null || field === "person" ? null : (props.preview.fields.find((one) => one.field === field)?.label ?? field));
  const { choices } = props.preview;
  return (
    <Row title={row.name === "" ? "(no name)" : row.name} note={`row ${row.row}`} side={actionWords(row)} {...(toMend(row) ? { tone: "stop" as const } : row.problems.length > 0 ? { tone: "warn" as const } : {})}>
      <div class="desk-row">
        {row.says !== undefined && row.says !== "" && <p>{row.says}</p>}
        {row.changes.length > 0 && row.action === "change" && (
          <ul>
            {row.changes.map((change) => (
              <li key={change.field}>
                {label(change.field)}: {cell(change.from)} → <b>{cell(change.to)}</b>
              </li>
            ))}
          </ul>
        )}
        {row.problems
          .filter((problem) => problem.level !== "note")
          .map((problem, n) => (
            <ProblemLine key={n} problem={problem} label={label(problem.field)} row={row} others={askingTheSame(props.preview, row.row, problem)} choices={choices} busy={props.busy} choose={choose} />
          ))}
        <Notes notes={row.problems.filter((problem) => problem.level === "note")} folded={toMend(row)} label={label} />
        {row.action === "leave_out" ? (
          <Button tone="quiet" disabled={props.busy} label={`Take it in again: row ${row.row}`} onPress={() => choose(leftOut(choices, row.row, false))}>
            Take it in again
          </Button>
        ) : (
          row.problems.length > 0 && (
            <Button tone="quiet" disabled={props.busy} label={`Leave this row out: row ${row.row}`} onPress={() => choose(leftOut(choices, row.row, true))}>
              Leave this row out
            </Button>
          )
        )}
      </div>
    </Row>
  );
}

function ProblemText(props: { readonly problem: ImportProblem; readonly label: string | null }) {
  const { problem, label } = props;
  return (
    <p>
      {label !== null && !problem.message.startsWith(label) && <b>{label}: </b>}
      {problem.message} <span class="desk-remedy">{problem.remedy}</span>
    </p>
  );
}

/** What is worth knowing about a row but stops nothing. */
function Notes(props: { readonly notes: readonly ImportProblem[]; readonly folded: boolean; readonly label: (field: string | null) => string | null }) {
  if (props.notes.length === 0) return null;
  const lines = (
    <ul>
      {props.notes.map((note, n) => (
        <li key={n}>
          <ProblemText problem={note} label={props.label(note.field)} />
        </li>
      ))}
    </ul>
  );
  return props.folded ? <Reason title={count(props.notes.length, "remark")}>{lines}</Reason> : lines;
}

function ProblemLine(props: {
  readonly problem: ImportProblem;
  readonly label: string | null;
  readonly row: ImportRow;
  /** The rows that ask just the same. */
  readonly others: readonly number[];
  readonly choices: ImportChoices;
  readonly busy: boolean;
  readonly choose: (choices: ImportChoices) => void;
}) {
  const { problem, row, others } = props;
  const [typed, setTyped] = useState("");
  const [all, setAll] = useState(false);
  const rows = all ? [row.row, ...others] : [row.row];
  const options = (problem.options ?? []).filter((option) => option.value !== "leave_out");
  const answer = (value: string) => props.choose(answeredAll(props.choices, rows, problem, value));
  return (
    <div class="desk-problem">
      <ProblemText problem={problem} label={props.label} />
      {others.length > 0 && <CheckField label={`The same answer for ${count(others.length, "other row")} that ${others.length === 1 ? "asks" : "ask"} this`} checked={all} onChange={setAll} />}
      {options.length > 0 && (
        <Buttons>
          {options.map((option) => (
            <Button key={option.value} disabled={props.busy} label={`${option.label}: row ${row.row}`} onPress={() => answer(option.value)}>
              {option.label}
            </Button>
          ))}
        </Buttons>
      )}
      {all && (
        <Button tone="quiet" disabled={props.busy} onPress={() => answer("leave_out")}>
          {`Leave all ${rows.length} rows out`}
        </Button>
      )}
      {canRetype(problem) && options.length === 0 && (
        <Form label={`Row ${row.row}, ${props.label ?? ""}`} onSubmit={() => typed.trim() !== "" && answer(typed.trim())}>
          <div class="desk-inline">
            <TextField label={`${props.label ?? "Value"} in row ${row.row}`} value={typed} onChange={setTyped} />
            <Button submit disabled={props.busy}>
              Use this
            </Button>
          </div>
        </Form>
      )}
    </div>
  );
}
