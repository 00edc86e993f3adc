// How long before flying or going to altitude: the consensus, the table and the club's own rules.
// The twin of physics/no_fly.py, which says what no figure is published for.

import RULE from "@data/no_fly.json" with { type: "json" };
import { type Missing, isMissing, lacking, merge, missing } from "./known.ts";
import type { NitrogenState } from "./nitrogen.ts";
import { AIR_O2_E4, type Mix } from "./oxygen.ts";
import { DAY_S, type Settings } from "./profile.ts";
import { floorDiv, minutesDown } from "./rounding.ts";
import * as tables from "./tables.ts";
import { altitudeFtUp } from "./units.ts";

export type Way = "flight" | "road";
export type Breathed = "air" | "not_known" | "nitrox" | "helium";
/** By how much is published of flying after them. */
const LEAST_LAST: readonly Breathed[] = ["air", "not_known", "nitrox", "helium"];

export const SINGLE_MIN: number = RULE.single_no_stop_dive_min;
export const MORE_MIN: number = RULE.more_dives_or_days_min;
export const FROM_FT: number = RULE.from_ft;
export const TO_FT: number = RULE.to_ft;
export const USUAL_CABIN_FT: number = RULE.usual_cabin_ft;
export const USUAL_ROAD_M: number = RULE.usual_road_m;
export const USUAL_ROAD_FT: number = altitudeFtUp(USUAL_ROAD_M);
/** How long a dive bears on a flight: with one of the last four days there are several days of diving. */
export const REACH_S = 4 * DAY_S;
export const PASSED: string = RULE.passed;
export const ASSUMPTIONS = RULE.assumptions;

export const NO_FIGURE = missing(
  "a wait after a dive beyond its limit (no published figure): club_wait_beyond_limit_min",
);
export const NO_FIGURE_SYMPTOMS = missing("a wait with symptoms (no published figure): club_wait_symptoms_min");
export const NO_FIGURE_HELIUM = missing(
  "a wait after a gas with helium (no published figure): club_wait_other_gas_min",
);

/** What else bears on a wait. */
export interface Circumstances {
  readonly by: Way;
  readonly breathed: Breathed;
  readonly symptoms: boolean;
}

/** The club's own waits in minutes: after every dive, and where no figure is published (null: none). */
export interface ClubWaits {
  readonly alwaysMin: number;
  readonly beyondLimitMin: number | null;
  readonly otherGasMin: number | null;
  readonly symptomsMin: number | null;
}

export const USUAL: Circumstances = { by: "flight", breathed: "air", symptoms: false };
export const NO_CLUB_WAITS: ClubWaits = { alwaysMin: 0, beyondLimitMin: null, otherGasMin: null, symptomsMin: null };

/** Waits in minutes from the last surfacing; `waitMin` is the longest, `rule` says which that is. */
export interface NoFly {
  readonly consensusWaitMin: number | Missing;
  readonly tableWaitMin: number | Missing;
  readonly clubWaitMin: number;
  readonly waitMin: number | Missing;
  readonly rule: string;
  readonly assumptions: readonly string[];
}

/** Of the gases of a diver's dives the one of which least is published. */
export function breathed(mixes: readonly Mix[]): Breathed {
  let found: Breathed = "air";
  for (const mix of mixes) found = leastPublished(found, ofMix(mix));
  return found;
}

export function leastPublished(a: Breathed, b: Breathed): Breathed {
  return LEAST_LAST.indexOf(a) >= LEAST_LAST.indexOf(b) ? a : b;
}

