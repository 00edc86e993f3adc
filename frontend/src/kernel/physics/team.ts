// A team's dive: how long, whose limit, which one, and what is behind it. The twin of physics/team.py.

import type { DiverLimits, Limit, LimitKind, Limits, TeamDive, TeamSettings } from "./diver.ts";
import { said } from "./diver.ts";
import * as gas from "./gas.ts";
import { type Missing, isMissing, lacking, merge, missing } from "./known.ts";
import type { Method } from "./profile.ts";
import { secondsUp } from "./rounding.ts";
import { travelS } from "./units.ts";

/** The six limits; of equal ones the first here is the one named. */
export const LIMITS: readonly LimitKind[] = [
  "certified_depth",
  "oxygen",
  "table_no_stop",
  "tissue_no_stop",
  "gas",
  "planned",
];

/** The limit that is shown and does not count, by governing method. */
export const UNGOVERNED: Readonly<Record<Method, readonly LimitKind[]>> = {
  shorter: [],
  table: ["tissue_no_stop"],
  tissue: ["table_no_stop"],
};

/** A limit that binds: seconds, which, and whose (null: the plan's own). */
export interface Bound {
  readonly seconds: number;
  readonly limitedBy: LimitKind;
  readonly diver: string | null;
}

/** One diver in this team. `limit` is that diver's own; `usableLitres` what is above minimum gas. */
export interface DiverPlan {
  readonly id: string;
  readonly limits: Limits;
  readonly limit: Bound | Missing;
  readonly minimumGas: number | Missing;
  readonly turnPressure: number | Missing;
  readonly usableLitres: number | Missing;
}

/** The team. `atMost` is the least of what is known, where `limit` is not; `owners` says whose each limit is. */
export interface TeamLimits {
  readonly limits: Limits;
  readonly owners: Readonly<Record<LimitKind, string | null>>;
  readonly limit: Bound | Missing;
  readonly atMost: Bound | null;
  readonly nextLimit: Bound | null;
  readonly divers: readonly DiverPlan[];
}

/** Combine the members of one team: minimum gas of its two heaviest breathers, then the least of every limit. */
export function teamLimits(dive: TeamDive, members: readonly DiverLimits[], settings: TeamSettings): TeamLimits {
  const shared = sharedLitres(members, settings);
  const alone = members.map((member) => ownGas(dive, member, shared, settings));
  const plans = alone.map((plan, i) => ({
    ...plan,
    turnPressure: turnPressure(plan, alone, members[i] as DiverLimits, dive, settings),
  }));
  const limits = {} as Record<LimitKind, Limit | Missing>;
  const owners = {} as Record<LimitKind, string | null>;
  for (const kind of LIMITS) [limits[kind], owners[kind]] = least(kind, plans);
  const found = bounds(plans, settings);
  const unknown = merge(counted(settings).map((kind) => limits[kind]));
  const first = found[0] as Bound;
  const known = unknown === null || first.seconds === 0;
  const behind = found.filter((b) => b.limitedBy !== first.limitedBy || b.seconds !== first.seconds);
  return {
    limits,
    owners,
    limit: known || unknown === null ? first : unknown,
    atMost: known ? null : first,
    nextLimit: unknown === null ? (behind[0] ?? null) : null,
    divers: plans,
  };
}

/** What the two heaviest breathers of the team breathe on one cylinder from the deepest point to the surface. */
export function sharedLitres(members: readonly DiverLimits[], settings: TeamSettings): number | Missing {
  const unknown = merge(members.map((member) => member.sharingRateLMin));
  if (unknown !== null) return unknown;
  const rates = members.map((member) => member.sharingRateLMin as number).sort((a, b) => a - b);
  const heaviest = rates[rates.length - 1] as number;
  const second = rates[rates.length - 2] ?? settings.sharing.stressedRmvLMin;
  return (heaviest + second) * (members[0] as DiverLimits).sharingMinutes;
}

/** Minimum gas of one member in this team, what is above it, and how long that lasts. */
function ownGas(dive: TeamDive, member: DiverLimits, shared: number | Missing, settings: TeamSettings): DiverPlan {
  const { diver, ownLitres: own, rateLMin: rate } = member;
  const cylinder = diver.cylinder;
  const start = missing(`start pressure of diver ${diver.id}`);
  let leastGas: number | Missing;
  let usable: number | Missing;
  let gasLimit: Limit | Missing;
  if (isMissing(cylinder) || isMissing(shared) || isMissing(own) || isMissing(rate)) {
    leastGas = lacking(cylinder, shared, own);
    usable = lacking(leastGas, !isMissing(cylinder) && cylinder.start === null ? start : null);
    gasLimit = usable;
  } else {
    const { regulatorMinimum, surfaceReserve } = settings.sharing;
    leastGas = gas.minimumGas(shared, own, cylinder, regulatorMinimum, surfaceReserve, settings.pressureUnit);
    if (cylinder.start === null) {
      usable = start;
      gasLimit = start;
    } else {
      usable = (cylinder.start - leastGas) * gas.litresPerUnit(cylinder);
      gasLimit = gasLimitOf(dive, cylinder.start, usable, rate, leastGas, settings);
    }
  }
  const limits: Limits = { ...member.limits, gas: gasLimit };
  return {
    id: diver.id,
    limits,
    limit: ownLimit(diver.id, limits, settings),
    minimumGas: leastGas,
    turnPressure: missing(),
    usableLitres: usable,
  };
}

