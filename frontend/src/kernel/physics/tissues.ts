// ZH-L16C nitrogen compartments with gradient factors. The twin of physics/tissues.py, which carries the
// sources and conventions; + - * / in the same order give the same bits.

import DECAY from "@data/decay_powers.json" with { type: "json" };
import ZHL16 from "@data/zhl16.json" with { type: "json" };

export type Tissues = readonly number[];

export const SEA_LEVEL_BAR = 1.01325;
export const WATER_VAPOUR_BAR = 0.0627;
export const AIR_N2 = 0.7902;

const REST = ZHL16.compartments.slice(1);

export const A_BAR: readonly number[] = [ZHL16.alternative_first.n2.a_bar, ...REST.map((c) => c.n2.a_bar.C)];
export const B: readonly number[] = [ZHL16.alternative_first.n2.b, ...REST.map((c) => c.n2.b)];
export const TIME_CONSTANT_S: readonly number[] = DECAY.rows.map((row) => row.time_constant_s);
export const POWERS: readonly (readonly number[])[] = DECAY.rows.map((row) => row.powers);
export const COUNT = A_BAR.length;
export const BITS = POWERS[0]!.length;
export const LONGEST_S = 2 ** BITS - 1;

const ALL: readonly number[] = A_BAR.map((_, i) => i);

/** e^(-k seconds) as the product of stored powers, lowest bit first. */
export function decay(compartment: number, seconds: number): number {
  let left = seconds < LONGEST_S ? seconds : LONGEST_S;
  const powers = POWERS[compartment]!;
  let product = 1.0;
  let bit = 0;
  while (left > 0) {
    if (left % 2 === 1) product = product * powers[bit]!;
    left = Math.floor(left / 2);
    bit += 1;
  }
  return product;
}

/** Nitrogen pressure breathed at an ambient pressure, water vapour taken off. */
export function alveolarBar(ambientBar: number, n2: number): number {
  return (ambientBar - WATER_VAPOUR_BAR) * n2;
}

/** Compartments of someone who has breathed air at this pressure for days. */
export function surfaceState(surfaceBar = SEA_LEVEL_BAR, n2 = AIR_N2): Tissues {
  const rest = alveolarBar(surfaceBar, n2);
  return ALL.map(() => rest);
}

/** Haldane: after `seconds` at one ambient pressure on a gas with nitrogen fraction `n2`. */
export function constant(tissues: Tissues, ambientBar: number, n2: number, seconds: number): Tissues {
  const breathed = alveolarBar(ambientBar, n2);
  return ALL.map((i) => breathed + (tissues[i]! - breathed) * decay(i, seconds));
}

/** Schreiner: after `seconds` (at least 1) of steady change from one ambient pressure to another. */
export function linear(tissues: Tissues, fromBar: number, toBar: number, n2: number, seconds: number): Tissues {
  const breathed = alveolarBar(fromBar, n2);
  const rate = ((toBar - fromBar) * n2) / seconds;
  return ALL.map((i) => {
    const lag = rate * TIME_CONSTANT_S[i]!;
    return breathed + rate * seconds - lag - (breathed - lag - tissues[i]!) * decay(i, seconds);
  });
}

/** Highest tension of each compartment at an ambient pressure: P + gf (a + P / b - P). */
export function allowedBar(ambientBar: number, gf: number): Tissues {
  return ALL.map((i) => ambientBar + gf * (A_BAR[i]! + ambientBar / B[i]! - ambientBar));
}

/** Least ambient pressure that every compartment tolerates (Baker): (P - a gf) / (gf / b - gf + 1). */
export function ceilingBar(tissues: Tissues, gf: number): number {
  let highest = 0.0;
  for (const i of ALL) {
    const tolerated = (tissues[i]! - A_BAR[i]! * gf) / (gf / B[i]! - gf + 1.0);
    if (tolerated > highest) highest = tolerated;
  }
  return highest;
}

/** True when no compartment is above what is allowed. */
export function within(tissues: Tissues, allowed: Tissues): boolean {
  return ALL.every((i) => tissues[i]! <= allowed[i]!);
}

/**
 * Longest bottom time in whole seconds, descent included, with a straight ascent within `gf` at the surface.
 * null where there is none; 0 where the depth cannot be reached.
 */
export function noStopLimitS(
  tissues: Tissues,
  surfaceBar: number,
  bottomBar: number,
  n2: number,
  descentS: number,
  ascentS: number,
  gf: number,
): number | null {
  const allowed = allowedBar(surfaceBar, gf);
  const breathed = alveolarBar(bottomBar, n2);
  const rate = ((surfaceBar - bottomBar) * n2) / ascentS;
  const fixed: number[] = [];
  const start: number[] = [];
  const factor: number[] = [];
  for (const i of ALL) {
    const lag = rate * TIME_CONSTANT_S[i]!;
    fixed.push(breathed + rate * ascentS - lag);
    start.push(breathed - lag);
    factor.push(decay(i, ascentS));
  }
  const surfaces = (state: Tissues): boolean =>
    ALL.every((i) => fixed[i]! - (start[i]! - state[i]!) * factor[i]! <= allowed[i]!);

  let state = linear(tissues, surfaceBar, bottomBar, n2, descentS);
  if (!surfaces(state)) return 0;
  if (surfaces(ALL.map(() => breathed))) return null;
  let stayS = 0;
  for (let bit = BITS - 1; bit >= 0; bit -= 1) {
    const held = state;
    const later = ALL.map((i) => breathed + (held[i]! - breathed) * POWERS[i]![bit]!);
    if (surfaces(later)) {
      state = later;
      stayS += 2 ** bit;
    }
  }
  return descentS + stayS;
}
