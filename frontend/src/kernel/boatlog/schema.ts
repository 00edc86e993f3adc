// Checks a JSON value against the published schemas of this room, with no package.
// The twin of boatlog/schema.py; both read the same schema files.

import ENTRY_JSON from "../../../../teamdive/boatlog/schema/entry.json" with { type: "json" };
import SNAPSHOT_JSON from "../../../../teamdive/boatlog/schema/snapshot.json" with { type: "json" };

export interface Schema {
  readonly $ref?: string;
  readonly $defs?: Readonly<Record<string, Schema>>;
  readonly "x-subject"?: string;
  readonly anyOf?: readonly Schema[];
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly type?: string;
  readonly required?: readonly string[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly items?: Schema;
  readonly pattern?: string;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly uniqueItems?: boolean;
  readonly minLength?: number;
  readonly maxLength?: number;
}

/** One thing wrong with a value: where (JSON Pointer), a stable code, and words. */
export interface Trouble {
  readonly pointer: string;
  readonly code: string;
  readonly message: string;
}

export const ENTRY = ENTRY_JSON as unknown as Schema;
export const SNAPSHOT = SNAPSHOT_JSON as unknown as Schema;
export const KINDS: ReadonlySet<string> = new Set(Object.keys(ENTRY.$defs!).filter((name) => ENTRY.$defs![name]!["x-subject"] !== undefined));

/** All that is wrong with `value`; empty when it fits. `root` holds the `$defs`. */
export function problems(schema: Schema, value: unknown, root: Schema, pointer = ""): Trouble[] {
  if (schema.$ref !== undefined) return problems(root.$defs![schema.$ref.replace("#/$defs/", "")]!, value, root, pointer);
  if (schema.anyOf !== undefined) {
    const tried = schema.anyOf.map((choice) => problems(choice, value, root, pointer));
    // The first choice is the value itself, the last is null: its troubles are the telling ones.
    return tried.some((found) => found.length === 0) ? [] : tried[0]!;
  }
  if (schema.const !== undefined && value !== schema.const) {
    return [{ pointer, code: "not_one_of", message: `must be ${JSON.stringify(schema.const)}` }];
  }
  if (schema.enum !== undefined && !schema.enum.includes(value)) {
    return [{ pointer, code: "not_one_of", message: `must be one of ${schema.enum.join(", ")}` }];
  }
  if (schema.type !== undefined && !is(value, schema.type)) {
    return [{ pointer, code: "wrong_type", message: `must be of type ${schema.type}` }];
  }
  if (typeof value === "string") return ofText(schema, value, pointer);
  if (typeof value === "number") return ofNumber(schema, value, pointer);
  if (Array.isArray(value)) return ofList(schema, value, root, pointer);
  if (typeof value === "object" && value !== null) return ofObject(schema, value as Record<string, unknown>, root, pointer);
  return [];
}

function is(value: unknown, name: string): boolean {
  if (name === "integer") return Number.isInteger(value);
  if (name === "null") return value === null;
  if (name === "array") return Array.isArray(value);
  if (name === "object") return typeof value === "object" && value !== null && !Array.isArray(value);
  return typeof value === name;
}

function ofText(schema: Schema, value: string, pointer: string): Trouble[] {
  const length = [...value].length;
  if (length < (schema.minLength ?? 0)) {
    return [{ pointer, code: "too_short", message: `must have at least ${schema.minLength} letters` }];
  }
  if (length > (schema.maxLength ?? length)) {
    return [{ pointer, code: "too_long", message: `must have at most ${schema.maxLength} letters` }];
  }
  if (schema.pattern !== undefined && !new RegExp(schema.pattern).test(value)) {
    return [{ pointer, code: "bad_form", message: `must look like ${schema.pattern}` }];
  }
  return [];
}

function ofNumber(schema: Schema, value: number, pointer: string): Trouble[] {
  if (value < (schema.minimum ?? value)) return [{ pointer, code: "out_of_range", message: `must be at least ${schema.minimum}` }];
  if (value > (schema.maximum ?? value)) return [{ pointer, code: "out_of_range", message: `must be at most ${schema.maximum}` }];
  return [];
}

function ofList(schema: Schema, value: readonly unknown[], root: Schema, pointer: string): Trouble[] {
  const found: Trouble[] = [];
  if (value.length < (schema.minItems ?? 0)) {
    found.push({ pointer, code: "too_few", message: `must have at least ${schema.minItems} items` });
  }
  if (value.length > (schema.maxItems ?? value.length)) {
    found.push({ pointer, code: "too_many", message: `must have at most ${schema.maxItems} items` });
  }
  if (schema.uniqueItems === true && new Set(value.map((item) => JSON.stringify(item))).size < value.length) {
    found.push({ pointer, code: "twice", message: "must not name anything twice" });
  }
  if (schema.items !== undefined) {
    value.forEach((item, index) => found.push(...problems(schema.items!, item, root, `${pointer}/${index}`)));
  }
  return found;
}

function ofObject(schema: Schema, value: Readonly<Record<string, unknown>>, root: Schema, pointer: string): Trouble[] {
  const found: Trouble[] = [];
  for (const name of schema.required ?? []) {
    if (!Object.hasOwn(value, name)) found.push({ pointer: `${pointer}/${name}`, code: "missing", message: "is missing" });
  }
  for (const [name, inner] of Object.entries(schema.properties ?? {})) {
    if (Object.hasOwn(value, name)) found.push(...problems(inner, value[name], root, `${pointer}/${name}`));
  }
  return found;
}
