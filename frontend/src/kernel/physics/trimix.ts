// The no-stop limit on a gas with helium: for trained divers, as a calculation only. The twin of physics/trimix.py.

import { floorDiv } from "./rounding.ts";
import * as tissues from "./tissues.ts";
import type { Tissues } from "./tissues.ts";

/** A day in steps of a minute, from two hours on of ten. */
export const STEPS_S: readonly number[] = [...Array<number>(120).fill(60), ...Array<number>(132).fill(600)];

/** Longest bottom time in whole seconds, as `tissues.noStopLimitS`, for two gases; the day is walked in steps. */
export function noStopLimitS(
  state: Tissues,
  surfaceBar: number,
  bottomBar: number,
  n2: number,
  he: number,
  descentS: number,
  ascentS: number,
  gf: number,
  exactAscentS: number | null = null,
): number | null {
  const surfaces = (at: Tissues): boolean => {
    const up = tissues.linear(at, bottomBar, surfaceBar, n2, ascentS, he);
    if (!tissues.tolerates(up, surfaceBar, gf)) return false;
    if (exactAscentS === null) return true;
    return tissues.tolerates(tissues.linear(at, bottomBar, surfaceBar, n2, exactAscentS, he), surfaceBar, gf);
  };

  let held = tissues.linear(state, surfaceBar, bottomBar, n2, descentS, he);
  if (!surfaces(held)) return 0;
  let stayS = 0;
  for (const stepS of STEPS_S) {
    const later = tissues.constant(held, bottomBar, n2, stepS, he);
    if (surfaces(later)) {
      held = later;
      stayS += stepS;
      continue;
    }
    let low = 0;
    let high = stepS;
    while (high - low > 1) {
      const middle = floorDiv(low + high, 2);
      if (surfaces(tissues.constant(held, bottomBar, n2, middle, he))) low = middle;
      else high = middle;
    }
    return descentS + stayS + low;
  }
  const rest = tissues.constant(held, bottomBar, n2, tissues.LONGEST_S, he);
  return surfaces(rest) ? null : descentS + stayS;
}
