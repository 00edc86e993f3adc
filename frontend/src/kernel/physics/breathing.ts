// How fast a diver breathes: what work and a current do to the ordinary mean, and what to plan with.
// The twin of physics/breathing.py.

import BREATHING from "@data/breathing.json" with { type: "json" };
import { UPPER_95, exponential } from "./chance.ts";

export type Work = keyof typeof BREATHING.work;

/** The classes of work, easiest first. */
export const WORK = Object.keys(BREATHING.work) as Work[];
export const SUSTAINED_KN = BREATHING.sustained_kn;

/** Multipliers on a diver's ordinary working mean: by class of work, and (knots, multiplier) by speed. */
export interface Breathing {
  readonly work: readonly number[];
  readonly swimming: readonly (readonly [number, number])[];
  readonly own: boolean;
}

/** Rates by speed as multiples of the first. */
export function multipliers(rows: readonly (readonly [number, number])[]): [number, number][] {
  return rows.map((row) => [row[0], row[1] / rows[0]![1]]);
}

export const PUBLISHED: Breathing = {
  work: WORK.map((name) => BREATHING.work[name][0]! / BREATHING.work[name][1]!),
  swimming: multipliers(BREATHING.swimming as [number, number][]),
  own: false,
};

/** What this class of work does to a diver's ordinary working mean. */
export function workMultiplier(work: Work, model: Breathing = PUBLISHED): number {
  return model.work[WORK.indexOf(work)]!;
}

/** What swimming at this speed does to a diver's ordinary working mean; null past the last figure known. */
export function currentMultiplier(currentKn: number, model: Breathing = PUBLISHED): number | null {
  const [slowest, least] = model.swimming[0]!;
  if (currentKn <= slowest) return least;
  for (let i = 1; i < model.swimming.length; i++) {
    const [kn0, by0] = model.swimming[i - 1]!;
    const [kn1, by1] = model.swimming[i]!;
    if (currentKn <= kn1) return by0 + ((by1 - by0) * (currentKn - kn0)) / (kn1 - kn0);
  }
  return null;
}

/** The RMV that a diver stays under nineteen times in twenty (log-normal, median `mean`). */
export function upperRate(mean: number, sd: number): number {
  return mean * exponential(UPPER_95 * (sd / mean));
}
