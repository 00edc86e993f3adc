// Entries are checked against the published schema on the phone too, before they are written: the same one the server uses.
import { expect, test } from "vitest";
import { CLEO, DIVE, phone, START, TEAM } from "../sync/boat.ts";

test("what no phone would understand is refused, names the field, and leaves the log as it was", async () => {
  const { log } = await phone(47);
  const before = log.entries.length;
  await expect(log.write({ by: CLEO, kind: "down", subject: TEAM, data: { dive: "", members: [] } })).rejects.toThrow("down/data/dive");
  await expect(log.write({ by: CLEO, kind: "surfaced", subject: TEAM, at: START, data: { people: [CLEO], latest: START - 1 } })).rejects.toThrow("/data/latest");
  await expect(log.write({ by: CLEO, kind: "pressure_reported", subject: CLEO, data: { dive: DIVE, pressure: { unit: "psi", value: 9999 } } })).rejects.toThrow("/data/pressure/value");
  expect(log.entries.length).toBe(before);
  // A kind that is not known here is somebody's newer word, and is written.
  await log.write({ by: CLEO, kind: "from_the_future", subject: CLEO, data: { anything: [1, { x: null }] } });
  expect(log.entries.length).toBe(before + 1);
});
