// What a team would owe for staying past its tissue no-stop limit: told before the dive, never planned. The twin of
// physics/overstay.py.

import { type Ascent, owed, stopS } from "./ascent.ts";
import { type DiverLimits, type TeamDive, type TeamSettings, nextLonger } from "./diver.ts";
import { type Missing, isMissing, merge } from "./known.ts";
import { tissueLeftS } from "./nitrogen.ts";
import { squareDive } from "./profile.ts";

/** Five and ten minutes past the limit. */
export const PAST_S: readonly number[] = [300, 600];

/** A bottom time past the team's limit, and the diver who would owe most for it. */
export interface Overstay {
  readonly pastS: number;
  readonly bottomTimeS: number;
  readonly diver: string;
  readonly ascent: Ascent;
}

/** The bottom time planned, where it is past the team's tissue limit, and with `asked` 5 and 10 min past it. */
export function overstays(
  dive: TeamDive,
  members: readonly DiverLimits[],
  settings: TeamSettings,
  asked: boolean,
): readonly Overstay[] | Missing {
  const lefts = members.map((member) => tissueLeftS(member.noStop));
  const unknown = merge(lefts);
  if (unknown !== null) return unknown;
  const known = lefts.filter((left) => typeof left === "number");
  if (known.length === 0) return [];
  const limitS = Math.min(...known);
  const pasts = dive.bottomTimeS > limitS ? [dive.bottomTimeS - limitS] : [];
  if (asked) for (const past of PAST_S) if (!pasts.includes(past)) pasts.push(past);
  const found: Overstay[] = [];
  for (const pastS of pasts) {
    let worst: Overstay | null = null;
    for (const { diver, state } of members) {
      const bottomTimeS = limitS + pastS;
      const stay = {
        ...squareDive(dive.depth, bottomTimeS, diver.mix),
        caution: diver.caution,
        coldOrHard: nextLonger(dive),
      };
      const ascent = owed(state, stay, settings.dive);
      if (isMissing(ascent)) return ascent;
      if (worst === null || stopS(ascent) > stopS(worst.ascent)) {
        worst = { pastS, bottomTimeS, diver: diver.id, ascent };
      }
    }
    if (worst !== null) found.push(worst);
  }
  return found;
}
