// ZH-L16C compartments with gradient factors, for nitrogen and, where it was breathed, helium. The twin of
// physics/tissues.py, which carries the sources and conventions; + - * / in the same order give the same bits.

import DECAY from "@data/decay_powers.json" with { type: "json" };
import ZHL16 from "@data/zhl16.json" with { type: "json" };

export type Tissues = readonly number[];

export const SEA_LEVEL_BAR = 1.01325;
export const WATER_VAPOUR_BAR = 0.0627;
export const AIR_N2 = 0.7902;

const ROWS = [ZHL16.alternative_first, ...ZHL16.compartments.slice(1)];
const DECAYS = [...DECAY.rows, ...DECAY.helium_rows];

export const A_BAR: readonly number[] = [
  ZHL16.alternative_first.n2.a_bar,
  ...ZHL16.compartments.slice(1).map((c) => c.n2.a_bar.C),
];
export const B: readonly number[] = ROWS.map((c) => c.n2.b);
export const HELIUM_A_BAR: readonly number[] = ROWS.map((c) => c.he.a_bar);
export const HELIUM_B: readonly number[] = ROWS.map((c) => c.he.b);
export const COUNT = A_BAR.length;

/** By position in `Tissues`: nitrogen, then helium. */
export const TIME_CONSTANT_S: readonly number[] = DECAYS.map((row) => row.time_constant_s);
export const POWERS: readonly (readonly number[])[] = DECAYS.map((row) => row.powers);
export const BITS = POWERS[0]!.length;
export const LONGEST_S = 2 ** BITS - 1;

const ALL: readonly number[] = A_BAR.map((_, i) => i);
const NO_HELIUM: Tissues = ALL.map(() => 0.0);

