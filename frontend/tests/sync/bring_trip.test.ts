// A phone without the trip reads it off another one at sea: it writes in a chain of its own, said not to have joined.
import { expect, test } from "vitest";
import { check } from "../../src/kernel/boatlog/chain.ts";
import { gather, joined, readFrame, type Gathered } from "../../src/kernel/boatlog/frames.ts";
import { onReplaced, openTrip, pieces } from "../../src/store/phone.ts";
import { hasJoined } from "../../src/store/records.ts";
import { bringTrip } from "../../src/sync/bring_trip.ts";
import { exchange, type Wire } from "../../src/sync/exchange.ts";
import { OtherPictures, PICTURE_MS, pictures, takeIn, type Ready } from "../../src/sync/pictures.ts";
import { ANA, BEN, CLEO, DIVE, phone, SNAPSHOT, TEAM, TRIP } from "./boat.ts";

const NAMES = { [ANA]: "Ana Wick", [BEN]: "Ben Holm", [CLEO]: "Cleo Marsh" };
const READY: Ready = { snapshot: SNAPSHOT, names: NAMES, labels: { trip: "A day out", boat: "Maré" } };
const wholeOf = (texts: readonly string[]) => joined(texts.map((text) => readFrame(text)).reduce<Gathered | null>(gather, null)!) as Uint8Array<ArrayBuffer>;
const silent: Wire = {
  get: () => Promise.reject(new Error("asked the server")),
  post: () => Promise.reject(new Error("asked the server")),
};

test("the trip comes with the log, the phone takes the deck over, and what it wrote reaches a phone that has joined", async () => {
  const one = await phone(51);
  await one.log.write({ by: CLEO, kind: "deck_accepted", subject: CLEO, data: { from: null } });
  await one.log.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
  const [alone, withTrip] = [await pictures(one.log), await pictures(one.log, READY)];
  console.log(`the trip of three people: ${withTrip.length - alone.length} more pictures, ${((withTrip.length * PICTURE_MS) / 1000).toFixed(1)} s a round in all`);
  await expect(bringTrip(wholeOf(alone))).rejects.toBeInstanceOf(OtherPictures);
  const forged = { ...READY, snapshot: { ...SNAPSHOT, people: "nobody" } } as unknown as Ready;
  await expect(bringTrip(wholeOf(await pictures(one.log, forged)))).rejects.toBeInstanceOf(OtherPictures);
  expect(await openTrip(TRIP)).toBeNull();

  // Half of another row was read before: it may still be finished.
  const half = { trip: "", whole: "00", count: 2, index: 0, piece: new Uint8Array([1]) };
  await pieces.keep(half);
  const empty: number[] = [];
  // The app is closed right after the trip was stored: what it would have written next is written when it is read again.
  const stop = onReplaced((trip) => {
    void openTrip(trip).then((log) => empty.push(log!.entries.length));
    throw new Error("the app was closed");
  });
  await expect(bringTrip(wholeOf(withTrip))).rejects.toThrow("the app was closed");
  expect(await bringTrip(wholeOf(withTrip))).toBe(TRIP);
  expect(await pieces.here("")).toEqual([half]);
  expect(empty, "never here without its log").toEqual([2]);
  stop();
  const log = (await openTrip(TRIP))!;
  expect([log.name(ANA), log.record.hash, hasJoined(log.device)]).toEqual(["Ana Wick", one.log.record.hash, false]);
  expect(log.entries.filter(({ entry }) => entry.device !== log.device!.device).map(({ id }) => id).sort()).toEqual(one.log.entries.map(({ id }) => id).sort());
  const own = () => log.entries.filter(({ entry }) => entry.device === log.device!.device).map(({ entry }) => entry);
  expect(own().map(({ kind, data }) => [kind, data["joined"]])).toEqual([["snapshot_taken", false]]);
  await log.write({ by: BEN, kind: "phone_lost", subject: TRIP });
  await log.write({ by: BEN, kind: "deck_accepted", subject: BEN, data: { from: CLEO } });
  expect(check(own())).toEqual([]);
  // It asks no server for anything: it has no token.
  expect(await exchange(log, silent, () => Date.now())).toBeNull();

  expect(await bringTrip(wholeOf(withTrip)), "read again: the phone stays what it is").toBe(TRIP);
  expect(own()).toHaveLength(3);
  expect(await takeIn(one.log, wholeOf(await pictures(log)))).toMatchObject({ all: 5, fresh: 3, unreadable: 0, broken: 0, otherPlan: false });
  expect(one.log.onlyHere).toBe(5);
});

test("what is too large for pictures is refused with what to do instead", async () => {
  const one = await phone(51);
  const random = crypto.getRandomValues(new Uint8Array(60_000));
  const noise = Object.fromEntries(Array.from({ length: 8 }, (_, n) => [`p${n}`, [...random].map((byte) => ((byte * (n + 3) * 7919) % 251).toString(36)).join("")]));
  await expect(pictures(one.log, { ...READY, names: noise })).rejects.toThrow(/too large for pictures/);
});
