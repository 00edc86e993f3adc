// The little of probability that gas needs. The twin of physics/chance.py: the same operations in the same
// order, + - x / only, because Math.exp and Math.log differ from other languages in the last bit.

export const LN_2 = 0.6931471805599453;
export const NORMAL_PEAK = 0.3989422804014327;
/** The normal quantile at 0.95: nineteen in twenty lie below it. */
export const UPPER_95 = 1.6448536269514722;

/** e^x. */
export function exponential(exponent: number): number {
  if (exponent < 0) return 1.0 / exponential(-exponent);
  let x = exponent;
  let halvings = 0;
  while (x > 0.5) {
    x = x / 2.0;
    halvings = halvings + 1;
  }
  let term = 1.0;
  let total = 1.0;
  for (let n = 1; n < 18; n++) {
    term = (term * x) / n;
    total = total + term;
  }
  for (let i = 0; i < halvings; i++) total = total * total;
  return total;
}

/** ln x, for x > 0. */
export function naturalLog(value: number): number {
  let x = value;
  let doublings = 0;
  while (x > 1.5) {
    x = x / 2.0;
    doublings = doublings + 1;
  }
  while (x < 0.75) {
    x = x * 2.0;
    doublings = doublings - 1;
  }
  const y = (x - 1.0) / (x + 1.0);
  const square = y * y;
  let power = y;
  let total = y;
  for (let n = 1; n < 20; n++) {
    power = power * square;
    total = total + power / (2 * n + 1);
  }
  return 2.0 * total + doublings * LN_2;
}

/** The square root of x >= 0, by Heron's rule. */
export function root(x: number): number {
  if (x <= 0) return 0.0;
  let guess = x > 1.0 ? x : 1.0;
  for (let i = 0; i < 60; i++) guess = (guess + x / guess) / 2.0;
  return guess;
}

/** The standard normal density at z. */
export function normalDensity(z: number): number {
  return NORMAL_PEAK * exponential(-(z * z) / 2.0);
}

/** The share of a standard normal distribution below z (its series of positive terms: no cancelling). */
export function normalShareBelow(z: number): number {
  if (z < 0) return 1.0 - normalShareBelow(-z);
  if (z > 8.0) return 1.0;
  const square = z * z;
  let term = z;
  let total = z;
  let n = 1;
  while (term > total * 1e-17) {
    term = (term * square) / (2 * n + 1);
    total = total + term;
    n = n + 1;
  }
  return 0.5 + normalDensity(z) * total;
}

/** The probability that a log-normal time is later than e^logTime; a spread of 0 makes it a certainty. */
export function shareLater(logTime: number, logMedian: number, spread: number): number {
  if (spread > 0) return normalShareBelow((logMedian - logTime) / spread);
  if (logMedian > logTime) return 1.0;
  return logMedian === logTime ? 0.5 : 0.0;
}

const STEPS = 256;
const REACH = 8.0;

/** For independent log-normal times, the probability of each to be the first. */
export function firstOf(logMedians: readonly number[], spreads: readonly number[]): number[] {
  if (logMedians.length === 2) {
    const [a, b] = logMedians as [number, number];
    const [s, t] = spreads as [number, number];
    const first = shareLater(a, b, root(s * s + t * t));
    return [first, 1.0 - first];
  }
  return logMedians.map((_, i) => firstAmong(i, logMedians, spreads));
}

function firstAmong(i: number, logMedians: readonly number[], spreads: readonly number[]): number {
  const median = logMedians[i] as number;
  const spread = spreads[i] as number;
  if (spread <= 0) return allLater(median, i, logMedians, spreads);
  const step = (2.0 * REACH) / STEPS;
  let total = 0.0;
  for (let k = 0; k <= STEPS; k++) {
    const z = k * step - REACH;
    const later = allLater(median + spread * z, i, logMedians, spreads);
    total = total + normalDensity(z) * later;
  }
  return total * step;
}

function allLater(logTime: number, i: number, logMedians: readonly number[], spreads: readonly number[]): number {
  let share = 1.0;
  logMedians.forEach((logMedian, j) => {
    if (j !== i) share = share * shareLater(logTime, logMedian, spreads[j] as number);
  });
  return share;
}