/** e^(-k seconds) as the product of stored powers, lowest bit first; what is left of a second by the series. */
export function decay(position: number, seconds: number): number {
  let left = seconds < LONGEST_S ? Math.floor(seconds) : LONGEST_S;
  const part = seconds < LONGEST_S ? seconds - left : 0.0;
  const powers = POWERS[position]!;
  let product = 1.0;
  let bit = 0;
  while (left > 0) {
    if (left % 2 === 1) product = product * powers[bit]!;
    left = Math.floor(left / 2);
    bit += 1;
  }
  if (part > 0.0) {
    const x = part / TIME_CONSTANT_S[position]!;
    product = product * (1.0 - x * (1.0 - (x / 2.0) * (1.0 - (x / 3.0) * (1.0 - (x / 4.0) * (1.0 - x / 5.0)))));
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

/** Haldane: after `seconds` at one ambient pressure on a gas of these fractions. */
export function constant(tissues: Tissues, ambientBar: number, n2: number, seconds: number, he = 0.0): Tissues {
  const breathed = alveolarBar(ambientBar, n2);
  const after = ALL.map((i) => breathed + (tissues[i]! - breathed) * decay(i, seconds));
  if (he === 0.0 && tissues.length === COUNT) return after;
  const helium = heliumBar(tissues);
  const breathedHelium = alveolarBar(ambientBar, he);
  for (const i of ALL) after.push(breathedHelium + (helium[i]! - breathedHelium) * decay(COUNT + i, seconds));
  return after;
}

/** Schreiner: after `seconds` (above 0) of steady change from one ambient pressure to another. */
export function linear(
  tissues: Tissues,
  fromBar: number,
  toBar: number,
  n2: number,
  seconds: number,
  he = 0.0,
): Tissues {
  const after: number[] = [];
  const change = (tensions: Tissues, fraction: number, first: number): void => {
    const breathed = alveolarBar(fromBar, fraction);
    const rate = ((toBar - fromBar) * fraction) / seconds;
    for (const i of ALL) {
      const lag = rate * TIME_CONSTANT_S[first + i]!;
      after.push(breathed + rate * seconds - lag - (breathed - lag - tensions[i]!) * decay(first + i, seconds));
    }
  };
  change(tissues, n2, 0);
  if (he !== 0.0 || tissues.length !== COUNT) change(heliumBar(tissues), he, COUNT);
  return after;
}

/** The helium tensions; 0 where none was breathed. */
export function heliumBar(tissues: Tissues): Tissues {
  return tissues.length > COUNT ? tissues.slice(COUNT) : NO_HELIUM;
}

/** A coefficient of two gases, by helium's share. */
export function weighted(nitrogen: number, helium: number, share: number): number {
  return nitrogen + (helium - nitrogen) * share;
}

/** a in bar and b of each compartment, weighted by each gas's share of its tension. */
export function coefficients(tissues: Tissues): readonly [Tissues, Tissues] {
  if (tissues.length === COUNT) return [A_BAR, B];
  const shares = ALL.map((i) => tissues[COUNT + i]! / (tissues[i]! + tissues[COUNT + i]!));
  return [
    ALL.map((i) => weighted(A_BAR[i]!, HELIUM_A_BAR[i]!, shares[i]!)),
    ALL.map((i) => weighted(B[i]!, HELIUM_B[i]!, shares[i]!)),
  ];
}

/** Tension of each compartment, both gases together. */
export function inertBar(tissues: Tissues): Tissues {
  return tissues.length === COUNT ? tissues : ALL.map((i) => tissues[i]! + tissues[COUNT + i]!);
}

/** Highest tension of each compartment at an ambient pressure: P + gf (a + P / b - P). */
export function allowedBar(ambientBar: number, gf: number, a: Tissues = A_BAR, b: Tissues = B): Tissues {
  return ALL.map((i) => ambientBar + gf * (a[i]! + ambientBar / b[i]! - ambientBar));
}

/** Least ambient pressure that every compartment tolerates (Baker): (P - a gf) / (gf / b - gf + 1). */
export function ceilingBar(tissues: Tissues, gf: number): number {
  const [a, b] = coefficients(tissues);
  const inert = inertBar(tissues);
  let highest = 0.0;
  for (const i of ALL) {
    const tolerated = (inert[i]! - a[i]! * gf) / (gf / b[i]! - gf + 1.0);
    if (tolerated > highest) highest = tolerated;
  }
  return highest;
}

/** True when no nitrogen tension is above what is allowed. */
export function within(tissues: Tissues, allowed: Tissues): boolean {
  return ALL.every((i) => tissues[i]! <= allowed[i]!);
}

/** True when no compartment, both gases together, is above what is allowed at an ambient pressure. */
export function tolerates(tissues: Tissues, ambientBar: number, gf: number): boolean {
  const [a, b] = coefficients(tissues);
  return within(inertBar(tissues), allowedBar(ambientBar, gf, a, b));
}

/** Highest nitrogen tensions from which a steady change ends within `allowed`: Schreiner solved for its start. */
export function toleratedBar(
  allowed: Tissues,
  fromBar: number,
  toBar: number,
  n2: number,
  seconds: number,
): Tissues {
  const breathed = alveolarBar(fromBar, n2);
  const rate = ((toBar - fromBar) * n2) / seconds;
  return ALL.map((i) => {
    const lag = rate * TIME_CONSTANT_S[i]!;
    return breathed - lag - (breathed + rate * seconds - lag - allowed[i]!) / decay(i, seconds);
  });
}

/**
 * Longest bottom time in whole seconds, descent included, with a straight ascent within `gf` at the surface, in
 * `ascentS` and, where it is given, in `exactAscentS` too. null where there is none; 0 where the depth cannot be
 * reached.
 */
export function noStopLimitS(
  tissues: Tissues,
  surfaceBar: number,
  bottomBar: number,
  n2: number,
  descentS: number,
  ascentS: number,
  gf: number,
  exactAscentS: number | null = null,
): number | null {
  const allowed = allowedBar(surfaceBar, gf);
  const breathed = alveolarBar(bottomBar, n2);
  let tolerated = toleratedBar(allowed, bottomBar, surfaceBar, n2, ascentS);
  if (exactAscentS !== null) {
    const whole = tolerated;
    const exact = toleratedBar(allowed, bottomBar, surfaceBar, n2, exactAscentS);
    tolerated = ALL.map((i) => (whole[i]! < exact[i]! ? whole[i]! : exact[i]!));
  }
  const state = linear(tissues, surfaceBar, bottomBar, n2, descentS);
  if (!within(state, tolerated)) return 0;
  // A compartment that tolerates the gas breathed at depth never ends the stay: only the others are walked.
  const ending = ALL.filter((i) => breathed > tolerated[i]!);
  if (ending.length === 0) return null;
  let held = ending.map((i) => state[i]!);
  let stayS = 0;
  for (let bit = BITS - 1; bit >= 0; bit -= 1) {
    const later: number[] = [];
    for (const [at, i] of ending.entries()) {
      const tension = breathed + (held[at]! - breathed) * POWERS[i]![bit]!;
      if (tension > tolerated[i]!) break;
      later.push(tension);
    }
    if (later.length === ending.length) {
      held = later;
      stayS += 2 ** bit;
    }
  }
  return descentS + stayS;
}
