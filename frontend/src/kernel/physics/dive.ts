// One diver's day: a dive made, dive after dive, and the state that earlier dives leave.
// The twin of physics/dive.py, which says how joined dives count.

import { type Ascent, owed } from "./ascent.ts";
import { governingLimit, governingWithin } from "./governing.ts";
import { type Missing, isMissing, lacking, missing } from "./known.ts";
import {
  BEYOND,
  type Group,
  type NitrogenState,
  type NoStop,
  type OpenDive,
  clearState,
  isBarred,
  noStop,
  openBefore,
  tissuesNow,
  wait,
} from "./nitrogen.ts";
import { type Segment, exposureShare } from "./oxygen.ts";
import {
  DAY_S,
  type Dive,
  type Settings,
  breathe,
  gfHigh,
  meetsNoCeiling,
  profile,
  squareDive,
} from "./profile.ts";
import { ceilDiv, minutesUp } from "./rounding.ts";
import * as tables from "./tables.ts";
import type { Tissues } from "./tissues.ts";

export type { Group, NitrogenState, NoStop } from "./nitrogen.ts";
export { clearState, noStop, unknownState, wait } from "./nitrogen.ts";
export type { Dive, Method, Settings } from "./profile.ts";

/** A dive made, against both methods. `bottomTimeS` includes the dives it joined. */
export interface DiveAnswer {
  readonly kind: "answer";
  readonly noStop: NoStop;
  readonly joined: boolean;
  readonly bottomTimeS: number;
  readonly equivalentSingleDiveTimeMin: number | Missing;
  readonly tableEntryTimeMin: number | Missing | null;
  readonly tableWithin: boolean | Missing;
  readonly tissueWithin: boolean | Missing;
  readonly within: boolean | Missing;
  readonly limitS: number | Missing | null;
  readonly limitedBy: string | Missing | null;
  readonly groupAfter: Group;
  readonly oxygenShare: number | Missing;
}

/** A dive that is not answered. */
export interface Refused {
  readonly kind: "refused";
  readonly code: string;
  readonly message: string;
}

/** Answers in the order asked; `joined` holds, for each dive, the others that are one dive with it. */
export interface Day {
  readonly answers: readonly (DiveAnswer | Refused | null)[];
  readonly joined: readonly (readonly number[])[];
  readonly state: NitrogenState;
  readonly dives: number;
  /** The ascent that a dive past the tissue model's limit obliged; null: not past it, or not answered. */
  readonly stops: readonly (Ascent | Missing | null)[];
}

/** The whole time of segments, in seconds. */
export function runS(segments: readonly Segment[]): number {
  let total = 0;
  for (const segment of segments) total += segment[2];
  return total;
}

