/** The answers of the wizard that brings a sheet: what each column is, what each row will do. */
import type { ImportChoices, ImportColumn, ImportPreview, ImportProblem, ImportResult, ImportRow } from "../words/answers.ts";
import { count } from "../words/format.ts";

/** What a kind of sheet is called, where its file goes and where its pages are. */
export interface SheetWords {
  readonly bring: string;
  readonly check: string;
  readonly brought: string;
  /** After `/api/clubs/<club>`: where a file goes; after `/api`: where an import is. */
  readonly post: string;
  readonly one: string;
  /** The page of an import. */
  readonly page: string;
}

export const rosterWords: SheetWords = { bring: "Bring a roster", check: "Check the roster", brought: "Roster brought in", post: "/imports", one: "/imports", page: "/organise/imports" };
export const pastDivesWords: SheetWords = {
  bring: "Bring past dives",
  check: "Check the past dives",
  brought: "Past dives brought in",
  post: "/past-dives/imports",
  one: "/past-dives/imports",
  page: "/organise/past-dives",
};

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

/** Other rows that ask just the same: one answer can be for all of them, where a person says so. */
export function askingTheSame(preview: ImportPreview, row: number, problem: ImportProblem): number[] {
  if (preview.sheet !== "past_dives" || problem.field === null) return [];
  const same = (one: ImportProblem) => one.field === problem.field && one.code === problem.code && one.message === problem.message;
  return preview.rows.filter((one) => one.row !== row && one.action === "blocked" && one.problems.some(same)).map((one) => one.row);
}

/** The choices with one answer given to several rows. */
export function answeredAll(choices: ImportChoices, rows: readonly number[], problem: ImportProblem, value: string): ImportChoices {
  return rows.reduce((all, row) => answered(all, row, problem, value), choices);
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
export function resultSentence(result: Omit<ImportResult, "left_out">): string {
  if (result.dives !== undefined) {
    if (result.dives === 0) return "Nothing changed: every dive in this file was already in the logs, just so.";
    return `${count(result.dives, "dive")} of ${count(result.divers ?? 0, "diver")} brought in${result.same > 0 ? `; ${count(result.same, "row")} as before` : ""}.`;
  }
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
