// What the boat log's page says of an entry: of one that it cannot read it still says something.
import { expect, test } from "vitest";
import { said } from "../../src/screens/deck/said.ts";
import type { Deck } from "../../src/screens/deck/use_trip.ts";
import { ANA, BEN, CLEO, DIVE, phone, TEAM } from "../sync/boat.ts";

test("what a newer phone wrote, or a correction brings in, breaks no page", async () => {
  const { log, clock } = await phone(65);
  const down = await log.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: DIVE, members: [ANA, BEN] } });
  const correct = (data: object) => log.write({ by: CLEO, kind: "correction", subject: TEAM, corrects: down.id, data: { reason: "other", void: false, data } });
  await correct({ people: "all" });
  await correct({ depth: "deep" });
  await correct({ depth: { unit: "m", hundredths: 1800 } });
  await correct({ members: [ANA] });
  // No phone writes these: they come from elsewhere.
  for (const [kind, data] of [["team_changed", { dive: DIVE, members: { ana: 1 } }], ["depth_reported", { dive: DIVE, depth: null }]] as const) {
    const { id } = await log.write({ by: CLEO, kind: "note", subject: TEAM });
    const made = log.entries.find((one) => one.id === id)!;
    const other = `${id.slice(0, -4)}${kind.length === 12 ? "0001" : "0002"}`;
    await log.receive([{ ...made, id: other, entry: { ...made.entry, id: other, kind, data } }], null);
  }
  const deck = { log, view: log.view(clock), zone: "UTC" } as unknown as Deck;
  const names = { full: (id: string) => (id === ANA ? "Ana" : "Ben"), short: () => "", list: [] } as never;
  const words = log.entries.filter(({ entry }) => entry.kind !== "note").map((stored) => said(deck, names, stored));
  expect(words.slice(-7)).toEqual([
    expect.stringMatching(/^Team \d down: Ana and Ben$/),
    "Corrected: an earlier entry",
    "Corrected: an earlier entry",
    "Corrected: the depth was 18 m",
    "Corrected: it was Ana",
    "team changed",
    "depth reported",
  ]);
});
