// What a leader should know of a question about teams although it is answered.
// The twin of calculations/pairing_warnings.py.

import type { Case } from "../pairing/case.ts";
import { refusal } from "../pairing/rules.ts";
import type { Asked } from "./asked_reading.ts";

/** Overrides that do not count, dates that disagree, names that are nobody's. */
export function pairingWarnings(of: Case, asked: Asked): { code: string; pointer: string; message: string }[] {
  const found: { code: string; pointer: string; message: string }[] = [];
  of.overrides.forEach((override, i) => {
    const why = refusal(override, of);
    if (why === null) return;
    const message = `This override does not count: ${why}.`;
    found.push({ code: "override_refused", pointer: `/overrides/${i}`, message });
  });
  [...of.people.values()].forEach((person, i) => {
    const last = person.experience === null ? null : person.experience.lastDive;
    const done = person.experience === null ? [] : (person.experience.done ?? []);
    if (last !== null && done.some((one) => one.on > last)) {
      const message =
        "The log holds a later dive than the last one stated: the earlier date counts for a lay-off.";
      found.push({ code: "last_dive_before_log", pointer: `/divers/${i}/experience/last_dive`, message });
    }
  });
  asked.outOfWater.forEach((id, i) => {
    if (of.people.has(id)) return;
    const message = "Not one of the divers of this body: nothing to leave out.";
    found.push({ code: "unknown_diver", pointer: `/out_of_water/${i}`, message });
  });
  return found;
}