function gasLimitOf(
  dive: TeamDive,
  start: number,
  usable: number,
  rate: number,
  leastGas: number,
  settings: TeamSettings,
): Limit {
  const unit = settings.pressureUnit;
  if (usable < 0) return { seconds: 0, reason: `${said(start)} ${unit} is below minimum gas, ${leastGas} ${unit}.` };
  const seconds = gas.gasLimitS(usable, rate, dive.depth.msw, settings.dive.descent.msw);
  const breathing = `breathing ${said(rate)} L/min at the surface`;
  return { seconds, reason: `From ${said(start)} down to ${leastGas} ${unit} minimum gas, ${breathing}.` };
}

function turnPressure(
  plan: DiverPlan,
  plans: readonly DiverPlan[],
  member: DiverLimits,
  dive: TeamDive,
  settings: TeamSettings,
): number | Missing {
  if (dive.way === null) return missing("how the team comes back (dive.return: same_point or free_ascent)");
  const cylinder = member.diver.cylinder;
  const minimum = plan.minimumGas;
  if (dive.way === "free_ascent" || isMissing(minimum) || isMissing(cylinder)) return minimum;
  const unknown = merge(plans.map((p) => p.usableLitres));
  if (unknown !== null || cylinder.start === null) return unknown ?? missing();
  const leastUsable = Math.min(...plans.map((p) => p.usableLitres as number));
  const perUnit = gas.litresPerUnit(cylinder);
  return gas.turnPressure(dive.way, cylinder.start, minimum, perUnit, leastUsable, settings.pressureUnit);
}

/** The team's limit of one kind: not known unless every member's is; a known 0 is an answer all the same. */
function least(kind: LimitKind, plans: readonly DiverPlan[]): [Limit | Missing, string | null] {
  let best: Limit | null = null;
  let owner: string | null = null;
  for (const plan of plans) {
    const limit = plan.limits[kind];
    if (!isMissing(limit) && (best === null || shorter(limit, best))) {
      best = limit;
      owner = plan.id;
    }
  }
  const unknown = merge(plans.map((plan) => plan.limits[kind]));
  if (best !== null && (unknown === null || best.seconds === 0)) return [best, kind === "planned" ? null : owner];
  return [unknown ?? missing(), null];
}

function shorter(a: Limit, b: Limit): boolean {
  return a.seconds !== null && (b.seconds === null || a.seconds < b.seconds);
}

/** A diver's own limit: the least that counts, not known while one of them is not (unless one is 0). */
function ownLimit(diver: string, limits: Limits, settings: TeamSettings): Bound | Missing {
  const kinds = counted(settings);
  const unknown = merge(kinds.map((kind) => limits[kind]));
  const first = soonest(ends(diver, limits, kinds));
  return unknown === null || first.seconds === 0 ? first : unknown;
}

function soonest(found: readonly Bound[]): Bound {
  let first = found[0] as Bound;
  for (const bound of found) if (bound.seconds < first.seconds) first = bound;
  return first;
}

/** The limits that count under the governing method; the other of the two no-stop limits is only shown. */
export function counted(settings: TeamSettings): readonly LimitKind[] {
  return LIMITS.filter((kind) => !UNGOVERNED[settings.dive.method].includes(kind));
}

function ends(diver: string, limits: Limits, kinds: readonly LimitKind[]): Bound[] {
  const found: Bound[] = [];
  for (const kind of kinds) {
    const limit = limits[kind];
    if (!isMissing(limit) && limit.seconds !== null) {
      found.push({ seconds: limit.seconds, limitedBy: kind, diver: kind === "planned" ? null : diver });
    }
  }
  return found;
}

/** Everything known that ends the dive, soonest first; of equal ones in the order of LIMITS, then of divers. */
function bounds(plans: readonly DiverPlan[], settings: TeamSettings): Bound[] {
  const found = counted(settings).flatMap((kind) => plans.flatMap((plan) => ends(plan.id, plan.limits, [kind])));
  return found.sort((a, b) => a.seconds - b.seconds);
}

