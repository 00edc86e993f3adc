import { describe, expect, it } from "vitest";
import { answeredAll, askingTheSame, resultSentence } from "../src/screens/organiser/import_words.ts";
import type { ImportPreview, ImportProblem, ImportRow } from "../src/screens/words/answers.ts";

const which: ImportProblem = { field: "person", level: "question", code: "which_of_them", message: "The club has 2 divers of the name Ana Roque.", remedy: "Say which.", options: [{ value: "a1", label: "Ana, born 1988" }] };
const row = (number: number, problems: readonly ImportProblem[], action: ImportRow["action"] = "blocked"): ImportRow => ({ row: number, name: "Ana Roque", action, diver: null, changes: [], problems, says: "2026-05-12 · 18 m" });
const preview = (rows: readonly ImportRow[], sheet: "roster" | "past_dives" = "past_dives"): ImportPreview => ({
  id: "i",
  club: "c",
  sheet,
  file_name: "dives.csv",
  state: "preview",
  read: { format: "csv", sheet: null },
  fields: [],
  columns: [],
  choices: {},
  rows,
  counts: {},
  confirmed: true,
  can_apply: false,
  result: null,
});

describe("one answer for several rows of past dives", () => {
  const other = { ...which, message: "The club has 2 divers of the name Tom Hallow." };
  const rows = [row(2, [which]), row(3, [which]), row(4, [other]), row(5, [which], "leave_out"), row(6, [])];
  it("finds the rows that ask just the same, and none for a roster", () => {
    expect(askingTheSame(preview(rows), 2, which)).toEqual([3]);
    expect(askingTheSame(preview(rows), 4, other)).toEqual([]);
    expect(askingTheSame(preview(rows, "roster"), 2, which)).toEqual([]);
  });
  it("answers them all, and leaves them all out", () => {
    expect(answeredAll({ leave_out: [9] }, [2, 3], which, "a1")).toEqual({ leave_out: [9], people: { "2": "a1", "3": "a1" } });
    expect(answeredAll({}, [2, 3], which, "leave_out").leave_out).toEqual([2, 3]);
    expect(answeredAll({}, [2, 3], { ...which, field: "task_level" }, "3")).toEqual({ cells: { "2": { task_level: "3" }, "3": { task_level: "3" } } });
  });
  it("says what came in, or that nothing changed", () => {
    expect(resultSentence({ new: 29, changed: 0, same: 2, dives: 82, divers: 23 })).toBe("82 dives of 23 divers brought in; 2 rows as before.");
    expect(resultSentence({ new: 0, changed: 0, same: 29, dives: 0, divers: 0 })).toMatch(/^Nothing changed/);
  });
});
