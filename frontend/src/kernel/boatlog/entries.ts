// One entry of the boat log: reading and checking it. An Entry is the parsed JSON itself, never changed.
// The twin of boatlog/entries.py.

import { NotCanonical, digest, utf8 } from "./canonical.ts";
import type { Clock } from "./clock.ts";
import { ENTRY, KINDS, problems as schemaProblems } from "./schema.ts";
import type { Schema, Trouble } from "./schema.ts";
import { hex, sha256Hex, unhex } from "./sha256.ts";

export type Data = Readonly<Record<string, unknown>>;

/** One immutable line of the boat log. `at` is when it happened, `clock` when it was written (ms since 1970). */
export interface Entry {
  readonly id: string;
  readonly v: number;
  readonly trip: string;
  readonly device: string;
  readonly seq: number;
  readonly by: string | null;
  readonly clock: Clock;
  readonly at: number;
  readonly kind: string;
  readonly subject: string;
  readonly data: Data;
  readonly prev_hash: string | null;
  readonly hash: string;
  readonly text_hash?: string;
  readonly corrects?: string;
}

/** The value is not an entry at all; `problems` names every field that is wrong. */
export class NotAnEntry extends Error {
  readonly problems: readonly Trouble[];

  constructor(problems: readonly Trouble[]) {
    super(problems.map((trouble) => `${trouble.pointer}: ${trouble.message}`).join("; "));
    this.problems = problems;
  }
}

// What an entry must have to be kept at all: `data` of a known kind may still be wrong.
const ENVELOPE = { type: ENTRY.type, required: ENTRY.required, properties: ENTRY.properties } as Schema;
const marks = new WeakMap<Entry, string>();

/** The entry in a parsed JSON value. Throws NotAnEntry, naming all that is wrong with its envelope. */
export function read(value: unknown): Entry {
  const found = schemaProblems(ENVELOPE, value, ENTRY);
  if (found.length === 0) {
    const entry = value as Entry;
    try {
      markOf(entry);
      return entry;
    } catch (error) {
      if (!(error instanceof NotCanonical)) throw error;
      found.push({ pointer: error.pointer, code: "not_canonical", message: error.why });
    }
  }
  throw new NotAnEntry(found);
}

/** What tells an entry from any other, an altered copy included: SHA-256 of its canonical bytes, `hash` and all. */
export function markOf(entry: Entry): string {
  let mark = marks.get(entry);
  if (mark === undefined) {
    mark = digest(entry);
    marks.set(entry, mark);
  }
  return mark;
}

/** All that is wrong with an entry: its envelope, and the data of a kind that is known here. */
export function problems(value: unknown): readonly Trouble[] {
  try {
    return dataProblems(read(value));
  } catch (error) {
    if (error instanceof NotAnEntry) return error.problems;
    throw error;
  }
}

/** What is wrong with the data of a known kind; nothing is said about kinds not known here. */
export function dataProblems(entry: Pick<Entry, "kind" | "at" | "data" | "corrects">): Trouble[] {
  const known = KINDS.has(entry.kind);
  const found = known ? schemaProblems(ENTRY.$defs![entry.kind]!, entry.data, ENTRY, "/data") : [];
  if (entry.kind === "correction" && entry.corrects === undefined) {
    found.push({ pointer: "/corrects", code: "missing", message: "a correction must name the entry that it corrects" });
  }
  const { earliest, latest } = entry.data;
  if (found.length === 0 && known && entry.kind !== "correction") {
    if (Number.isInteger(earliest) && (earliest as number) > entry.at) {
      found.push({ pointer: "/data/earliest", code: "out_of_range", message: "must not be later than at" });
    }
    if (Number.isInteger(latest) && (latest as number) < entry.at) {
      found.push({ pointer: "/data/latest", code: "out_of_range", message: "must not be earlier than at" });
    }
  }
  return found;
}

/** The hash an entry ought to carry: SHA-256 of all but the field `hash`, canonical. Throws NotCanonical. */
export function hashOf(value: object): string {
  const { hash: _hash, ...rest } = value as { hash?: unknown };
  return digest(rest);
}

/** SHA-256 of a text with its salt (32 random hex digits, so that short texts cannot be guessed). */
export function textHash(salt: string, text: string): string {
  const first = unhex(salt);
  const rest = utf8(text);
  const both = new Uint8Array(first.length + rest.length);
  both.set(first);
  both.set(rest, first.length);
  return sha256Hex(both);
}

/** A UUID version 7 (RFC 9562, section 5.7) from milliseconds since 1970 and 10 random bytes. */
export function uuid7(ms: number, random: Uint8Array): string {
  const octets = new Uint8Array(16);
  let rest = ms;
  for (let i = 5; i >= 0; i--) {
    octets[i] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  octets.set(random.subarray(0, 10), 6);
  octets[6] = 0x70 | (octets[6]! & 0x0f);
  octets[8] = 0x80 | (octets[8]! & 0x3f);
  const digits = hex(octets);
  return [digits.slice(0, 8), digits.slice(8, 12), digits.slice(12, 16), digits.slice(16, 20), digits.slice(20)].join("-");
}
