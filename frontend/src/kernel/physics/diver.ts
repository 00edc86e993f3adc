// One diver on one dive: every limit that no team-mate changes, and how fast that diver breathes.
// The twin of physics/diver.py.

import { type Breathing, type Work, currentMultiplier, upperRate, workMultiplier } from "./breathing.ts";
import type { Along, Cylinder, TurnRule, VolumeUnit, Way } from "./cylinder.ts";
import { type NitrogenState, type NoStop, noStop } from "./dive.ts";
import { type Earlier, type EarlierState, isState, stateBefore } from "./earlier.ts";
import * as gas from "./gas.ts";
import { Missing, isMissing, missing } from "./known.ts";
import { tableLeftS, tissueLeftS } from "./nitrogen.ts";
import { type Mix, exposureShare, mod } from "./oxygen.ts";
import { DAY_S, type Settings, profile, squareDive } from "./profile.ts";
import type { Rate } from "./rmv_log.ts";
import { floorDiv } from "./rounding.ts";
import { Depth, type DepthUnit, type GaugeUnit, deeper, depthText } from "./units.ts";

const SAME_QUALIFICATION: readonly (readonly [Depth, Depth])[] = [
  [new Depth(1800, "m"), new Depth(6000, "ft")],
  [new Depth(3000, "m"), new Depth(10000, "ft")],
  [new Depth(4000, "m"), new Depth(13000, "ft")],
];
const LONGEST_S = 86_400;
export const HARD_WORK: readonly Work[] = ["hard", "severe"];

export type LimitKind = "certified_depth" | "oxygen" | "table_no_stop" | "tissue_no_stop" | "gas" | "planned";
export type Limits = Readonly<Record<LimitKind, Limit | Missing>>;

/** A longest bottom time in seconds (null: without end) and the sentence that explains it. */
export interface Limit {
  readonly seconds: number | null;
  readonly reason: string;
}

/** A diver's ordinary working mean in L/min, its standard deviation, or the club's margin; `log` where they come from one. */
export interface Rmv {
  readonly mean: number | null;
  readonly sd: number | null;
  readonly marginPercent: number | null;
  readonly log: Rate | null;
}

/** How two come up on one cylinder: L/min of a stressed diver, minutes, and two gauge pressures. */
export interface Sharing {
  readonly stressedRmvLMin: number;
  readonly delayMin: number;
  readonly surfaceReserve: number;
  readonly regulatorMinimum: number;
}

/** What is known of a diver. `earlier` is null where it is not known whether there were dives. */
export interface Diver {
  readonly id: string;
  readonly certifiedDepth: Depth | null;
  readonly rmv: Rmv;
  readonly cylinder: Cylinder | Missing;
  readonly mix: Mix;
  readonly notAnalysed: string | null;
  readonly earlier: readonly Earlier[] | null;
  readonly caution: number;
  readonly canShare: boolean;
  readonly stretched: boolean;
}

/** The dive asked. `way` is how the team comes back; null: not said; `along` is out and back along a current. */
export interface TeamDive {
  readonly depth: Depth;
  readonly bottomTimeS: number;
  readonly work: Work;
  readonly currentKn: number;
  readonly way: Way | null;
  readonly stopDepth: Depth;
  readonly stopMin: number;
  readonly taskUnitMin: number | null;
  readonly coldOrHard: boolean;
  readonly along: Along | null;
  readonly waterC: number | null;
}

/** What holds for the whole answer. The units are those of every gauge pressure and of cylinder volumes. */
export interface TeamSettings {
  readonly dive: Settings;
  readonly sharing: Sharing;
  readonly pressureUnit: GaugeUnit;
  readonly volumeUnit: VolumeUnit;
  readonly maxPpo2Bar: number;
  readonly breathing: Breathing;
  readonly turnRule: TurnRule | null;
}

/** What one diver brings to any team on this dive: every limit but gas, and what gas needs. */
export interface DiverLimits {
  readonly diver: Diver;
  readonly state: NitrogenState;
  readonly noStop: NoStop;
  readonly limits: Readonly<Record<Exclude<LimitKind, "gas">, Limit | Missing>>;
  readonly mod: Depth | Missing;
  readonly multiplier: number | null;
  readonly rateLMin: number | Missing;
  readonly sharingRateLMin: number | Missing;
  readonly sharingMinutes: number;
  readonly ownLitres: number | Missing;
}

