// Reading JSON text: refuses what `JSON.parse` lets through, a name that stands twice in one object and text
// that is no Unicode (half of a surrogate pair).
// The twin of calculations/json_text.py.

import { type FieldError, Problem, pointer } from "./problem.ts";

export type Json = null | boolean | number | string | readonly Json[] | JsonObject;
export interface JsonObject {
  readonly [name: string]: Json;
}

export const DEEPEST_NESTING = 64;

const SPACE = /[ \t\n\r]*/y;
const STRING = /"(?:[^"\\\u0000-\u001f]|\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4}))*"/y;
const NUMBER = /-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?/y;
const HALF = "This text holds half of a character (a lone surrogate): type it anew.";
const WORDS: readonly (readonly [string, Json])[] = [
  ["true", true],
  ["false", false],
  ["null", null],
  ["NaN", Number.NaN],
  ["Infinity", Number.POSITIVE_INFINITY],
  ["-Infinity", Number.NEGATIVE_INFINITY],
];

/** Whether every surrogate of a text has its other half. */
function isUnicode(text: string): boolean {
  for (const character of text) {
    const code = character.codePointAt(0)!;
    if (code >= 0xd800 && code <= 0xdfff) return false;
  }
  return true;
}

class NotJson extends Error {}
class TooDeep extends Error {}

class Reader {
  private at = 0;
  private readonly text: string;
  readonly errors: FieldError[] = [];

  constructor(text: string) {
    this.text = text;
  }

  get position(): string {
    const lines = this.text.slice(0, this.at).split("\n");
    return `line ${lines.length}, column ${lines[lines.length - 1]!.length + 1}`;
  }

  whole(): Json {
    const value = this.value("", 0);
    this.space();
    if (this.at < this.text.length) throw new NotJson();
    return value;
  }

  private refuse(at: string, code: string, message: string): void {
    this.errors.push({ pointer: at, code, message });
  }

  private space(): void {
    SPACE.lastIndex = this.at;
    SPACE.exec(this.text);
    this.at = SPACE.lastIndex;
  }

  private token(pattern: RegExp): string | null {
    pattern.lastIndex = this.at;
    const found = pattern.exec(this.text);
    if (found === null) return null;
    this.at = pattern.lastIndex;
    return found[0];
  }

  private take(mark: string): boolean {
    this.space();
    if (!this.text.startsWith(mark, this.at)) return false;
    this.at += mark.length;
    return true;
  }

  private value(here: string, depth: number): Json {
    if (depth > DEEPEST_NESTING) throw new TooDeep();
    if (this.take("{")) return this.object(here, depth);
    if (this.take("[")) return this.array(here, depth);
    for (const [word, value] of WORDS) {
      if (!this.take(word)) continue;
      if (typeof value === "number") this.refuse(here, "not_finite", "Must be a finite number.");
      return value;
    }
    const text = this.token(STRING);
    if (text !== null) {
      const read = JSON.parse(text) as string;
      if (!isUnicode(read)) this.refuse(here, "not_unicode", HALF);
      return read;
    }
    const digits = this.token(NUMBER);
    if (digits === null) throw new NotJson();
    const number = Number(digits);
    if (!Number.isFinite(number)) this.refuse(here, "not_finite", "Must be a finite number.");
    return number;
  }

  private object(here: string, depth: number): Json {
    const entries: [string, Json][] = [];
    const seen = new Set<string>();
    const twice = new Set<string>();
    if (this.take("}")) return {};
    do {
      this.space();
      const quoted = this.token(STRING);
      if (quoted === null || !this.take(":")) throw new NotJson();
      const name = JSON.parse(quoted) as string;
      if (!isUnicode(name)) {
        this.refuse(here, "not_unicode", HALF);
        const before = this.errors.length;
        this.value(here, depth + 1);
        this.errors.splice(before);
        continue;
      }
      if (seen.has(name) && !twice.has(name)) {
        twice.add(name);
        this.refuse(pointer(here, name), "duplicate", "This name stands twice in its object; keep one.");
      }
      seen.add(name);
      entries.push([name, this.value(pointer(here, name), depth + 1)]);
    } while (this.take(","));
    if (!this.take("}")) throw new NotJson();
    return Object.fromEntries(entries);
  }

  private array(here: string, depth: number): Json {
    const items: Json[] = [];
    if (this.take("]")) return items;
    do items.push(this.value(pointer(here, items.length), depth + 1));
    while (this.take(","));
    if (!this.take("]")) throw new NotJson();
    return items;
  }
}

function notJson(message: string): Problem {
  return new Problem([{ pointer: "", code: "not_json", message }]);
}

/** Parse JSON text; throws Problem where it is no JSON, repeats a name, holds NaN or nests too deeply. */
export function parseJson(text: string): Json {
  const reader = new Reader(text);
  let value: Json;
  try {
    value = reader.whole();
  } catch (wrong) {
    if (wrong instanceof TooDeep) throw notJson(`Nested more than ${DEEPEST_NESTING} deep.`);
    if (wrong instanceof NotJson) throw notJson(`This is not JSON at ${reader.position}.`);
    throw wrong;
  }
  if (reader.errors.length > 0) throw new Problem(reader.errors);
  return value;
}
