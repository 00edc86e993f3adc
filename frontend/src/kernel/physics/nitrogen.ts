// One diver's inert gas at the surface, and the limits of a coming dive by both methods.
// The twin of physics/nitrogen.py.

import { Missing, isMissing, lacking, missing } from "./known.ts";
import { type Mix, moreNitrogen, sameMix, tableDepth } from "./oxygen.ts";
import { DAY_S, type Settings, gfHigh, homeBar, riseFt, seaLevelDepth, surfaceBar } from "./profile.ts";
import { minutesDown } from "./rounding.ts";
import * as tables from "./tables.ts";
import * as tissueModel from "./tissues.ts";
import type { Tissues } from "./tissues.ts";
import * as trimix from "./trimix.ts";
import { type Depth, deeper, exactTravelS, travelS } from "./units.ts";

/** A repetitive group; null is none (not repetitive). */
export type Group = string | Missing | null;

export const JOIN_S = 600;
export const BEYOND = missing("24 h, or the club's longer time, since a dive beyond its limit");
export const HELIUM = missing("a table for a gas with helium");
export const TWO_GASES = missing("one dive on two gases, one of them with helium");

/** The last dive with all it joined: what a descent within ten minutes goes on with. */
export interface OpenDive {
  readonly depth: Depth;
  readonly bottomTimeS: number;
  readonly mix: Mix;
  readonly caution: number;
  readonly coldOrHard: boolean;
  readonly group: Group;
  readonly tissues: Tissues | Missing;
  readonly oxygenShare: number | Missing;
}

/** A diver at the surface, `sinceS` after the last surfacing (or after arrival, or after nothing). */
export interface NitrogenState {
  readonly surfacedGroup: Group;
  readonly surfacedTissues: Tissues | Missing;
  readonly sinceS: number;
  readonly openDive: OpenDive | null;
  /** Groups of the 24 h before the last surfacing, each with its seconds before it. */
  readonly groups: readonly (readonly [Group, number])[];
  /** The last dive was beyond its limit, or made within `restS` of one that was. */
  readonly beyond: boolean;
  readonly restS: number;
  /** From the surfacing of the last dive beyond its limit to the last surfacing; null: there was none. */
  readonly beyondAgoS: number | null;
}

/** Limits of a coming dive for one diver; each null where there is none, Missing where not known. */
export interface NoStop {
  readonly depth: Depth;
  readonly mix: Mix;
  readonly tableDepthFsw: number | Missing;
  readonly groupBefore: Group;
  readonly residualNitrogenTimeMin: number | Missing;
  readonly noStopLimitMin: number | Missing | null;
  readonly adjustedNoStopLimitMin: number | Missing | null;
  readonly tissueLimitS: number | Missing | null;
  readonly steps: number;
  readonly spentS: number;
}

/** The repetitive group now. Whatever it was, 24 h clear it (the club's time after a dive beyond its limit). */
export function groupNow(state: NitrogenState): Group {
  if (isMissing(state.surfacedGroup)) return state.sinceS < state.restS ? state.surfacedGroup : null;
  if (state.surfacedGroup === null) return null;
  return tables.groupAfterInterval(state.surfacedGroup, minutesDown(state.sinceS));
}

/** The compartments now, air breathed at the site's altitude since. */
export function tissuesNow(state: NitrogenState, settings: Settings): Tissues | Missing {
  if (isMissing(state.surfacedTissues)) return state.surfacedTissues;
  return tissueModel.constant(state.surfacedTissues, surfaceBar(settings), tissueModel.AIR_N2, state.sinceS);
}

/** True within the club's time, at least 24 h, after a dive beyond its limit: no further dive is answered. */
export function isBarred(state: NitrogenState): boolean {
  return state.beyond && state.sinceS < state.restS;
}

/** Bottom time the table leaves to the coming dive, in seconds. */
export function tableLeftS(limits: NoStop): number | Missing | null {
  const limit = limits.adjustedNoStopLimitMin;
  return limit === null || isMissing(limit) ? limit : Math.max(0, limit * 60 - limits.spentS);
}

/** Bottom time the tissue model leaves to the coming dive, in seconds. */
export function tissueLeftS(limits: NoStop): number | Missing | null {
  const limit = limits.tissueLimitS;
  return limit === null || isMissing(limit) ? limit : Math.max(0, limit - limits.spentS);
}

const CLEAR = { openDive: null, beyond: false, restS: DAY_S, beyondAgoS: null };