function ofMix(mix: Mix): Breathed {
  if (mix.heE4 > 0) return "helium";
  if (mix.o2E4 === null) return "not_known";
  return mix.o2E4 === AIR_O2_E4 ? "air" : "nitrox";
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

/** The longest of all waits before reaching `toAltitudeFt`, after `dives` dives on `days` days. */
export function noFly(
  state: NitrogenState,
  settings: Settings,
  toAltitudeFt: number,
  dives: number,
  days: number | null,
  club: ClubWaits,
  more: Circumstances = USUAL,
): NoFly {
  let consensus: number | Missing;
  let table: number | Missing;
  let owned: [number, string][] = [];
  let unknown: Missing | null;
  const unpublished = unpublishedFor(state, club, more);
  if (unpublished.length > 0) {
    consensus = table = lacking(...unpublished.map(([figure]) => figure));
    owned = unpublished.flatMap(([, own, label]): [number, string][] => (own === null ? [] : [[own, label]]));
    unknown = merge(unpublished.filter(([, own]) => own === null).map(([figure]) => figure));
  } else {
    consensus = consensusWaitMin(toAltitudeFt, dives, days);
    table = tableWaitMin(state, toAltitudeFt - settings.altitudeFt);
    unknown = merge([consensus, table]);
  }
  const assumptions = assumptionsOf(state, settings, toAltitudeFt, dives, days, club, more);
  const parts = { consensusWaitMin: consensus, tableWaitMin: table, clubWaitMin: club.alwaysMin, assumptions };
  if (unknown !== null) {
    const rule = unpublished.length > 0 ? `no published figure ${unpublished[0]![2]}` : "not known";
    return { ...parts, waitMin: unknown, rule };
  }

  const found: [number, string][] = [];
  if (!isMissing(consensus)) {
    const several = consensus === MORE_MIN ? "more than one dive or several days of diving" : "a single no-stop dive";
    found.push([consensus, `consensus: ${floorDiv(consensus, 60)} h after ${several}`]);
  }
  if (!isMissing(table)) found.push([table, "table: highest repetitive group of the last 24 h"]);
  found.push([club.alwaysMin, "the club's own wait"]);
  for (const [own, label] of owned) found.push([own, `the club's own wait ${label}`]);
  if (more.breathed === "nitrox" && club.otherGasMin !== null) {
    found.push([club.otherGasMin, "the club's own wait after another gas than air"]);
  }
  if (!state.beyond && state.beyondAgoS !== null && club.beyondLimitMin !== null) {
    const left = club.beyondLimitMin - minutesDown(state.beyondAgoS);
    found.push([left, "the club's own wait after a dive beyond its limit"]);
  }
  let [longest, rule] = found[0]!;
  for (const [wait, label] of found) {
    if (wait > longest) [longest, rule] = [wait, label];
  }
  if (longest === 0) rule = `no wait asked for ${toAltitudeFt} ft`;
  return { ...parts, waitMin: longest, rule };
}

type Unpublished = readonly [Missing, number | null, string];

/** What no figure is published for: what would have to be known, the club's own wait, and the words for it. */
function unpublishedFor(state: NitrogenState, club: ClubWaits, more: Circumstances): readonly Unpublished[] {
  const found: Unpublished[] = [];
  if (more.symptoms) found.push([NO_FIGURE_SYMPTOMS, club.symptomsMin, "with symptoms"]);
  if (state.beyond) found.push([NO_FIGURE, club.beyondLimitMin, "after a dive beyond its limit"]);
  if (more.breathed === "helium") found.push([NO_FIGURE_HELIUM, club.otherGasMin, "after a gas with helium"]);
  return found;
}

/** What the waits take for granted, as sentences. */
function assumptionsOf(
  state: NitrogenState,
  settings: Settings,
  toAltitudeFt: number,
  dives: number,
  days: number | null,
  club: ClubWaits,
  more: Circumstances,
): readonly string[] {
  const names: (keyof typeof ASSUMPTIONS)[] = [];
  if (toAltitudeFt < FROM_FT) names.push("below");
  else if (toAltitudeFt > TO_FT) names.push("above");
  else {
    names.push("consensus");
    if (more.by === "road") names.push("road");
    if (days === null && dives <= 1) names.push("days");
  }
  names.push(toAltitudeFt > settings.altitudeFt ? "table" : "at_site");
  if (state.beyondAgoS !== null) names.push("rest");
  if (more.breathed === "helium" || (more.breathed === "nitrox" && club.otherGasMin !== null)) names.push("other_gas");
  if (more.breathed === "nitrox") names.push("nitrox");
  if (more.breathed === "not_known") names.push("gas");
  if (more.symptoms) names.push("symptoms");
  return names.map((name) => ASSUMPTIONS[name]);
}
