// How the duty ashore is said at the desk: never "armed" without whom it would reach.
import { describe, expect, it } from "vitest";
import { contactNote, headline, sentNote, tone, troubleOf } from "../src/screens/organiser/shore_words.ts";
import { remedyStep } from "../src/screens/organiser/trip_words.ts";
import type { FloatPlan, ShoreContact, ShoreSent, Trip } from "../src/screens/words/answers.ts";

const time = (at: string) => at.slice(11, 16);
const bryn: ShoreContact = { id: "1", name: "Bryn Tal", email: "bryn@skerry.example", phone: "555 0199", diver: null, account: false, link: "/ashore/x" };
const armed: FloatPlan = {
  back_by: "2027-06-12T17:00:00Z",
  stands: "armed",
  contacts: [bryn],
  home: null,
  handed_over: null,
  if_not_heard: "",
  if_not_heard_general: "",
  sites: [],
  mail: true,
  told_otherwise_by: "",
  heard: null,
  alarms: [],
  sent: [],
};
const ready = { state: "ready" } as const;
const said = (by: string, log = false) => ({ by, at: "2027-06-12T17:05:00Z", log });

describe("the duty ashore in words", () => {
  it("says plainly that nobody is alarmed where no back-by time is set", () => {
    expect(headline({ ...armed, back_by: null, stands: "nobody" }, ready, time)).toMatch(/^No back-by time is set: nobody ashore is alarmed/);
    expect(headline({ ...armed, stands: "nobody" }, { state: "planned" }, time)).toMatch(/^Nobody is told yet/);
  });
  it("is armed only for whom it can reach", () => {
    expect([headline(armed, ready, time), tone(armed)]).toEqual(["The alarm ashore is armed.", undefined]);
    const deaf = { ...armed, mail: false };
    expect(headline(deaf, ready, time)).toContain("would reach nobody");
    expect(tone(deaf)).toBe("warn");
    expect(tone({ ...deaf, contacts: [bryn, { ...bryn, account: true }] })).toBeUndefined();
  });
  it("names who said that they are told another way where nothing reaches them", () => {
    expect(headline({ ...armed, mail: false, told_otherwise_by: "Oda Fell" }, ready, time)).toMatch(/would reach nobody: .* Oda Fell said that they are told another way\.$/);
  });
  it("says that everybody was called and nobody has taken it", () => {
    expect(headline({ ...armed, stands: "untaken" }, ready, time)).toBe("ALARM ashore: everybody was called, and nobody ashore has taken it. The leaders of the club are told.");
    expect(tone({ ...armed, stands: "untaken" })).toBe("stop");
  });
  it("names who has an alarm and who said home", () => {
    const alarm = { kind: "back_by_passed", since: "2027-06-12T17:00:00Z", text: "", acknowledged: said("Edda Lorn") };
    expect(tone({ ...armed, stands: "raised" })).toBe("stop");
    expect(headline({ ...armed, stands: "acknowledged", alarms: [alarm] }, ready, time)).toBe("ALARM ashore: Edda Lorn has it since 17:05.");
    expect(headline({ ...armed, stands: "home", home: said("Person 2", true) }, ready, time)).toBe("All home: Person 2 said so in the boat log, 17:05.");
    expect(headline({ ...armed, stands: "handed_over", handed_over: said("Bryn Tal") }, ready, time)).toContain("The rescue service has it: Bryn Tal");
  });
  it("says how a contact is reached and what did not reach them", () => {
    expect(contactNote(bryn)).toBe("mail to bryn@skerry.example · phone 555 0199");
    expect(contactNote({ ...bryn, email: "", phone: "" })).toBe("nothing reaches this person");
    const sent: ShoreSent = { contact: "1", kind: "back_by_passed", state: "waiting", at: armed.back_by ?? "", error: "mail: refused" };
    expect([sentNote(sent, time), troubleOf([sent])]).toEqual(["Alarm: not back: not told yet", "Not everything reaches them: mail: refused."]);
    expect(troubleOf([{ ...sent, error: "" }, sent])).toBeNull();
  });
});

it("leads from what keeps a trip from leaving to where it is mended", () => {
  const trip = { id: "t", club: "c", dives_planned: [] } as unknown as Trip;
  expect(remedyStep({ code: "contact_not_reached", pointer: "/float_plan/contacts/0" }, trip)?.path).toBe("/organise/trips/t/shore/change");
  expect(remedyStep({ code: "shore_calls_not_set", pointer: "/club/shore_call_every_min" }, trip)?.path).toBe("/organise/clubs/c/on-deck");
});
