import { gather, stillMissing, type Frame, type Gathered } from "../kernel/boatlog/frames.ts";
import type { PieceRecord } from "../store/records.ts";

/** Rows of pictures kept beside each other: that of the phone in hand, and what a look at another one brought. */
const MOST_ROWS = 4;

/** What is there after one more picture, the row seen last first: a look at another phone loses nothing of this one. */
export function collect(have: readonly Gathered[], frame: Frame): readonly Gathered[] {
  const same = have.find((row) => row.whole === frame.whole && row.count === frame.count) ?? null;
  return [gather(same, frame), ...have.filter((row) => row !== same)].slice(0, MOST_ROWS);
}

/** The rows that this phone's database kept, the one with most read first. */
export function rowsOf(kept: readonly PieceRecord[]): readonly Gathered[] {
  return [...kept.reduce<readonly Gathered[]>(collect, [])].sort((a, b) => b.pieces.size - a.pieces.size);
}

/** The numbers of the pictures not read yet, as they are counted on the other phone: "3, 7 to 9". */
export function outstanding(row: Gathered): string {
  const runs: [number, number][] = [];
  for (const index of stillMissing(row)) {
    const last = runs.at(-1);
    if (last !== undefined && last[1] === index - 1) last[1] = index;
    else runs.push([index, index]);
  }
  return runs.map(([from, to]) => (from === to ? `${from + 1}` : `${from + 1} to ${to + 1}`)).join(", ");
}
