// What is wrong with entries, each beside its own: nothing is thrown away, whatever it claims to be.
import { expect, test } from "vitest";
import type { Entry } from "../../src/kernel/boatlog/entries.ts";
import type { StoredEntry } from "../../src/store/records.ts";
import { missing, troubled } from "../../src/screens/deck/trouble.ts";
import { BEN, CLEO, TRIP, phone } from "../sync/boat.ts";

const stored = (entry: Entry, more: Partial<StoredEntry> = {}): StoredEntry => ({ id: entry.id, trip: TRIP, entry, text: null, sent: 1, ...more });

async function three() {
  const { log } = await phone(51);
  for (const subject of [BEN, CLEO, BEN]) await log.write({ by: CLEO, kind: "person_went_in", subject });
  return log.entries.map(({ entry }) => entry);
}

const codes = (log: Parameters<typeof troubled>[0]) => troubled(log).map(({ stored: { entry }, codes: found }) => [entry.subject, entry.seq, found]);

test("an altered copy under the same id is kept beside the first, on the disk too, and only it is shown as altered", async () => {
  const [first, second] = await three();
  const altered = { ...second!, subject: BEN };
  for (const order of [
    [first!, second!, altered],
    [first!, altered, second!],
  ]) {
    const here = await phone(52);
    await here.log.receive(order.map((entry) => stored(entry)), null);
    await here.log.receive([stored(altered), stored(second!)], null);
    expect(here.log.entries).toHaveLength(3);
    expect(await here.store.entries(TRIP)).toHaveLength(3);
    expect(new Map(codes(here.log).map(([who, , found]) => [who, found]))).toEqual(
      new Map([
        [CLEO, ["forked"]],
        [BEN, ["altered", "forked"]],
      ]),
    );
  }
});

test("somebody else's copy of an entry that is only here does not count as this phone's own having arrived", async () => {
  const { log } = await phone(53);
  const own = await log.write({ by: CLEO, kind: "person_went_in", subject: BEN });
  await log.receive([stored({ ...own, subject: CLEO })], null);
  expect(log.onlyHere).toBe(1);
  expect(log.entry(own.id)?.subject).toBe(BEN);
});

test("a gap is a matter of time and no entry is in doubt for it; a phone taken off is named by what the server said", async () => {
  const [first, , third] = await three();
  const here = await phone(54);
  await here.log.receive([stored(first!), stored(third!)], null);
  expect([missing(here.log), troubled(here.log)]).toEqual([1, []]);
  const late = await phone(55);
  await late.log.receive([stored(first!, { trouble: ["device_revoked"] })], null);
  expect(codes(late.log)).toEqual([[BEN, 1, ["device_revoked"]]]);
});