/** A dive made from a state at the surface (`wait` first), and the state on surfacing from it. */
export function after(state: NitrogenState, dive: Dive, settings: Settings): readonly [DiveAnswer, NitrogenState] {
  const limits = noStop(state, dive.depth, dive.mix, settings, dive.caution, dive.coldOrHard);
  const before = openBefore(state, dive.mix);
  const caution = before === null ? dive.caution : Math.max(before.caution, dive.caution);
  const cold = dive.coldOrHard || (before !== null && before.coldOrHard);
  const bottomS = limits.spentS + dive.bottomTimeS;
  const segments = profile(dive, settings);
  const start = before === null ? tissuesNow(state, settings) : before.tissues;

  let timeMin: number | Missing | null;
  let tableWithin: boolean | Missing;
  let groupAfter: Group;
  let esdt: number | Missing;
  const row = limits.tableDepthFsw;
  const rnt = limits.residualNitrogenTimeMin;
  if (isMissing(row) || isMissing(rnt)) {
    esdt = timeMin = tableWithin = groupAfter = lacking(rnt, row);
  } else {
    esdt = rnt + minutesUp(bottomS);
    const entry = tables.enter(row, esdt, limits.steps);
    timeMin = entry.timeMin;
    tableWithin = entry.within;
    groupAfter = entry.group;
  }

  let tissueWithin: boolean | Missing;
  const loaded = loadedAfter(state, dive, before, limits, segments, settings);
  if (isMissing(limits.tissueLimitS)) tissueWithin = limits.tissueLimitS;
  else if (dive.samples !== null && before === null && !isMissing(start)) {
    tissueWithin = meetsNoCeiling(start, segments, dive.mix.n2, gfHigh(settings, caution), dive.mix.he);
  } else tissueWithin = limits.tissueLimitS === null || bottomS <= limits.tissueLimitS;

  const within = governingWithin(settings.method, tableWithin, tissueWithin);
  const [limitS, limitedBy] = governingLimit(settings.method, limits);
  const oxygenE4 = dive.mix.oxygenE4;
  let share = isMissing(oxygenE4) ? oxygenE4 : exposureShare(segments, oxygenE4);
  if (before !== null) {
    const earlierShare = before.oxygenShare;
    share = isMissing(earlierShare) || isMissing(share) ? lacking(earlierShare, share) : earlierShare + share;
  }

  const beyond = isBarred(state) || within === false;
  let group: Group = beyond ? BEYOND : groupAfter;
  if (!beyond && groupAfter === null) group = missing("repetitive group after a dive past the table's limit");
  const run = runS(segments);
  let ages = state.groups.map(([g, age]): readonly [Group, number] => [g, age + state.sinceS + run]);
  if (before !== null) ages = ages.slice(0, -1);
  const groups = [...ages.filter(([, age]) => age <= DAY_S), [group, 0] as const];
  const openDive: OpenDive = {
    depth: limits.depth,
    bottomTimeS: bottomS,
    mix: limits.mix,
    caution,
    coldOrHard: cold,
    group: limits.groupBefore,
    tissues: start,
    oxygenShare: share,
  };
  const answer: DiveAnswer = {
    kind: "answer",
    noStop: limits,
    joined: before !== null,
    bottomTimeS: bottomS,
    equivalentSingleDiveTimeMin: esdt,
    tableEntryTimeMin: timeMin,
    tableWithin,
    tissueWithin,
    within,
    limitS,
    limitedBy,
    groupAfter,
    oxygenShare: share,
  };
  const agoS = state.beyondAgoS === null ? null : state.beyondAgoS + state.sinceS + run;
  const rest = beyond ? { restS: settings.restS, beyondAgoS: 0 } : { restS: DAY_S, beyondAgoS: agoS };
  return [answer, { surfacedGroup: group, surfacedTissues: loaded, sinceS: 0, openDive, groups, beyond, ...rest }];
}

/** Compartments on surfacing; of a joined dive the more loaded of its two readings. */
function loadedAfter(
  state: NitrogenState,
  dive: Dive,
  before: OpenDive | null,
  limits: NoStop,
  segments: readonly Segment[],
  settings: Settings,
): Tissues | Missing {
  const now = tissuesNow(state, settings);
  if (isMissing(now)) return now;
  if (dive.mix.inert !== null) return dive.mix.inert;
  const made = breathe(now, segments, dive.mix.n2, dive.mix.he);
  if (before === null) return made;
  if (isMissing(before.tissues)) return before.tissues;
  const whole = squareDive(limits.depth, limits.spentS + dive.bottomTimeS, limits.mix);
  const one = breathe(before.tissues, profile(whole, settings), limits.mix.n2, limits.mix.he);
  return made.map((a, i) => (a > one[i]! ? a : one[i]!));
}

function afterBeyond(settings: Settings): Refused {
  const least = settings.restS === DAY_S ? "at least 24 h" : `${ceilDiv(settings.restS, 60)} min`;
  const message =
    "A dive before it was beyond its limit: no further dive until the club's stated time, " +
    `${least} after surfacing.`;
  return { kind: "refused", code: "after_beyond_limit", message };
}

/** A diver's day, dive after dive. After a dive beyond its limit later dives are refused for the club's time. */
export function day(dives: readonly Dive[], settings: Settings, before: NitrogenState | null = null): Day {
  let state = before ?? clearState(settings);
  const answers: (DiveAnswer | Refused | null)[] = [];
  const chains: number[][] = [];
  const stops: (Ascent | Missing | null)[] = [];
  dives.forEach((dive, i) => {
    if (i > 0) state = wait(state, dive.intervalS);
    if (isBarred(state)) {
      answers.push(afterBeyond(settings));
      chains.push([i]);
      stops.push(null);
      // It may be made all the same: the wait begins anew.
      state = after(state, dive, settings)[1];
      return;
    }
    const [answer, surfaced] = after(state, dive, settings);
    stops.push(answer.tissueWithin === false ? owed(state, dive, settings) : null);
    state = surfaced;
    if (answer.joined) {
      answers[answers.length - 1] = null;
      chains[chains.length - 1]!.push(i);
    } else {
      chains.push([i]);
    }
    answers.push(answer);
  });
  const joined = dives.map((_, i) => chains.find((chain) => chain.includes(i))!.filter((j) => j !== i));
  return { answers, joined, state, dives: chains.length, stops };
}
