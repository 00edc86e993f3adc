// Rounding to the safe side, in one place. The twin of physics/rounding.py, which says why.

const NEAR = 1e-6;

/** n / d rounded up, exactly; whole numbers below 2^53, d > 0. */
export function ceilDiv(n: number, d: number): number {
  const whole = -floorDiv(-n, d);
  return whole === 0 ? 0 : whole; // never -0
}

/** n / d rounded down, exactly; whole numbers below 2^53, d > 0. */
export function floorDiv(n: number, d: number): number {
  const rest = n % d;
  const whole = (n - rest) / d + (rest < 0 ? -1 : 0);
  return whole === 0 ? 0 : whole; // never -0
}

/** x * scale as a whole number, rounded up. */
export function scaledUp(x: number, scale: number): number {
  const y = x * scale;
  const nearest = Math.floor(y + 0.5);
  return Math.abs(y - nearest) <= NEAR ? nearest : Math.ceil(y);
}

/** x * scale as a whole number, rounded down. */
export function scaledDown(x: number, scale: number): number {
  const y = x * scale;
  const nearest = Math.floor(y + 0.5);
  return Math.abs(y - nearest) <= NEAR ? nearest : Math.floor(y);
}

/** x * scale as the nearest whole number, halves up. */
export function scaledNearest(x: number, scale: number): number {
  return Math.floor(x * scale + 0.5);
}

/** A bottom time in minutes as whole seconds, rounded up. */
export function secondsUp(minutes: number): number {
  return scaledUp(minutes, 60);
}

/** A surface interval in minutes as whole seconds, rounded down. */
export function secondsDown(minutes: number): number {
  return scaledDown(minutes, 60);
}

/** The whole minutes with which a bottom time enters a table. */
export function minutesUp(seconds: number): number {
  return ceilDiv(seconds, 60);
}

/** The whole minutes of a surface interval that have passed. */
export function minutesDown(seconds: number): number {
  return floorDiv(seconds, 60);
}

/** A limit in seconds as shown to people: minutes, rounded down to 0.1. */
export function tenthsOfMinutesDown(seconds: number): number {
  return floorDiv(seconds, 6) / 10;
}

/** A share or a percentage as shown to people: rounded up to 0.1. */
export function tenthsUp(x: number): number {
  return scaledUp(x, 10) / 10;
}
