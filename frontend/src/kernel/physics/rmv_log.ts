// A diver's breathing rate from their own log, drawn towards the group while the dives are few.
// The twin of physics/rmv_log.py, which says what is assumed.

import { exponential, naturalLog, root } from "./chance.ts";

export const USUAL_BETWEEN = 0.25;
export const USUAL_WITHIN = 0.15;
/** Our own choice where a club gives no figure of its own. */
export const GROUP_DIVES = 8;

/** The group's median rate in L/min, and the spread between its divers and between the dives of one (of the log). */
export interface Group {
  readonly median: number;
  readonly between: number;
  readonly within: number;
}

/** A diver's median rate in L/min and its spread on the coming dive, and the weight of the diver's own log. */
export interface Rate {
  readonly median: number;
  readonly spread: number;
  readonly dives: number;
  readonly ownWeight: number;
}

/** What to expect of the next dive. `rates` are those of past dives at ordinary work, L/min; none is the group's. */
export function rateFromLog(rates: readonly number[], group: Group): Rate {
  const n = rates.length;
  const logs = rates.map((rate) => naturalLog(rate));
  const mean = n > 0 ? sum(logs) / n : 0.0;
  const scatter = sum(logs.map((one) => (one - mean) * (one - mean)));
  const more = n > 0 ? n - 1 : 0;
  const within = (GROUP_DIVES * (group.within * group.within) + scatter) / (GROUP_DIVES + more);
  const between = group.between * group.between;
  const ofGroup = naturalLog(group.median);
  const weight = n > 0 ? (n * between) / (n * between + within) : 0.0;
  const unknown = between * (1.0 - weight);
  return {
    median: exponential(ofGroup + weight * (mean - ofGroup)),
    spread: root(within + unknown),
    dives: n,
    ownWeight: weight,
  };
}

/** Added one after the other, so that both languages get the same bits. */
function sum(values: readonly number[]): number {
  let total = 0.0;
  for (const value of values) total = total + value;
  return total;
}
