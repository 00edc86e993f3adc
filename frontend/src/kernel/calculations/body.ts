// Strict reading of a JSON body: every error is collected with its JSON Pointer before any is raised.
// The twin of calculations/body.py, which says how it is used. JSON null counts as absent.

import type { Json, JsonObject } from "./json_text.ts";
import { type FieldError, Problem, pointer } from "./problem.ts";

export { type Json, type JsonObject, parseJson } from "./json_text.ts";

/** The errors found so far. */
export class Errors {
  readonly found: FieldError[] = [];

  add(at: string, code: string, message: string): void {
    this.found.push({ pointer: at, code, message });
  }

  raiseIfAny(): void {
    if (this.found.length > 0) throw new Problem(this.found);
  }
}

export function isObject(value: Json): value is JsonObject {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function isArray(value: Json): value is readonly Json[] {
  return Array.isArray(value);
}

/** The fields of one JSON object. Each read marks the field as known. */
export class Fields {
  readonly errors: Errors;
  readonly at: string;
  readonly read: string[] = [];
  readonly value: JsonObject;
  ok: boolean;

  constructor(errors: Errors, value: Json, at = "") {
    this.errors = errors;
    this.at = at;
    this.ok = isObject(value);
    this.value = isObject(value) ? value : {};
    if (!this.ok) errors.add(at, "wrong_type", "Must be a JSON object.");
  }

  pointer(name: string): string {
    return pointer(this.at, name);
  }

  private raw(name: string): Json {
    return Object.hasOwn(this.value, name) ? (this.value[name] ?? null) : null;
  }

  /** The raw value, null when absent or null; marks the field as known. */
  get(name: string): Json {
    if (!this.read.includes(name)) this.read.push(name);
    return this.raw(name);
  }

  has(name: string): boolean {
    return this.raw(name) !== null;
  }

  fail(name: string, code: string, message: string): void {
    this.errors.add(this.pointer(name), code, message);
  }

  /** Record that a field is missing, unless its parent is no object (then that is the error). */
  required(name: string, remedy: string): void {
    if (this.ok) this.fail(name, "required", remedy);
  }

  /** A finite number in [least, most] (or ]least, most] with `above`), null when absent or wrong. */
  numberOrNull(name: string, least: number, most: number, unit = "", above = false): number | null {
    const value = this.get(name);
    return value === null ? null : numberAt(this.errors, this.pointer(name), value, least, most, unit, above);
  }

  /** As `numberOrNull`, but the field must be there; `most` stands in after an error. */
  number(name: string, least: number, most: number, unit = "", above = false): number {
    if (!this.has(name)) {
      this.get(name);
      this.required(name, `Give a number${of(unit)} ${range(least, most, above)}.`);
      return most;
    }
    return this.numberOrNull(name, least, most, unit, above) ?? most;
  }

  /** A whole number in [least, most], null when absent or wrong. */
  integerOrNull(name: string, least: number, most: number, unit = ""): number | null {
    const value = this.numberOrNull(name, least, most, unit);
    if (value === null) return null;
    if (value !== Math.floor(value)) {
      this.fail(name, "wrong_type", `Must be a whole number${of(unit)}.`);
      return null;
    }
    return value;
  }

  integer(name: string, least: number, most: number, unit = ""): number {
    if (!this.has(name)) {
      this.get(name);
      this.required(name, `Give a whole number${of(unit)} ${range(least, most, false)}.`);
      return most;
    }
    return this.integerOrNull(name, least, most, unit) ?? most;
  }

  /** A string of 1 to `longest` characters, null when absent or wrong. */
  textOrNull(name: string, longest = 200): string | null {
    const value = this.get(name);
    if (value === null) return null;
    if (typeof value !== "string") {
      this.fail(name, "wrong_type", "Must be text in quotes.");
      return null;
    }
    const length = [...value].length;
    if (length < 1 || length > longest) {
      this.fail(name, "out_of_range", `Must have 1 to ${longest} characters.`);
      return null;
    }
    return value;
  }

  text(name: string, longest = 200): string {
    if (!this.has(name)) {
      this.get(name);
      this.required(name, `Give text in quotes, 1 to ${longest} characters.`);
      return "";
    }
    return this.textOrNull(name, longest) ?? "";
  }

  /** One of the listed words, null when absent or wrong. */
  choiceOrNull<T extends string>(name: string, among: readonly T[]): T | null {
    const value = this.get(name);
    if (value === null) return null;
    if (typeof value !== "string") {
      this.fail(name, "wrong_type", `Must be one of ${among.join(", ")}.`);
      return null;
    }
    const found = among.find((word) => word === value);
    if (found === undefined) this.fail(name, "not_one_of", `Must be one of ${among.join(", ")}.`);
    return found ?? null;
  }

  choice<T extends string>(name: string, among: readonly T[]): T {
    if (!this.has(name)) {
      this.get(name);
      this.required(name, `Give one of ${among.join(", ")}.`);
      return among[0]!;
    }
    return this.choiceOrNull(name, among) ?? among[0]!;
  }

  flagOrNull(name: string): boolean | null {
    const value = this.get(name);
    if (value === null) return null;
    if (typeof value !== "boolean") {
      this.fail(name, "wrong_type", "Must be true or false.");
      return null;
    }
    return value;
  }

  /** True or false; absent counts as false. */
  flag(name: string): boolean {
    return this.flagOrNull(name) ?? false;
  }

  /** A JSON array of `least` to `most` items, null when absent or wrong. */
  arrayOrNull(name: string, least: number, most: number): readonly Json[] | null {
    const value = this.get(name);
    if (value === null) return null;
    if (!isArray(value)) {
      this.fail(name, "wrong_type", "Must be a JSON array.");
      return null;
    }
    if (value.length < least || value.length > most) {
      this.fail(name, "out_of_range", `Must have ${least} to ${most} items.`);
      return null;
    }
    return value;
  }

  array(name: string, least: number, most: number): readonly Json[] {
    if (!this.has(name)) {
      this.get(name);
      this.required(name, `Give a JSON array of ${least} to ${most} items.`);
      return [];
    }
    return this.arrayOrNull(name, least, most) ?? [];
  }

  /** The items of an array as numbers, each in [least, most]; `most` stands in after an error. */
  numbers(name: string, items: readonly Json[], least: number, most: number, unit = ""): number[] {
    const at = this.pointer(name);
    return items.map((item, i) => numberAt(this.errors, pointer(at, i), item, least, most, unit) ?? most);
  }

  fieldsOrNull(name: string): Fields | null {
    const value = this.get(name);
    return value === null ? null : new Fields(this.errors, value, this.pointer(name));
  }

  /** A JSON object that must be there; an empty one stands in after an error. */
  fields(name: string): Fields {
    if (!this.has(name)) {
      this.get(name);
      this.required(name, "Give this as a JSON object, its fields in braces.");
      const empty = new Fields(this.errors, {}, this.pointer(name));
      empty.ok = false;
      return empty;
    }
    return new Fields(this.errors, this.get(name), this.pointer(name));
  }

  /** A JSON array of objects that must be there. */
  listOfFields(name: string, least: number, most: number): Fields[] {
    return this.each(name, this.array(name, least, most));
  }

  listOfFieldsOrNull(name: string, least: number, most: number): Fields[] | null {
    const items = this.arrayOrNull(name, least, most);
    return items === null ? null : this.each(name, items);
  }

  each(name: string, items: readonly Json[]): Fields[] {
    const at = this.pointer(name);
    return items.map((item, i) => new Fields(this.errors, item, pointer(at, i)));
  }

  /** Two spellings of one fact (two units) are never taken together. */
  oneOfTwo(first: string, second: string): void {
    if (this.has(first) && this.has(second)) {
      this.fail(second, "not_allowed", `Give ${first} or ${second}, not both.`);
    }
  }

  /** Refuse by name every field that nobody read. */
  close(): void {
    for (const name of Object.keys(this.value)) {
      if (!this.read.includes(name)) {
        this.fail(name, "unknown_field", `Unknown field. Known here: ${[...this.read].sort().join(", ")}.`);
      }
    }
  }
}

/** Check one number; true, false, text, NaN and infinities are no numbers. */
export function numberAt(
  errors: Errors,
  at: string,
  value: Json,
  least: number,
  most: number,
  unit = "",
  above = false,
): number | null {
  if (typeof value !== "number") {
    errors.add(at, "wrong_type", `Must be a number${of(unit)}.`);
    return null;
  }
  if (!Number.isFinite(value)) {
    errors.add(at, "not_finite", `Must be a finite number${of(unit)}.`);
    return null;
  }
  if (value < least || value > most || (above && value === least)) {
    errors.add(at, "out_of_range", `Must be a number${of(unit)} ${range(least, most, above)}.`);
    return null;
  }
  return value + 0; // -0 is 0
}

function of(unit: string): string {
  return unit ? ` of ${unit}` : "";
}

function range(least: number, most: number, above: boolean): string {
  return above ? `above ${least} and up to ${most}` : `from ${least} to ${most}`;
}
