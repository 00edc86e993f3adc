// Gas: what a dive uses, how long it lasts, and who of a team uses it up first.
// The twin of physics/gas.py, which carries the sources; the same operations in the same order.

import { firstOf, naturalLog, shareLater } from "./chance.ts";

/** Minutes, and the mean depth over them. */
export type Segment = readonly [number, number];

/** Ambient pressure at a depth: bar from msw, atmospheres from fsw with 33. */
export function ambient(depth: number, depthPerBar = 10.0): number {
  return (depth + depthPerBar) / depthPerBar;
}

/** Surface volume breathed per minute at a depth, in the volume unit of `rmv`. */
export function consumption(rmv: number, depth: number, depthPerBar = 10.0): number {
  return ambient(depth, depthPerBar) * rmv;
}

/** The sum of minutes x ambient pressure: multiplied by an RMV it is the gas breathed. */
export function pressureMinutes(segments: readonly Segment[], depthPerBar = 10.0): number {
  let total = 0.0;
  for (const [minutes, meanDepth] of segments) total = total + minutes * ambient(meanDepth, depthPerBar);
  return total;
}

/** From leaving the surface to leaving the bottom; `minutes` is the bottom time, descent included. */
export function descentAndBottom(depth: number, minutes: number, descentRate: number): Segment[] {
  const down = depth / descentRate;
  if (minutes < down) return [[minutes, (minutes * descentRate) / 2.0]];
  return [
    [down, depth / 2.0],
    [minutes - down, depth],
  ];
}

/** From leaving the bottom to the surface, with one stop (at the deepest point if that is shallower). */
export function ascent(depth: number, ascentRate: number, stopDepth: number, stopMinutes: number): Segment[] {
  const stop = stopDepth < depth ? stopDepth : depth;
  return [
    [(depth - stop) / ascentRate, (depth + stop) / 2.0],
    [stopMinutes, stop],
    [stop / ascentRate, stop / 2.0],
  ];
}

/** The longest bottom time in whole seconds that uses no more than `litres`; 0 if they do not last to the bottom. */
export function gasLimitS(litres: number, rateLMin: number, depth: number, descentRate: number): number {
  const down = depth / descentRate;
  const left = litres / rateLMin - down * ambient(depth / 2.0);
  if (left < 0) return 0;
  return Math.trunc((down + left / ambient(depth)) * 60.0 + 1e-6);
}

// --- who turns first, and how long nineteen times in twenty ---

/** Litres down to a pressure, and how that diver breathes: mean RMV and its spread over the mean. */
export interface Supply {
  readonly litres: number;
  readonly rmv: number;
  readonly spread: number;
}

/** The probability of each diver to have used theirs first (log-normal RMV; a shared work factor cancels). */
export function turnsFirst(supplies: readonly Supply[]): number[] {
  return firstOf(
    supplies.map((s) => naturalLog(s.litres / s.rmv)),
    supplies.map((s) => s.spread),
  );
}

/** The bottom time in whole seconds that the gas of all of them lasts with probability `share`, floored. */
export function timeMetS(supplies: readonly Supply[], share: number, depth: number, descentRate: number): number {
  let low = 0;
  let high = 86_400;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    const used = pressureMinutes(descentAndBottom(depth, middle / 60.0, descentRate));
    const logUsed = naturalLog(used);
    let lasting = 1.0;
    for (const s of supplies) lasting = lasting * shareLater(logUsed, naturalLog(s.litres / s.rmv), s.spread);
    if (lasting >= share) low = middle;
    else high = middle;
  }
  return low;
}
