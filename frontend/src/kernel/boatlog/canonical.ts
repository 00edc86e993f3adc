// The one way to write a JSON value as bytes, so that every phone hashes the same thing.
// RFC 8785 for objects with ASCII keys, arrays, strings, integers below 2^53, true, false, null.
// The twin of boatlog/canonical.py.

import { sha256Hex } from "./sha256.ts";

export const LARGEST = Number.MAX_SAFE_INTEGER;
export const DEEPEST = 32;

/** The value holds something that has no canonical form here; `pointer` says where. */
export class NotCanonical extends Error {
  readonly pointer: string;
  readonly why: string;

  constructor(pointer: string, why: string) {
    super(`${pointer || "/"}: ${why}`);
    this.pointer = pointer;
    this.why = why;
  }
}

/** The canonical text of a JSON value. Throws NotCanonical. */
export function canonical(value: unknown): string {
  return write(value, "", 0);
}

/** SHA-256 of the canonical bytes, 64 lower-case hex digits. Throws NotCanonical. */
export function digest(value: unknown): string {
  return sha256Hex(utf8(canonical(value)));
}

/** UTF-8 of a text that holds no half surrogate pair. */
export function utf8(text: string): Uint8Array {
  const bytes: number[] = [];
  for (const letter of text) {
    const code = letter.codePointAt(0)!;
    if (code < 0x80) bytes.push(code);
    else if (code < 0x800) bytes.push(0xc0 | (code >> 6), 0x80 | (code & 0x3f));
    else if (code < 0x10000) bytes.push(0xe0 | (code >> 12), 0x80 | ((code >> 6) & 0x3f), 0x80 | (code & 0x3f));
    else bytes.push(0xf0 | (code >> 18), 0x80 | ((code >> 12) & 0x3f), 0x80 | ((code >> 6) & 0x3f), 0x80 | (code & 0x3f));
  }
  return Uint8Array.from(bytes);
}

function write(value: unknown, pointer: string, depth: number): string {
  if (depth > DEEPEST) throw new NotCanonical(pointer, `is nested deeper than ${DEEPEST} levels`);
  if (value === null) return "null";
  if (value === true) return "true";
  if (value === false) return "false";
  if (typeof value === "string") return quoted(value, pointer);
  if (typeof value === "number") {
    if (!Number.isInteger(value)) throw new NotCanonical(pointer, NOT_JSON);
    if (!Number.isSafeInteger(value)) throw new NotCanonical(pointer, "is an integer beyond 2^53 - 1");
    return String(value === 0 ? 0 : value);
  }
  if (Array.isArray(value)) return `[${value.map((item, index) => write(item, `${pointer}/${index}`, depth + 1)).join(",")}]`;
  if (typeof value === "object") {
    const held = value as Record<string, unknown>;
    const keys = Object.keys(held);
    for (const key of keys) if (!isAscii(key)) throw new NotCanonical(pointer, "has a key that is not ASCII");
    return `{${keys
      .sort()
      .map((key) => `${quoted(key, pointer)}:${write(held[key], `${pointer}/${key}`, depth + 1)}`)
      .join(",")}}`;
  }
  throw new NotCanonical(pointer, NOT_JSON);
}

const NOT_JSON = "is not text, a whole number, true, false, null, a list or an object";

function isAscii(text: string): boolean {
  for (let i = 0; i < text.length; i++) if (text.charCodeAt(i) > 0x7f) return false;
  return true;
}

function quoted(text: string, pointer: string): string {
  for (const letter of text) {
    const code = letter.codePointAt(0)!;
    if (code >= 0xd800 && code <= 0xdfff) throw new NotCanonical(pointer, "holds half a surrogate pair");
  }
  return JSON.stringify(text);
}
