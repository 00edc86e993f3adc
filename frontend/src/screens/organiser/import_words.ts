/** The answers of the roster wizard: what each column is, what each row will do. */
import type { ImportChoices, ImportColumn, ImportPreview, ImportProblem, ImportRow } from "../words/answers.ts";

export interface ColumnChoice {
  readonly index: number;
  readonly field: string | null;
  readonly unit: string | null;
  readonly dates: "day_first" | "month_first" | null;
}

export function choicesOf(columns: readonly ImportColumn[]): ColumnChoice[] {
  return columns.map(({ index, field, unit, dates }) => ({ index, field, unit, dates }));
}

/** What must still be said about the columns before the rows can be read, a sentence each. */
export function openQuestions(choices: readonly ColumnChoice[], preview: ImportPreview): string[] {
  const questions: string[] = [];
  const label = (field: string) => preview.fields.find((one) => one.field === field)?.label ?? field;
  const seen = new Map<string, string>();
  for (const choice of choices) {
    const column = preview.columns.find((one) => one.index === choice.index);
    if (choice.field === null || column === undefined) continue;
    const header = headerOf(column);
    const before = seen.get(choice.field);
    if (before !== undefined) questions.push(`“${before}” and “${header}” are both marked as ${label(choice.field)}: keep one of them.`);
    seen.set(choice.field, header);
    // Only the server has seen every cell: it alone knows whether a column needs its unit or the order of its dates.
    if (column.question === null || choice.field !== column.field) continue;
    if (column.question.code === "unit_not_chosen" && choice.unit === null) questions.push(`“${header}”: choose the unit.`);
    if (column.question.code === "date_order_not_chosen" && choice.dates === null) questions.push(`“${header}”: say whether the day or the month comes first.`);
  }
  return questions;
}

export function headerOf(column: ImportColumn): string {
  return column.header.trim() === "" ? `column ${column.index + 1}` : column.header.trim();
}

/** The choices with one more answer; the server takes them all at once. */
export function answered(choices: ImportChoices, row: number, problem: ImportProblem, value: string): ImportChoices {
  if (value === "leave_out") return leftOut(choices, row, true);
  const key = String(row);
  if (problem.field === null || problem.field === "person") return { ...choices, people: { ...choices.people, [key]: value } };
  return { ...choices, cells: { ...choices.cells, [key]: { ...choices.cells?.[key], [problem.field]: value } } };
}

/** The choices with this row left out, or taken in again. */
export function leftOut(choices: ImportChoices, row: number, out: boolean): ImportChoices {
  const people = Object.fromEntries(Object.entries(choices.people ?? {}).filter(([key, who]) => key !== String(row) || who !== "leave_out"));
  const others = (choices.leave_out ?? []).filter((one) => one !== row);
  return { ...choices, people, leave_out: out ? [...others, row] : others };
}

/** Whether a cell can be typed anew to mend this problem. */
export function canRetype(problem: ImportProblem): boolean {
  return problem.level !== "note" && problem.field !== null && problem.field !== "person";
}

/** Columns that ask something first, then the used ones as in the file, then those that are not used. */
export function sortedColumns(preview: ImportPreview): ImportColumn[] {
  const rank = (column: ImportColumn) => (column.question !== null ? 0 : column.field !== null ? 1 : 2);
  return [...preview.columns].sort((a, b) => rank(a) - rank(b) || a.index - b.index);
}

export type Shown = "mend" | "notes" | "all";

/** Rows that stop the import, rows with something to know, or all. */
export function rowsShown(rows: readonly ImportRow[], shown: Shown): ImportRow[] {
  if (shown === "all") return [...rows];
  return rows.filter((row) => (shown === "mend" ? toMend(row) : row.problems.length > 0));
}

/** Whether this row must be answered, mended or left out before anything is brought in. */
export function toMend(row: ImportRow): boolean {
  return row.action !== "leave_out" && (row.action === "blocked" || row.problems.some((problem) => problem.level !== "note"));
}

export function actionWords(row: ImportRow): string {
  const words = { new: "new", change: "changes", same: "no change", leave_out: "left out", blocked: "to mend" } as const;
  return words[row.action];
}

/** What the import did, in one sentence. */
export function resultSentence(result: { readonly new: number; readonly changed: number; readonly same: number }): string {
  if (result.new === 0 && result.changed === 0) return "Nothing changed: everyone in this file was already here, just so.";
  const parts = [result.new > 0 && `${result.new} added`, result.changed > 0 && `${result.changed} changed`, result.same > 0 && `${result.same} as before`];
  return `${parts.filter(Boolean).join(", ")}.`;
}

/** A value of a cell as a person would write it. */
export function cell(value: unknown): string {
  if (value === null || value === undefined || value === "") return "nothing";
  if (typeof value === "object") {
    const depth = value as { unit?: unknown; hundredths?: unknown };
    if (typeof depth.hundredths === "number") return `${depth.hundredths / 100} ${String(depth.unit)}`;
    return JSON.stringify(value);
  }
  if (typeof value === "boolean") return value ? "yes" : "no";
  return String(value);
}