// --- what a team does with its limit ---

/** Who reaches minimum gas first. `chances` has one for each diver; the times are the gas of all, in seconds. */
export interface FirstToTurn {
  readonly diver: string;
  readonly chances: readonly number[] | Missing;
  readonly medianS: number | Missing;
  readonly nineteenInTwentyS: number | Missing;
}

/** The diver most likely to reach minimum gas first (log-normal RMV, sd over mean as its spread). */
export function firstToTurn(
  dive: TeamDive,
  members: readonly DiverLimits[],
  plan: TeamLimits,
  settings: TeamSettings,
): FirstToTurn | Missing {
  const unknown = merge([...plan.divers.map((p) => p.usableLitres), ...members.map((m) => m.rateLMin)]);
  if (unknown !== null) return unknown;
  const supplies = members.map((member, i) => supply(member, plan.divers[i] as DiverPlan));
  const lasting = supplies.map((s) => s.litres / s.rmv);
  const shortest = lowest(lasting);
  const name = (i: number): string => (members[i] as DiverLimits).diver.id;
  const spreads = merge(
    members.map((m) =>
      m.diver.rmv.sd === null ? missing(`spread of the RMV of diver ${m.diver.id} (rmv_sd_l_min)`) : null,
    ),
  );
  if (spreads !== null) {
    return { diver: name(shortest), chances: spreads, medianS: spreads, nineteenInTwentyS: spreads };
  }
  if ((lasting[shortest] as number) <= 0) {
    const certain = supplies.map((_, i) => (i === shortest ? 1.0 : 0.0));
    return { diver: name(shortest), chances: certain, medianS: 0, nineteenInTwentyS: 0 };
  }
  const chances = gas.turnsFirst(supplies);
  const depth = dive.depth.msw;
  const rate = settings.dive.descent.msw;
  return {
    diver: name(lowest(chances.map((chance) => -chance))),
    chances,
    medianS: gas.timeMetS(supplies, 0.5, depth, rate),
    nineteenInTwentyS: gas.timeMetS(supplies, 0.95, depth, rate),
  };
}

function lowest(values: readonly number[]): number {
  let at = 0;
  for (let i = 1; i < values.length; i++) if ((values[i] as number) < (values[at] as number)) at = i;
  return at;
}

function supply(member: DiverLimits, plan: DiverPlan): gas.Supply {
  const litres = isMissing(plan.usableLitres) || plan.usableLitres < 0 ? 0.0 : plan.usableLitres;
  const mean = member.diver.rmv.mean ?? 1.0;
  const sd = member.diver.rmv.sd ?? 0.0;
  return { litres, rmv: mean * (member.multiplier ?? 1.0), spread: sd / mean };
}

/** The bottom time that the rest is counted with: the team's limit, or what was asked while it is not known. */
export function bottomS(dive: TeamDive, plan: TeamLimits): number {
  return isMissing(plan.limit) ? dive.bottomTimeS : plan.limit.seconds;
}

/** From leaving the bottom to the surface, the stop included, rounded up. */
export function ascentS(dive: TeamDive, settings: TeamSettings): number {
  return travelS(dive.depth, settings.dive.ascent, true) + secondsUp(dive.stopMin);
}

/** The gauge pressure with which a diver surfaces after a bottom time, rounded down; 0 where it does not last. */
export function gasAtSurface(
  dive: TeamDive,
  member: DiverLimits,
  stayS: number,
  settings: TeamSettings,
): number | Missing {
  const cylinder = member.diver.cylinder;
  const rate = member.rateLMin;
  if (isMissing(cylinder) || isMissing(rate)) return lacking(cylinder, rate);
  if (cylinder.start === null) return missing(`start pressure of diver ${member.diver.id}`);
  const down = gas.descentAndBottom(dive.depth.msw, stayS / 60.0, settings.dive.descent.msw);
  const up = gas.ascent(dive.depth.msw, settings.dive.ascent.msw, dive.stopDepth.msw, dive.stopMin);
  const left = cylinder.start - (rate * gas.pressureMinutes([...down, ...up])) / gas.litresPerUnit(cylinder);
  return left > 0 ? gas.stepDown(left, gas.STEP[settings.pressureUnit]) : 0;
}

/** The last moment to start a unit of work: its time (twice where a diver is stretched) and a minute before the end. */
export function lastStartS(dive: TeamDive, members: readonly DiverLimits[], stayS: number): number | null {
  const unitS = secondsUp(dive.taskUnitMin ?? 0.0);
  const last = stayS - unitS * (members.some((m) => m.diver.stretched) ? 2 : 1) - 60;
  return last >= 0 ? last : null;
}