/** Whether the table is entered at the next longer time: a cold or a hard dive. */
export function nextLonger(dive: TeamDive): boolean {
  return dive.coldOrHard || HARD_WORK.includes(dive.work);
}

/** A number in a sentence: to one decimal, none where it is whole. */
export function said(x: number): string {
  const tenths = Math.trunc(x * 10 + 0.5);
  const whole = floorDiv(tenths, 10);
  return tenths % 10 === 0 ? `${whole}` : `${whole}.${tenths % 10}`;
}

/** Whether a certified depth covers a dive; 18 m/60 ft, 30/100 and 40/130 are equal here and only here. */
export function qualified(depth: Depth, certified: Depth): boolean {
  if (depth.mswE7 <= certified.mswE7) return true;
  for (const [metres, feet] of SAME_QUALIFICATION) {
    if ((equal(certified, metres) || equal(certified, feet)) && depth.unit !== certified.unit) {
      return depth.mswE7 <= deeper(metres, feet).mswE7;
    }
  }
  return false;
}

function equal(a: Depth, b: Depth): boolean {
  return a.hundredths === b.hundredths && a.unit === b.unit;
}

/** The limits of one diver that no team-mate changes. `state` stands in for the one after `diver.earlier`. */
export function diverLimits(
  dive: TeamDive,
  diver: Diver,
  settings: TeamSettings,
  state: NitrogenState | null = null,
): DiverLimits {
  const before = state ?? stateBefore(diver.earlier, settings.dive);
  const found = noStop(before, dive.depth, diver.mix, settings.dive, diver.caution, nextLonger(dive));
  const mod_ = modOf(diver, settings, dive.depth.unit);
  const multiplier = rateMultiplier(dive, settings.breathing);
  const rate = planningRate(diver, multiplier, dive);
  const stressed = settings.sharing.stressedRmvLMin;
  const ascent = gas.ascent(dive.depth.msw, settings.dive.ascent.msw, dive.stopDepth.msw, dive.stopMin);
  return {
    diver,
    state: before,
    noStop: found,
    limits: {
      certified_depth: certifiedLimit(dive, diver),
      oxygen: oxygenLimit(dive, diver, mod_, settings),
      table_no_stop: noStopLimit(tableLeftS(found), diver, tableReason(found)),
      tissue_no_stop: noStopLimit(tissueLeftS(found), diver, tissueReason(settings, diver)),
      planned: { seconds: dive.bottomTimeS, reason: "The bottom time that was asked." },
    },
    mod: mod_,
    multiplier,
    rateLMin: rate,
    sharingRateLMin: isMissing(rate) || rate > stressed ? rate : stressed,
    sharingMinutes: gas.pressureMinutes([[settings.sharing.delayMin, dive.depth.msw], ...ascent]),
    ownLitres: isMissing(rate) ? rate : rate * gas.pressureMinutes(ascent),
  };
}

/** The deepest a diver may take the gas, in whole metres or feet, rounded down. */
export function modOf(diver: Diver, settings: TeamSettings, unit: DepthUnit): Depth | Missing {
  if (diver.notAnalysed !== null) return missing(diver.notAnalysed);
  return mod(diver.mix, settings.maxPpo2Bar, unit);
}

/** Work times current; null in a current without a figure. */
export function rateMultiplier(dive: TeamDive, model: Breathing): number | null {
  const current = currentMultiplier(dive.currentKn, model);
  return current === null ? null : workMultiplier(dive.work, model) * current;
}

/** L/min at the surface: the upper 95 % of the spread, else the mean with its margin, times work and current. */
export function planningRate(diver: Diver, multiplier: number | null, dive: TeamDive): number | Missing {
  const { mean, sd, marginPercent } = diver.rmv;
  const lacking: string[] = [];
  if (mean === null) lacking.push(`RMV of diver ${diver.id}`);
  if (sd === null && marginPercent === null) {
    lacking.push(`spread of the RMV of diver ${diver.id} (rmv_sd_l_min), or the club's gas_margin_percent`);
  }
  if (multiplier === null) {
    lacking.push(`breathing rate in ${said(dive.currentKn)} kn (current_kn is the speed swum against)`);
  }
  if (mean === null || multiplier === null || lacking.length > 0) return new Missing(lacking);
  if (sd !== null) return upperRate(mean, sd) * multiplier;
  const margin = marginPercent ?? 0.0;
  return ((mean * (100.0 + margin)) / 100.0) * multiplier;
}

