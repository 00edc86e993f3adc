// What a team writes on its slate beside its limit: who turns first, the run, the gas left, the last start.
// The twin of physics/slate.py.

import { STEP, litresPerUnit, usableLitres } from "./cylinder.ts";
import type { DiverLimits, TeamDive, TeamSettings } from "./diver.ts";
import * as gas from "./gas.ts";
import { type Missing, isMissing, lacking, merge, missing } from "./known.ts";
import { counted, mostGauge } from "./real_gas.ts";
import { secondsUp } from "./rounding.ts";
import type { DiverPlan, TeamLimits } from "./team.ts";
import { type Depth, travelS, travelled } from "./units.ts";

/** Who comes first to a pressure, with a chance for each diver; the times are the gas of all, in seconds. */
export interface First {
  readonly diver: string;
  readonly chances: readonly number[] | Missing;
  readonly medianS: number | Missing;
  readonly nineteenInTwentyS: number | Missing;
}

/** The diver most likely to reach turn pressure first, each their own and as announced, rounding included. */
export function firstToTurn(
  dive: TeamDive,
  members: readonly DiverLimits[],
  plan: TeamLimits,
  settings: TeamSettings,
): First | Missing {
  const spent = members.map((member, i) => toTurn(member, plan.divers[i] as DiverPlan));
  return firstOf(dive, members, spent, settings);
}

/** The diver most likely to reach minimum gas first, and how long the gas of all lasts above it. */
export function firstToMinimumGas(
  dive: TeamDive,
  members: readonly DiverLimits[],
  plan: TeamLimits,
  settings: TeamSettings,
): First | Missing {
  return firstOf(
    dive,
    members,
    plan.divers.map((own) => own.usableLitres),
    settings,
  );
}

/** Litres at 1 bar from the start to turn pressure. */
function toTurn(member: DiverLimits, own: DiverPlan): number | Missing {
  const { cylinder } = member.diver;
  if (isMissing(own.usableLitres) || isMissing(own.turnPressure)) return lacking(own.usableLitres, own.turnPressure);
  if (isMissing(cylinder) || cylinder.start === null) return lacking(cylinder);
  return usableLitres(cylinder, cylinder.start, own.turnPressure);
}

/** Who has breathed their `litres` first (log-normal RMV, sd over mean as its spread). */
function firstOf(
  dive: TeamDive,
  members: readonly DiverLimits[],
  litres: readonly (number | Missing)[],
  settings: TeamSettings,
): First | Missing {
  const unknown = merge([...litres, ...members.map((m) => m.rateLMin)]);
  if (unknown !== null) return unknown;
  const supplies = members.map((member, i) => supply(member, litres[i] as number | Missing));
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

function supply(member: DiverLimits, litres: number | Missing): gas.Supply {
  const some = isMissing(litres) || litres < 0 ? 0.0 : litres;
  const mean = member.diver.rmv.mean ?? 1.0;
  const sd = member.diver.rmv.sd ?? 0.0;
  return { litres: some, rmv: mean * (member.multiplier ?? 1.0), spread: sd / mean };
}

/** The bottom time that the rest is counted with: the team's limit, or what was asked while it is not known. */
export function bottomS(dive: TeamDive, plan: TeamLimits): number {
  return isMissing(plan.limit) ? dive.bottomTimeS : plan.limit.seconds;
}

/** The depth at the start of the ascent: a bottom time shorter than the descent does not lead to the bottom. */
export function reached(dive: TeamDive, settings: TeamSettings, stayS: number): Depth {
  if (stayS >= travelS(dive.depth, settings.dive.descent, false)) return dive.depth;
  const onTheWay = travelled(settings.dive.descent, stayS, dive.depth.unit);
  return onTheWay.hundredths < dive.depth.hundredths ? onTheWay : dive.depth;
}

/** From starting the ascent to the surface, the stop included, rounded up. */
export function ascentS(dive: TeamDive, settings: TeamSettings, stayS: number): number {
  const deepest = reached(dive, settings, stayS);
  return travelS(deepest, settings.dive.ascent, true) + secondsUp(dive.stopMin);
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
  const used = (rate * gas.pressureMinutes([...down, ...up])) / litresPerUnit(cylinder);
  const left = counted(cylinder.rule, cylinder.start) - used;
  return left > 0 ? mostGauge(cylinder.rule, left, STEP[settings.pressureUnit]) : 0;
}

/** The last moment to start a unit of work: its time (twice where a diver is stretched) and a minute before the end. */
export function lastStartS(dive: TeamDive, members: readonly DiverLimits[], stayS: number): number | null {
  const unitS = secondsUp(dive.taskUnitMin ?? 0.0);
  const last = stayS - unitS * (members.some((m) => m.diver.stretched) ? 2 : 1) - 60;
  return last >= 0 ? last : null;
}
