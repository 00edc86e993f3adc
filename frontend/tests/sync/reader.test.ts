// Another phone's pictures as the camera tells them: rows side by side, foreign codes, a disk that refuses, a closed app.
import { expect, test } from "vitest";
import { cut } from "../../src/kernel/boatlog/frames.ts";
import type { MemoryStore } from "../../src/store/memory.ts";
import { clockPicture, OtherPictures, type ClockSeen } from "../../src/sync/pictures.ts";
import { PictureReader } from "../../src/sync/reader.ts";
import { id, phone, TRIP } from "./boat.ts";

const noise = (seed: number, size = 2000) => Uint8Array.from({ length: size }, (_, n) => (n * n * seed + n * 31 + seed) % 251);
const FOREIGN = "HTTPS://VARROW.EXAMPLE/DIVE-SHOP";

interface Told {
  data: Uint8Array;
  clock: ClockSeen | null;
}

function onStore(store: MemoryStore, finish?: (data: Uint8Array) => Promise<void>): { reader: PictureReader; told: Told[] } {
  const told: Told[] = [];
  const kept = { here: (trip: string) => store.pieces(trip), keep: (piece: Parameters<MemoryStore["keepPiece"]>[0]) => store.keepPiece(piece), drop: (trip: string, whole: string) => store.dropPieces(trip, whole) };
  const reader = new PictureReader(
    TRIP,
    kept,
    async (data, clock) => {
      await finish?.(data);
      told.push({ data, clock });
    },
    () => {},
    () => 5,
  );
  return { reader, told };
}

const settled = () => new Promise((done) => setTimeout(done, 0));
const piecesIn = async (store: MemoryStore) => (await store.pieces(TRIP)).map(({ index, count }) => `${index} of ${count}`).sort();

test("one row finished leaves what was read of another", async () => {
  const { store } = await phone(51);
  const { reader, told } = onStore(store);
  const [mine, theirs] = [cut(noise(3), 680), cut(noise(7, 700), 680)];
  for (const text of [mine[0]!, clockPicture(id(52), 1234), theirs[0]!, mine[2]!, theirs[1]!]) reader.read(text);
  await settled();
  expect(told.map(({ data, clock }) => [data.length, clock])).toEqual([[700, { phone: id(52), shownMs: 1234, readMs: 5 }]]);
  expect(reader.rows.map(({ pieces, count }) => [pieces.size, count])).toEqual([[2, 3]]);
  expect(await piecesIn(store)).toEqual(["0 of 3", "2 of 3"]);
  reader.read(mine[1]!);
  await settled();
  expect(told.map(({ data }) => data.length)).toEqual([700, 2000]);
  expect(await piecesIn(store)).toEqual([]);
});

test("a code that is no picture of a boat log is said and passed by, also while a whole row waits for the disk", async () => {
  const { store } = await phone(51);
  let full = true;
  const { reader, told } = onStore(store, async () => {
    if (full) throw new DOMException("", "QuotaExceededError");
  });
  const mine = cut(noise(3), 680);
  reader.read(mine[0]!);
  reader.read(FOREIGN);
  expect(reader.trouble).toBe("Not read: this picture is not part of a boat log.");
  expect(reader.rows[0]!.pieces.size).toBe(1);
  reader.read(mine[1]!);
  expect(reader.trouble).toBe("");
  reader.read(mine[2]!);
  await settled();
  expect(reader.trouble).toMatch(/could not store/);
  reader.read(FOREIGN);
  expect(await piecesIn(store)).toEqual(["0 of 3", "1 of 3", "2 of 3"]);
  full = false;
  reader.read(mine[1]!);
  await settled();
  expect(told).toHaveLength(1);
});

test("what is of another trip, or does not fit together, is dropped by itself", async () => {
  const { store } = await phone(51);
  const { reader, told } = onStore(store, async (data) => {
    if (data.length === 700) throw new OtherPictures("These pictures are of another trip.");
  });
  const [mine, other] = [cut(noise(3), 680), cut(noise(7, 700), 680)];
  reader.read(mine[0]!);
  for (const text of other) reader.read(text);
  await settled();
  expect(reader.trouble).toBe("These pictures are of another trip.");
  expect(reader.rows.map(({ count }) => count)).toEqual([3]);
  // Two rows that begin alike (the eight bytes that name them are the same) and differ: nobody ever makes these.
  await store.keepPiece({ trip: TRIP, whole: "0011223344556677", count: 2, index: 0, piece: noise(1, 10) });
  await store.keepPiece({ trip: TRIP, whole: "0011223344556677", count: 2, index: 1, piece: noise(2, 10) });
  const again = onStore(store);
  await again.reader.begin();
  expect(again.reader.trouble).toMatch(/do not fit together/);
  await settled();
  expect(await piecesIn(store)).toEqual(["0 of 3"]);
  expect([told, again.told]).toEqual([[], []]);
});

test("a row that was whole when the app closed is taken in when it opens; another one goes on where it was", async () => {
  const { store } = await phone(51);
  const first = onStore(store, () => new Promise<void>(() => {}));
  const [mine, theirs] = [cut(noise(3), 680), cut(noise(7, 700), 680)];
  for (const text of [mine[0]!, ...theirs]) first.reader.read(text);
  await settled();
  const { reader, told } = onStore(store);
  await reader.begin();
  await settled();
  expect(told.map(({ data }) => data.length)).toEqual([700]);
  expect(reader.rows.map(({ pieces, count }) => [pieces.size, count])).toEqual([[1, 3]]);
});

test("four rows stand beside each other; a fifth takes the place of the one seen longest ago, on the disk too", async () => {
  const { store } = await phone(51);
  const { reader } = onStore(store);
  const rows = [1, 2, 3, 4, 5].map((n) => cut(noise(n, 690 + n), 680));
  for (const row of rows) reader.read(row[0]!);
  expect(reader.rows).toHaveLength(4);
  await settled();
  const kept = new Set((await store.pieces(TRIP)).map(({ whole }) => whole));
  expect([kept.size, reader.rows.every(({ whole }) => kept.has(whole))]).toEqual([4, true]);
  reader.beginAnew();
  expect(reader.rows).toHaveLength(3);
  // No row that a teamdive makes is as long as this.
  const long = cut(noise(9, 600), 1);
  reader.read(long[0]!);
  expect(reader.trouble).toMatch(/more pictures than can be read/);
  expect(reader.rows).toHaveLength(3);
});