function certifiedLimit(dive: TeamDive, diver: Diver): Limit | Missing {
  if (diver.certifiedDepth === null) return missing(`certified depth of diver ${diver.id}`);
  const depth = depthText(diver.certifiedDepth);
  if (qualified(dive.depth, diver.certifiedDepth)) return { seconds: null, reason: `Certified to ${depth}.` };
  return { seconds: 0, reason: `Certified to ${depth}, not to ${depthText(dive.depth)}.` };
}

function oxygenLimit(dive: TeamDive, diver: Diver, mod_: Depth | Missing, settings: TeamSettings): Limit | Missing {
  const oxygenE4 = diver.mix.oxygenE4;
  if (isMissing(mod_)) return mod_;
  if (isMissing(oxygenE4)) return whose(oxygenE4, diver);
  if (dive.depth.mswE7 > mod_.mswE7) {
    return { seconds: 0, reason: `The gas may be taken to ${depthText(mod_)} and no deeper.` };
  }
  const used = oxygenUsed(diver, settings);
  if (isMissing(used)) return used;
  let low = 0;
  let high = LONGEST_S;
  while (high - low > 1) {
    const middle = floorDiv(low + high, 2);
    const share = exposureShare(profile(squareDive(dive.depth, middle, diver.mix), settings.dive), oxygenE4);
    if (isMissing(share)) return whose(share, diver);
    if (used + share <= 1.0) low = middle;
    else high = middle;
  }
  return { seconds: low, reason: "Oxygen: the limit of a single exposure, less what the dives of the last 24 h used of it." };
}

/**
 * Share of the single-exposure limit that the dives of the last 24 h used. Nothing is taken back for time at the
 * surface within them; the NOAA limits are for one exposure and for 24 hours.
 */
function oxygenUsed(diver: Diver, settings: TeamSettings): number | Missing {
  if (diver.earlier === null) return missing(`earlier dives of diver ${diver.id}`);
  let used = 0.0;
  for (const made of diver.earlier) {
    if (made.surfacedS >= DAY_S) continue;
    if (isState(made)) {
      const behind = oxygenOf(made);
      if (isMissing(behind)) return whose(behind, diver);
      used = used + behind;
      continue;
    }
    const oxygenE4 = made.mix.oxygenE4;
    if (isMissing(oxygenE4)) return missing(`analysis of the gas of an earlier dive of diver ${diver.id}`);
    const share = exposureShare(profile(squareDive(made.depth, made.bottomTimeS, made.mix), settings.dive), oxygenE4);
    if (isMissing(share)) return whose(share, diver);
    used = used + share;
  }
  return used;
}

/** Share of the single-exposure limit that the exposures behind a state used in the 24 h before the dive. */
function oxygenOf(made: EarlierState): number | Missing {
  const { oxygen } = made.kept;
  if (isMissing(oxygen)) return oxygen;
  let used = 0.0;
  for (const exposure of oxygen) {
    if (made.surfacedS - exposure.endS >= DAY_S) continue;
    if (isMissing(exposure.single)) return exposure.single;
    used = used + exposure.single;
  }
  return used;
}

function whose(unknown: Missing, diver: Diver): Missing {
  return new Missing(unknown.what.map((what) => `${what} (diver ${diver.id})`));
}

function noStopLimit(left: number | Missing | null, diver: Diver, reason: string): Limit | Missing {
  if (diver.earlier === null) return missing(`earlier dives of diver ${diver.id}`);
  return isMissing(left) ? whose(left, diver) : { seconds: left, reason };
}

function tableReason(found: NoStop): string {
  const { tableDepthFsw: row, noStopLimitMin: limit, residualNitrogenTimeMin: residual } = found;
  if (limit === null) return `The ${row} fsw row of the table has no limit.`;
  const steps = found.steps > 0 ? `, entered ${found.steps} longer (cold, hard or cautious)` : "";
  return `The ${row} fsw row of the table${steps}: ${limit} min, less ${residual} min residual nitrogen time.`;
}

function tissueReason(settings: TeamSettings, diver: Diver): string {
  const high = floorDiv(settings.dive.gfHighPm, 10) - 5 * diver.caution;
  return `A straight ascent surfaces within gradient factor ${high} % of the tissue model.`;
}
