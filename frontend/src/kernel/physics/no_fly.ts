// How long before flying or going to altitude: the consensus, the table and the club's own rule.
// The twin of physics/no_fly.py.

import RULE from "@data/no_fly.json" with { type: "json" };
import { type Missing, isMissing, lacking, missing } from "./known.ts";
import type { NitrogenState } from "./nitrogen.ts";
import type { Settings } from "./profile.ts";
import { floorDiv } from "./rounding.ts";
import * as tables from "./tables.ts";

export const SINGLE_MIN: number = RULE.single_no_stop_dive_min;
export const MORE_MIN: number = RULE.more_dives_or_days_min;
export const FROM_FT: number = RULE.from_ft;
export const TO_FT: number = RULE.to_ft;
export const USUAL_CABIN_FT: number = RULE.usual_cabin_ft;

export const NO_FIGURE = missing("a wait after a dive beyond its limit (no published figure)");

/** Waits in minutes from the last surfacing; `waitMin` is the longest, `rule` says which that is. */
export interface NoFly {
  readonly consensusWaitMin: number | Missing;
  readonly tableWaitMin: number | Missing;
  readonly clubWaitMin: number;
  readonly waitMin: number | Missing;
  readonly rule: string;
}

/** Workshop of 2002: 12 h after a single no-stop dive, 18 h after more dives or several days. */
export function consensusWaitMin(toAltitudeFt: number, dives: number, days: number | null): number | Missing {
  if (toAltitudeFt > TO_FT) return missing(`a consensus for more than ${TO_FT} ft`);
  if (toAltitudeFt < FROM_FT) return 0;
  return dives <= 1 && days === 1 ? SINGLE_MIN : MORE_MIN;
}

/** Table 9-6 with the highest group of the 24 h before the last surfacing. */
export function tableWaitMin(state: NitrogenState, increaseFt: number): number | Missing {
  let highest: string | null = null;
  for (const [group] of state.groups) {
    if (isMissing(group)) return group;
    highest = tables.higherGroup(highest, group);
  }
  return highest === null ? 0 : tables.waitBeforeAltitudeMin(highest, increaseFt);
}

/** The longest of the three waits before reaching `toAltitudeFt`, after `dives` dives on `days` days. */
export function noFly(
  state: NitrogenState,
  settings: Settings,
  toAltitudeFt: number,
  dives: number,
  days: number | null,
  clubWaitMin: number,
): NoFly {
  if (state.beyond) {
    const rule = "no published figure after a dive beyond its limit";
    return { consensusWaitMin: NO_FIGURE, tableWaitMin: NO_FIGURE, clubWaitMin, waitMin: NO_FIGURE, rule };
  }
  const consensus = consensusWaitMin(toAltitudeFt, dives, days);
  const table = tableWaitMin(state, toAltitudeFt - settings.altitudeFt);
  if (isMissing(consensus) || isMissing(table)) {
    const waitMin = lacking(consensus, table);
    return { consensusWaitMin: consensus, tableWaitMin: table, clubWaitMin, waitMin, rule: "not known" };
  }
  const longest = Math.max(consensus, table, clubWaitMin);
  let rule: string;
  if (longest === 0) rule = `no wait asked for ${toAltitudeFt} ft`;
  else if (longest === consensus) {
    const several = consensus === MORE_MIN ? "more than one dive or several days of diving" : "a single no-stop dive";
    rule = `consensus: ${floorDiv(consensus, 60)} h after ${several}`;
  } else if (longest === table) rule = "table: highest repetitive group of the last 24 h";
  else rule = "the club's own wait";
  return { consensusWaitMin: consensus, tableWaitMin: table, clubWaitMin, waitMin: longest, rule };
}
