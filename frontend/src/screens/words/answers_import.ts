/** Shapes of the server's answers about an uploaded sheet. */
export interface ImportOption {
  readonly value: string;
  readonly label: string;
}

export interface ImportColumn {
  readonly index: number;
  readonly header: string;
  readonly field: string | null;
  readonly guessed: boolean;
  readonly confirmed: boolean;
  readonly unit: string | null;
  readonly dates: "day_first" | "month_first" | null;
  readonly examples: readonly string[];
  readonly question: { readonly code: string; readonly message: string; readonly remedy: string; readonly options?: readonly unknown[] } | null;
}

export interface ImportProblem {
  readonly field: string | null;
  readonly level: "error" | "question" | "note";
  readonly code: string;
  readonly message: string;
  readonly remedy: string;
  readonly options?: readonly ImportOption[];
}

export interface ImportRow {
  readonly row: number;
  readonly name: string;
  readonly action: "new" | "change" | "same" | "leave_out" | "blocked";
  /** The row in one line, where it is not a list of changes. */
  readonly says?: string;
  readonly diver: string | null;
  readonly changes: readonly { readonly field: string; readonly from: unknown; readonly to: unknown }[];
  readonly problems: readonly ImportProblem[];
}

/** What was answered: rows left out, cells typed anew (row, field, text), people settled (row, who). */
export interface ImportChoices {
  readonly leave_out?: readonly number[];
  readonly cells?: Readonly<Record<string, Readonly<Record<string, string>>>>;
  readonly people?: Readonly<Record<string, string>>;
}

export interface ImportPreview {
  readonly id: string;
  readonly club: string;
  readonly sheet?: "roster" | "past_dives";
  readonly file_name: string;
  readonly state: "preview" | "applied";
  readonly read: { readonly format: string; readonly encoding?: string | null; readonly delimiter?: string | null; readonly sheet: string | null };
  readonly fields: readonly { readonly field: string; readonly label: string; readonly takes: string; readonly units?: readonly string[] }[];
  readonly columns: readonly ImportColumn[];
  readonly choices: ImportChoices;
  readonly rows: readonly ImportRow[];
  readonly counts: Readonly<Record<string, number>>;
  readonly confirmed: boolean;
  readonly can_apply: boolean;
  readonly result: ImportResult | null;
}

export interface ImportResult {
  readonly new: number;
  readonly changed: number;
  readonly same: number;
  readonly left_out: readonly { readonly row: number; readonly name: string }[];
  /** Of past dives: how many came in, and of how many divers. */
  readonly dives?: number;
  readonly divers?: number;
}
