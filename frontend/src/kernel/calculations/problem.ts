// What is wrong with a body, as an RFC 9457 problem with a JSON Pointer for each error.
// The twin of calculations/problem.py.

/** One error: where (JSON Pointer), which (a stable code), and what to do about it. */
export interface FieldError {
  readonly pointer: string;
  readonly code: string;
  readonly message: string;
}

export interface ProblemJson {
  readonly type: string;
  readonly title: string;
  readonly status: number;
  readonly detail: string;
  readonly errors: readonly FieldError[];
}

/** A body that cannot be answered, with every error found in it. */
export class Problem extends Error {
  readonly errors: readonly FieldError[];
  readonly type = "urn:teamdive:problem:bad_input";
  readonly title = "Bad input";
  readonly status = 400;
  readonly detail: string;

  constructor(errors: readonly FieldError[], detail?: string) {
    const said = detail ?? detailOf(errors);
    super(said);
    this.errors = errors;
    this.detail = said;
  }

  asJson(): ProblemJson {
    return { type: this.type, title: this.title, status: this.status, detail: this.detail, errors: this.errors };
  }
}

function detailOf(errors: readonly FieldError[]): string {
  const first = errors[0]!;
  const said = first.pointer ? `${first.pointer}: ${first.message}` : first.message;
  return errors.length === 1 ? said : `${errors.length} errors; the first is ${said}`;
}

/** A JSON Pointer one step further: `~` and `/` in a key are escaped. */
export function pointer(base: string, key: string | number): string {
  return `${base}/${String(key).replaceAll("~", "~0").replaceAll("/", "~1")}`;
}
