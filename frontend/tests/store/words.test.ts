// Words typed on a phone reach any database: no half letter (Unicode, D75 to D79), no null character.
import { expect, test } from "vitest";
import { textHash } from "../../src/kernel/boatlog/entries.ts";
import { storable } from "../../src/store/trip_log.ts";
import { CLEO, phone, TRIP } from "../sync/boat.ts";

test("half letters and null characters are replaced before they are hashed, all else is kept", async () => {
  expect(storable("Maré, 32 % 🤿\n")).toBe("Maré, 32 % 🤿\n");
  const { log } = await phone(45);
  const written = await log.write({ by: CLEO, kind: "note", subject: TRIP, text: "cut \ud83e, zero \0, 🤿" });
  const text = log.entries.find(({ id }) => id === written.id)?.text;
  expect(text?.text).toBe("cut \ufffd, zero \ufffd, 🤿");
  expect(textHash(text!.salt, text!.text)).toBe(written.text_hash);
});
