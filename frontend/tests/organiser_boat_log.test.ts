import { describe, expect, test } from "vitest";
import { chainsNote, phoneNote, troubleText, type PhoneChain } from "../src/screens/organiser/boat_log_words.ts";

const whole: PhoneChain = { device: "d", label: "Boat phone", enrolled: true, revoked_at: null, last_seq: 12, signed_seq: 12, trouble: [] };

describe("a phone's chain in words", () => {
  test("says how far it goes and how far it is signed", () => {
    expect(phoneNote(whole)).toBe("12 entries · signed to the end");
    expect(phoneNote({ ...whole, signed_seq: 7 })).toBe("12 entries · signed up to 7");
    expect(phoneNote({ ...whole, last_seq: 0, signed_seq: null })).toBe("no entry yet");
    expect(phoneNote({ ...whole, enrolled: false, revoked_at: "2027-06-12T11:00:00Z" })).toContain("taken off: what it wrote is kept and marked");
  });

  test("names the entry of a fork, and calls for a look; a gap is a matter of time", () => {
    const forked = { ...whole, trouble: [{ code: "forked", seq: 2, entries: ["a", "b"] }] };
    expect(troubleText({ code: "forked", seq: 2 })).toBe("Entry 2 stands twice, with two contents.");
    expect(chainsNote([whole, forked])).toEqual({ note: "1 entry of a phone changed, doubled or missing: look", warn: true });
    expect(chainsNote([whole, { ...whole, trouble: [{ code: "missing", seq: 3, entries: [] }] }]).warn).toBe(false);
    expect(chainsNote([]).note).toContain("no phone yet");
  });
});
