import { check } from "../kernel/boatlog/chain.ts";
import { markOf, NotAnEntry, read, textHash, type Entry } from "../kernel/boatlog/entries.ts";
import { cut } from "../kernel/boatlog/frames.ts";
import { utf8 } from "../kernel/boatlog/canonical.ts";
import { sha256Hex } from "../kernel/boatlog/sha256.ts";
import type { NamesRecord, SnapshotRecord, StoredEntry, StrayRecord, Text } from "../store/records.ts";
import type { TripLog } from "../store/trip_log.ts";

/** What a QR picture of version 18, level L, holds in capital letters and digits (ISO/IEC 18004: 1,046), less the frame. */
export const PIECE_BYTES = 680;
/** Four pictures a second: slow enough for a phone held by a wet hand to read each. */
export const PICTURE_MS = 250;
/** Among the pieces of the log stands a picture of the showing phone's clock, as often as this. */
export const CLOCK_EVERY = 6;
/** A log of many trips' size; what unpacks to more is no boat log. */
const MOST_UNPACKED = 8 * 2 ** 20;
const CLOCK = /^CLOCK:([0-9A-F-]{36}):(\d{1,16})$/;

/** More than this takes minutes a round: no phone is held still for so long. */
export const MOST_PICTURES = 500;

/** A trip as it was made ready: what a phone needs that does not have it. */
export interface Ready {
  readonly snapshot: SnapshotRecord["snapshot"];
  readonly names: NamesRecord["names"];
  readonly labels: NamesRecord["labels"];
}

/** Which phone's clock was seen in its pictures, what it said, and when by this phone's own. */
export interface ClockSeen {
  readonly phone: string;
  readonly shownMs: number;
  readonly readMs: number;
}

export interface Packed {
  readonly v: 1;
  readonly trip: string;
  readonly snapshot: string;
  readonly ready?: Ready;
  readonly entries: readonly (readonly [Entry, Text | null])[];
}

/** The pictures are of something else, or made by a newer teamdive; the text says what to do. */
export class OtherPictures extends Error {}

export interface TakenIn {
  /** How many entries the pictures held, how many of them were new here, and how many are none that can be read: kept as they came. */
  readonly all: number;
  readonly fresh: number;
  readonly unreadable: number;
  /** How many entries do not follow one another as their phone wrote them: kept, and listed with the boat log. */
  readonly broken: number;
  /** The other phone holds the trip as it was made ready at another time: what it plans may differ. */
  readonly otherPlan: boolean;
}

/** The whole log of this phone as the texts of its pictures; `ready`: with the trip, for a phone that does not have it. */
export async function pictures(log: TripLog, ready: Ready | null = null): Promise<readonly string[]> {
  const entries = log.entries.map(({ entry, text }): Packed["entries"][number] => [entry, text]);
  const strays = (await log.strays()).map(({ text }) => JSON.parse(text) as Packed["entries"][number]);
  const packed: Packed = { v: 1, trip: log.trip, snapshot: log.record.hash, ...(ready === null ? {} : { ready }), entries: [...entries, ...strays] };
  const data = await through(new TextEncoder().encode(JSON.stringify(packed)), "pack");
  if (data.length > MOST_PICTURES * PIECE_BYTES) {
    throw new OtherPictures(`This log is too large for pictures: ${Math.ceil(data.length / PIECE_BYTES)} of them, at most ${MOST_PICTURES} can be read. Let both phones meet the server.`);
  }
  return cut(data, PIECE_BYTES);
}

/** What a row of pictures holds. Throws OtherPictures. */
export async function packedIn(data: Uint8Array<ArrayBuffer>): Promise<Packed> {
  return parse(await through(data, "unpack"));
}

/**
 * What another phone's pictures held, taken in like any entries: union by mark, altered ones too, which the fold sets aside,
 * and offered to the server from here as well. What is no entry is kept as it came.
 */