/** A diver with no dive in the table's reach: at rest, or arrived at altitude some time ago. */
export function clearState(settings: Settings): NitrogenState {
  const surfacedTissues = tissueModel.surfaceState(homeBar(settings));
  if (riseFt(settings) === 0) {
    return { ...CLEAR, surfacedGroup: null, surfacedTissues, sinceS: 0, groups: [] };
  }
  if (settings.atAltitudeS === null) return unknownState("hours_at_altitude");
  const group = tables.groupOnArrival(riseFt(settings));
  return { ...CLEAR, surfacedGroup: group, surfacedTissues, sinceS: settings.atAltitudeS, groups: [[group, 0]] };
}

/** A diver about whose earlier dives something is not known. */
export function unknownState(...what: string[]): NitrogenState {
  const unknown = new Missing(what);
  return { ...CLEAR, surfacedGroup: unknown, surfacedTissues: unknown, sinceS: 0, groups: [[unknown, 0]] };
}

/** The same diver later. */
export function wait(state: NitrogenState, seconds: number): NitrogenState {
  return { ...state, sinceS: state.sinceS + seconds };
}

/**
 * The dive that a descent from this state goes on with, or null. Where one gas has helium and the other is not the
 * same, neither stands for the whole dive.
 */
export function openBefore(state: NitrogenState, mix: Mix): OpenDive | null {
  const before = state.sinceS < JOIN_S ? state.openDive : null;
  if (before === null || sameMix(before.mix, mix) || (before.mix.heE4 === 0 && mix.heE4 === 0)) return before;
  return { ...before, group: HELIUM, tissues: TWO_GASES };
}

/** Table, residual nitrogen and tissue limits of a coming dive for one diver. */
export function noStop(
  state: NitrogenState,
  depth: Depth,
  mix: Mix,
  settings: Settings,
  caution = 0,
  coldOrHard = false,
): NoStop {
  const before = openBefore(state, mix);
  let spentS = 0;
  let group: Group;
  let loaded: Tissues | Missing;
  if (before !== null) {
    depth = deeper(before.depth, depth);
    mix = moreNitrogen(before.mix, mix);
    caution = Math.max(before.caution, caution);
    coldOrHard = before.coldOrHard || coldOrHard;
    group = before.group;
    loaded = before.tissues;
    spentS = before.bottomTimeS;
  } else {
    group = groupNow(state);
    loaded = tissuesNow(state, settings);
  }
  if (isBarred(state)) {
    group = BEYOND;
    loaded = BEYOND;
  }
  const steps = caution + (coldOrHard ? 1 : 0);

  let row: number | Missing =
    tables.rowFor(tableDepth(seaLevelDepth(depth, settings), mix)) ??
    missing(`a table row past ${tables.DEEPEST_FSW} fsw`);
  if (mix.heE4 > 0) row = HELIUM;
  let rnt: number | Missing;
  if (isMissing(row) || isMissing(group)) rnt = lacking(group, row);
  else if (group === null) rnt = 0;
  else {
    const residual = tables.residualNitrogenTime(group, row);
    rnt = residual.minutes;
    row = residual.rowFsw;
  }
  const limit = isMissing(row) ? row : tables.noStopLimitMin(row);
  let adjusted: number | Missing | null;
  if (isMissing(row) || isMissing(rnt)) adjusted = lacking(rnt, row);
  else {
    const longest = tables.limitWithStepsMin(row, steps);
    adjusted = longest === null ? null : Math.max(0, longest - rnt);
  }
  const tissue = isMissing(loaded) ? loaded : tissueLimitS(loaded, depth, mix, settings, caution);
  return {
    depth,
    mix,
    tableDepthFsw: row,
    groupBefore: group,
    residualNitrogenTimeMin: rnt,
    noStopLimitMin: limit,
    adjustedNoStopLimitMin: adjusted,
    tissueLimitS: tissue,
    steps,
    spentS,
  };
}

/** The tissue model's no-stop limit in whole seconds, never more than that of an exact ascent. */
export function tissueLimitS(
  loaded: Tissues,
  depth: Depth,
  mix: Mix,
  settings: Settings,
  caution: number,
): number | Missing | null {
  if (mix.inert !== null) return mix.inert;
  const surface = surfaceBar(settings);
  const bottom = surface + depth.bar;
  const downS = travelS(depth, settings.descent, false);
  const upS = travelS(depth, settings.ascent, true);
  const exactUpS = exactTravelS(depth, settings.ascent);
  const exact = 0.0 < exactUpS && exactUpS < upS ? exactUpS : null;
  const gf = gfHigh(settings, caution);
  return mix.heE4 === 0 && loaded.length === tissueModel.COUNT
    ? tissueModel.noStopLimitS(loaded, surface, bottom, mix.n2, downS, upS, gf, exact)
    : trimix.noStopLimitS(loaded, surface, bottom, mix.n2, mix.he, downS, upS, gf, exact);
}
