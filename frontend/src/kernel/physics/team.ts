// A team's dive: how long, whose limit, which one, and what is behind it. The twin of physics/team.py.

import type { DiverLimits, Limit, LimitKind, Limits, TeamDive, TeamSettings } from "./diver.ts";
import { said } from "./diver.ts";
import * as gauge from "./cylinder.ts";
import * as gas from "./gas.ts";
import { type Missing, isMissing, lacking, merge, missing } from "./known.ts";
import type { Method } from "./profile.ts";

/** The six limits; of equal ones the first here is the one named. */
export const LIMITS: readonly LimitKind[] = [
  "certified_depth",
  "oxygen",
  "table_no_stop",
  "tissue_no_stop",
  "gas",
  "planned",
];

/** The limits as a sentence names them. */
export const LIMIT_NAMES: Readonly<Record<LimitKind, string>> = {
  certified_depth: "certified depth",
  oxygen: "oxygen limit",
  table_no_stop: "no-stop limit by the table",
  tissue_no_stop: "no-stop limit by the tissue model",
  gas: "gas",
  planned: "planned time",
};

/** The limit that is shown and does not count, by governing method. */
export const UNGOVERNED: Readonly<Record<Method, readonly LimitKind[]>> = {
  shorter: [],
  table: ["tissue_no_stop"],
  tissue: ["table_no_stop"],
};

const COUNTED = {
  shorter: LIMITS.filter((kind) => !UNGOVERNED.shorter.includes(kind)),
  table: LIMITS.filter((kind) => !UNGOVERNED.table.includes(kind)),
  tissue: LIMITS.filter((kind) => !UNGOVERNED.tissue.includes(kind)),
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
    leastGas = gauge.minimumGas(shared, own, cylinder, regulatorMinimum, surfaceReserve, settings.pressureUnit);
    if (cylinder.start === null) {
      usable = start;
      gasLimit = start;
    } else {
      usable = gauge.usableLitres(cylinder, cylinder.start, leastGas);
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
  const share = gauge.shareOut(turnRule(dive.way, settings), dive.along);
  if (share === null || isMissing(minimum) || isMissing(cylinder)) return minimum;
  if (share <= 0) return missing("a way back: the current is as fast as the team swims (dive.along_current)");
  const unknown = merge(plans.map((p) => p.usableLitres));
  if (unknown !== null || cylinder.start === null) return unknown ?? missing();
  const leastUsable = Math.min(...plans.map((p) => p.usableLitres as number));
  return gauge.turnPressure(share, cylinder, cylinder.start, minimum, leastUsable, settings.pressureUnit);
}

/** How the usable gas is parted: the club's rule, else halves on a way back and all of it without one. */
export function turnRule(way: gauge.Way, settings: TeamSettings): gauge.TurnRule {
  return settings.turnRule ?? gauge.USUAL_TURN[way];
}

/** The team's limit of one kind: not known unless every member's is; a known 0 is an answer all the same. */
function least(kind: LimitKind, plans: readonly DiverPlan[]): [Limit | Missing, string | null] {
  let best: Limit | null = null;
  let owner: string | null = null;
  let complete = true;
  for (const plan of plans) {
    const limit = plan.limits[kind];
    if (isMissing(limit)) complete = false;
    else if (best === null || shorter(limit, best)) {
      best = limit;
      owner = plan.id;
    }
  }
  if (best !== null && (complete || best.seconds === 0)) return [best, kind === "planned" ? null : owner];
  return [lacking(...plans.map((plan) => plan.limits[kind])), null];
}

function shorter(a: Limit, b: Limit): boolean {
  return a.seconds !== null && (b.seconds === null || a.seconds < b.seconds);
}

/** A diver's own limit: the least that counts, not known while one of them is not (unless one is 0). */
function ownLimit(diver: string, limits: Limits, settings: TeamSettings): Bound | Missing {
  const found: Bound[] = [];
  const unknown = ends(diver, limits, counted(settings), found);
  let first = found[0] as Bound;
  for (const bound of found) if (bound.seconds < first.seconds) first = bound;
  return unknown === null || first.seconds === 0 ? first : unknown;
}

/** The limits that count under the governing method; the other of the two no-stop limits is only shown. */
export function counted(settings: TeamSettings): readonly LimitKind[] {
  return COUNTED[settings.dive.method];
}

/** Add what ends the dive to `found`; says what is missing, if anything is. */
function ends(diver: string, limits: Limits, kinds: readonly LimitKind[], found: Bound[]): Missing | null {
  let complete = true;
  for (const kind of kinds) {
    const limit = limits[kind];
    if (isMissing(limit)) complete = false;
    else if (limit.seconds !== null) {
      found.push({ seconds: limit.seconds, limitedBy: kind, diver: kind === "planned" ? null : diver });
    }
  }
  return complete ? null : merge(kinds.map((kind) => limits[kind]));
}

/** Everything known that ends the dive, soonest first; of equal ones in the order of LIMITS, then of divers. */
function bounds(plans: readonly DiverPlan[], settings: TeamSettings): Bound[] {
  const found: Bound[] = [];
  for (const kind of counted(settings)) for (const plan of plans) ends(plan.id, plan.limits, [kind], found);
  return found.sort((a, b) => a.seconds - b.seconds);
}