export async function takeIn(log: TripLog, data: Uint8Array<ArrayBuffer>): Promise<TakenIn> {
  const packed = await packedIn(data);
  if (packed.trip !== log.trip) throw new OtherPictures("These pictures are of another trip. Open the same trip on both phones.");
  const { found, strays } = sorted(packed);
  // By mark, not by id: of one id the log may hold two copies.
  const fresh = new Set(found.map(({ entry }) => markOf(entry)).filter((mark) => !log.state.entries.has(mark))).size;
  await log.keepStrays(strays);
  await log.receive(found, null);
  const devices = new Set(found.map(({ entry }) => entry.device));
  const broken = new Set([...devices].flatMap((device) => check(log.state.byDevice.get(device) ?? []).flatMap(({ code, entries }) => (code === "missing" ? [] : entries))));
  return { all: packed.entries.length, fresh, unreadable: strays.length, broken: broken.size, otherPlan: packed.snapshot !== log.record.hash };
}

/** A picture of the showing phone's own clock at the moment of drawing it. */
export function clockPicture(device: string, shownMs: number): string {
  return `CLOCK:${device.toUpperCase()}:${shownMs}`;
}

/** Which phone's clock a picture shows, and what it said; null: it is no such picture. */
export function readClock(text: string): { readonly phone: string; readonly shownMs: number } | null {
  const found = CLOCK.exec(text);
  return found === null ? null : { phone: found[1]!.toLowerCase(), shownMs: Number(found[2]) };
}

/** What pictures hold, entries and the rest apart. */
export function sorted(packed: Packed): { readonly found: readonly StoredEntry[]; readonly strays: readonly StrayRecord[] } {
  const found: StoredEntry[] = [];
  const strays: StrayRecord[] = [];
  for (const one of packed.entries) {
    const stored = readable(packed.trip, one[0], one[1] ?? null);
    const text = JSON.stringify(one);
    if (stored === null) strays.push({ trip: packed.trip, mark: sha256Hex(utf8(text)), text });
    else found.push(stored);
  }
  return { found, strays };
}

function readable(trip: string, value: unknown, text: Text | null): StoredEntry | null {
  try {
    const entry = read(value);
    if (entry.trip !== trip) return null;
    return { id: entry.id, trip, entry, text: fits(entry, text) ? text : null, sent: 0 };
  } catch (error) {
    if (error instanceof NotAnEntry) return null;
    throw error;
  }
}

/** Whether these are the words that the entry was sealed with. */
function fits(entry: Entry, text: Text | null): boolean {
  if (text === null || entry.text_hash === undefined || typeof text.text !== "string" || !/^[0-9a-f]{32}$/.test(text.salt)) return false;
  return textHash(text.salt, text.text) === entry.text_hash;
}

function parse(bytes: Uint8Array): Packed {
  try {
    const value = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(bytes)) as Packed;
    if (value.v === 1 && typeof value.trip === "string" && value.entries.every((one) => Array.isArray(one))) return value;
  } catch {
    // Said below.
  }
  throw new OtherPictures("These pictures cannot be read here. Bring both phones to the same version while there is a network.");
}

async function through(data: Uint8Array<ArrayBuffer>, way: "pack" | "unpack"): Promise<Uint8Array<ArrayBuffer>> {
  if (typeof CompressionStream === "undefined") throw new OtherPictures("This browser is too old to hand a log over by pictures.");
  const stream = new Blob([data]).stream().pipeThrough(way === "pack" ? new CompressionStream("gzip") : new DecompressionStream("gzip"));
  const parts: Uint8Array[] = [];
  let size = 0;
  const reader = stream.getReader();
  try {
    for (;;) {
      const { done, value } = await reader.read();
      if (done) break;
      parts.push(value);
      size += value.length;
      if (size > MOST_UNPACKED) throw new RangeError("too much");
    }
  } catch {
    throw new OtherPictures("The pictures do not fit together. Begin again.");
  }
  const whole = new Uint8Array(size);
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
