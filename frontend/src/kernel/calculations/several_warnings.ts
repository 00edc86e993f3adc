// What a leader should know of a question about several dives although it is answered.
// The twin of calculations/several_warnings.py.

import { listed, sortedIds } from "../pairing/model.ts";
import type { DayWave, WholeDay } from "../pairing/several_case.ts";
import { pairingWarnings } from "./pairing_warnings.ts";
import type { SeveralAsked } from "./several_reading.ts";
import type { Warning } from "./team_reading.ts";

/** Those of each dive, pointing into it, and once what is taken for granted between the dives. */
export function severalWarnings(asked: SeveralAsked, day: WholeDay): Warning[] {
  const found: Warning[] = [];
  asked.dives.forEach((one, at) => {
    const dive = day.dives[at]!;
    for (const warning of pairingWarnings(dive.pricing.case, one.asked)) {
      const ofDive = !warning.pointer.startsWith("/divers/");
      if (!ofDive && at > 0) continue;
      found.push({ ...warning, pointer: ofDive ? `/dives/${at}${warning.pointer}` : warning.pointer });
    }
    found.push(...coverOf(asked, dive.waves, at));
  });
  day.boats.forEach((boat, at) => {
    if (boat.aboard.length + (boat.persons ? boat.crew : 0) <= boat.most) return;
    const message = `More people have a fixed place on ${boat.id} than it takes.`;
    found.push({ code: "boat_over", pointer: `/boats/${at}`, message });
  });
  asked.dives.forEach((one, at) => {
    const same = asked.divers.map((diver) => diver.id).filter((id) => !one.gear.has(id));
    if (at === 0 || same.length === 0) return;
    const message =
      `No gas of its own is given on dive ${at + 1} for ${listed(sortedIds(same))}: the cylinder counts as full ` +
      "and as analysed as at first. Record what is taken before anyone dives.";
    found.push({ code: "same_gas_assumed", pointer: `/dives/${at}/divers`, message });
  });
  return found;
}

/** A role nobody has is said where the club wants it, or once somebody is named for any wave. */
function coverOf(asked: SeveralAsked, waves: readonly DayWave[], at: number): Warning[] {
  const { surfaceCover } = asked.policy;
  const named = waves.some((wave) => wave.cover.length > 0);
  const wanted = surfaceCover === "warn" || (surfaceCover === "shown" && named);
  return waves.flatMap((wave, number) => {
    if (wave.lacking.length === 0 || !(wanted || wave.closed)) return [];
    const which = wave.id === null ? "" : ` for wave ${wave.id}`;
    const missing = wave.lacking.join(", ");
    const message = `Name who stays out of the water${which} before anyone dives: missing ${missing}.`;
    const inside = asked.dives[at]!.waves.length > 0 ? `/waves/${number}` : "";
    return [{ code: "surface_cover_missing", pointer: `/dives/${at}${inside}/surface_cover`, message }];
  });
}
