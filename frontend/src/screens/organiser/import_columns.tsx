import { useState } from "preact/hooks";
import { Button, Buttons, Notice, ProblemList, SelectField, useSend } from "../parts/index.ts";
import { useDraft } from "../parts/use_draft.ts";
import { server } from "../../sync/server.ts";
import type { ImportColumn, ImportPreview } from "../words/answers.ts";
import { choicesOf, headerOf, openQuestions, sortedColumns, type ColumnChoice } from "./import_words.ts";

interface Props {
  readonly preview: ImportPreview;
  readonly path: string;
  readonly onChange: (next: ImportPreview) => void;
}

/** What each column holds, its unit and the order of its dates: guessed from the header, confirmed by a person. */
export function Columns(props: Props) {
  const { preview } = props;
  const [choices, setChoices, drop] = useDraft<ColumnChoice[]>(`columns ${preview.id}`, choicesOf(preview.columns));
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const open = openQuestions(choices, preview);
  const set = (index: number, part: Partial<ColumnChoice>) => setChoices(choices.map((choice) => (choice.index === index ? { ...choice, ...part } : choice)));
  const confirm = () => {
    setAsked(true);
    if (open.length > 0) return;
    send(async () => {
      const next = await server.patch<ImportPreview>(props.path, { columns: choices, confirm_all: true });
      drop();
      props.onChange(next);
    });
  };
  return (
    <>
      <ProblemList problem={problem} />
      {asked && open.length > 0 && (
        <Notice tone="stop">
          <strong>Still to answer</strong>
          <ul>
            {open.map((question) => (
              <li key={question}>{question}</li>
            ))}
          </ul>
        </Notice>
      )}
      <ul class="desk-cards" aria-label="Columns">
        {sortedColumns(preview).map((column) => (
          <ColumnCard key={column.index} column={column} preview={preview} choice={choices.find((one) => one.index === column.index)} set={(part) => set(column.index, part)} />
        ))}
      </ul>
      <div class="desk-foot">
        <Buttons>
          <Button tone="act" size="large" onPress={confirm} disabled={sending}>
            {sending ? "Reading the rows …" : "These columns are right"}
          </Button>
        </Buttons>
      </div>
    </>
  );
}

function ColumnCard(props: {
  readonly column: ImportColumn;
  readonly preview: ImportPreview;
  readonly choice: ColumnChoice | undefined;
  readonly set: (part: Partial<ColumnChoice>) => void;
}) {
  const { column, choice } = props;
  if (choice === undefined) return null;
  const header = headerOf(column);
  const asks = column.question !== null;
  return (
    <li class={asks ? "desk-card asks" : "desk-card"}>
      <h2>
        {header} <span class="desk-holds">→ {holdsWords(choice, props.preview)}</span>
      </h2>
      <p class="desk-examples">{column.examples.length === 0 ? "empty" : column.examples.slice(0, 4).join(" · ")}</p>
      {column.question !== null && (
        <p class="desk-asks">
          {column.question.message} {column.question.remedy}
        </p>
      )}
      <details class="reason" open={asks}>
        <summary aria-label={`Change: ${header}`}>Change</summary>
        <div>
          <ColumnFields {...props} choice={choice} header={header} />
        </div>
      </details>
    </li>
  );
}

function ColumnFields(props: { readonly column: ImportColumn; readonly preview: ImportPreview; readonly choice: ColumnChoice; readonly header: string; readonly set: (part: Partial<ColumnChoice>) => void }) {
  const { column, choice, header, preview } = props;
  const field = preview.fields.find((one) => one.field === choice.field);
  const units = field?.units ?? [];
  // Dates such as 2027-04-03 have one reading only: then there is nothing to say about their order.
  const order = field?.takes === "date" && (choice.dates !== null || column.question?.code === "date_order_not_chosen" || choice.field !== column.field);
  return (
    <>
      <SelectField
        label={`“${header}” holds`}
        value={choice.field ?? ""}
        options={[{ value: "", label: "not used" }, ...preview.fields.map((one) => ({ value: one.field, label: one.label }))]}
        onChange={(value) => {
          const next = preview.fields.find((one) => one.field === value);
          const keep = choice.unit !== null && (next?.units ?? []).includes(choice.unit);
          props.set({ field: value === "" ? null : value, unit: keep ? choice.unit : null, dates: next?.takes === "date" ? choice.dates : null });
        }}
      />
      {units.length > 0 && (
        <SelectField
          label={`Numbers in “${header}” with no unit are`}
          value={choice.unit ?? ""}
          options={[{ value: "", label: "not said" }, ...units.map((unit) => ({ value: unit, label: unitWords[unit] ?? unit }))]}
          onChange={(value) => props.set({ unit: value === "" ? null : value })}
        />
      )}
      {order && (
        <SelectField
          label={`In “${header}” 03/04/2027 means`}
          value={choice.dates ?? ""}
          options={[
            { value: "", label: "not said" },
            { value: "day_first", label: "3 April (day first)" },
            { value: "month_first", label: "March 4 (month first)" },
          ]}
          onChange={(value) => props.set({ dates: value === "day_first" || value === "month_first" ? value : null })}
        />
      )}
    </>
  );
}

/** "Certified depth, metres", "Born, day first", "not used". */
function holdsWords(choice: ColumnChoice, preview: ImportPreview): string {
  if (choice.field === null) return "not used";
  const label = preview.fields.find((one) => one.field === choice.field)?.label ?? choice.field;
  const unit = choice.unit === null ? "" : `, ${unitWords[choice.unit] ?? choice.unit}`;
  const dates = choice.dates === null ? "" : choice.dates === "day_first" ? ", day first" : ", month first";
  return `${label}${unit}${dates}`;
}

const unitWords: Readonly<Record<string, string>> = {
  m: "metres",
  ft: "feet",
  bar: "bar",
  psi: "psi",
  l: "litres (water capacity)",
  cuft: "cubic feet (at working pressure)",
  "l/min": "litres a minute",
  "cuft/min": "cubic feet a minute",
  kn: "knots",
  "m/s": "metres a second",
  C: "°C",
  F: "°F",
};
