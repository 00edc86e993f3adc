// A log handed over as a short series of pictures: bytes cut into frames, each readable by itself, in any order.
// The twin of boatlog/frames.py, which says what a frame holds. Packing the bytes is the caller's business.

import { hex, sha256 } from "./sha256.ts";

export const VERSION = 1;
export const MOST_FRAMES = 65535;
const HEAD = 13;
const TAIL = 4;
const LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";
const VALUES: ReadonlyMap<string, number> = new Map([...LETTERS].map((letter, value) => [letter, value]));

/** The text is no frame, or was read wrongly: read the picture again. */
export class NotAFrame extends Error {}

/** One piece of a whole: which whole (hex), its place, how many there are. */
export interface Frame {
  readonly whole: string;
  readonly index: number;
  readonly count: number;
  readonly piece: Uint8Array;
}

/** The pieces read so far of one whole. */
export interface Gathered {
  readonly whole: string;
  readonly count: number;
  readonly pieces: ReadonlyMap<number, Uint8Array>;
}

/** The frames of `data`, pieces of `size` bytes. Throws RangeError where there would be too many or size is not positive. */
export function cut(data: Uint8Array, size: number): string[] {
  if (size < 1) throw new RangeError("size: must be at least 1 byte");
  const count = Math.max(1, Math.ceil(data.length / size));
  if (count > MOST_FRAMES) throw new RangeError(`size: ${data.length} bytes make more than ${MOST_FRAMES} frames of ${size}`);
  const whole = sha256(data).subarray(0, 8);
  const made: string[] = [];
  for (let index = 0; index < count; index++) {
    const piece = data.subarray(index * size, (index + 1) * size);
    const frame = new Uint8Array(HEAD + piece.length + TAIL);
    const seen = new DataView(frame.buffer);
    frame[0] = VERSION;
    frame.set(whole, 1);
    seen.setUint16(9, index);
    seen.setUint16(11, count);
    frame.set(piece, HEAD);
    seen.setUint32(HEAD + piece.length, crc32(frame.subarray(0, HEAD + piece.length)));
    made.push(base45(frame));
  }
  return made;
}

/** The frame in a text that a camera read. Throws NotAFrame. */
export function readFrame(text: string): Frame {
  const data = fromBase45(text);
  if (data.length < HEAD + TAIL || data[0] !== VERSION) throw new NotAFrame("this picture is not part of a boat log");
  const seen = new DataView(data.buffer);
  const inner = data.subarray(0, data.length - TAIL);
  const index = seen.getUint16(9);
  const count = seen.getUint16(11);
  if (crc32(inner) !== seen.getUint32(data.length - TAIL) || index >= count) throw new NotAFrame("this picture was read wrongly: read it again");
  return { whole: hex(inner.subarray(1, 9)), index, count, piece: inner.subarray(HEAD) };
}

/** What is there after one more frame; a frame of another whole begins anew. */
export function gather(have: Gathered | null, frame: Frame): Gathered {
  const same = have !== null && have.whole === frame.whole && have.count === frame.count;
  return { whole: frame.whole, count: frame.count, pieces: new Map(same ? have.pieces : []).set(frame.index, frame.piece) };
}

/** The places not read yet, in order. */
export function stillMissing(have: Gathered): number[] {
  return Array.from({ length: have.count }, (_, index) => index).filter((index) => !have.pieces.has(index));
}

/** The whole; null while pieces are missing. Throws NotAFrame where the pieces do not make what was cut. */
export function joined(have: Gathered): Uint8Array | null {
  if (stillMissing(have).length > 0) return null;
  const pieces = Array.from({ length: have.count }, (_, index) => have.pieces.get(index)!);
  const data = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, 0));
  let at = 0;
  for (const piece of pieces) {
    data.set(piece, at);
    at += piece.length;
  }
  if (hex(sha256(data).subarray(0, 8)) !== have.whole) throw new NotAFrame("the pictures do not fit together: begin again");
  return data;
}

/** The whole from frames in any order, repeats allowed; null while pieces are missing. Throws NotAFrame. */
export function join(texts: Iterable<string>): Uint8Array | null {
  let have: Gathered | null = null;
  for (const text of texts) have = gather(have, readFrame(text));
  return have === null ? null : joined(have);
}

/** CRC-32 as in ISO 3309 and ITU-T V.42: polynomial 0x04C11DB7, reflected, start and end inverted. */
export function crc32(data: Uint8Array): number {
  let found = 0xffffffff;
  for (const byte of data) found = CRC[(found ^ byte) & 0xff]! ^ (found >>> 8);
  return (found ^ 0xffffffff) >>> 0;
}

/** RFC 9285, section 4: two bytes to three letters, a last single byte to two. */
export function base45(data: Uint8Array): string {
  let made = "";
  for (let start = 0; start + 1 < data.length; start += 2) {
    const value = data[start]! * 256 + data[start + 1]!;
    made += LETTERS[value % 45]! + LETTERS[Math.floor(value / 45) % 45]! + LETTERS[Math.floor(value / 2025)]!;
  }
  const last = data[data.length - 1];
  if (data.length % 2 === 1) made += LETTERS[last! % 45]! + LETTERS[Math.floor(last! / 45)]!;
  return made;
}

/** The bytes of a Base45 text. Throws NotAFrame. */
export function fromBase45(text: string): Uint8Array<ArrayBuffer> {
  const values = [...text].map((letter) => VALUES.get(letter) ?? -1);
  if (values.includes(-1) || values.length % 3 === 1) throw new NotAFrame("this picture is not part of a boat log");
  const made: number[] = [];
  for (let start = 0; start < values.length; start += 3) {
    const [a, b, c] = values.slice(start, start + 3);
    const value = a! + b! * 45 + (c ?? 0) * 2025;
    if (value >= (c === undefined ? 256 : 65536)) throw new NotAFrame("this picture is not part of a boat log");
    if (c !== undefined) made.push(value >> 8);
    made.push(value & 0xff);
  }
  return Uint8Array.from(made);
}

const CRC: readonly number[] = Array.from({ length: 256 }, (_, byte) => {
  let value = byte;
  for (let bit = 0; bit < 8; bit++) value = (value >>> 1) ^ (value & 1 ? 0xedb88320 : 0);
  return value >>> 0;
});
