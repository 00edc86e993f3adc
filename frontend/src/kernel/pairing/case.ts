// One dive, everybody who may go on it, what was decided about them, and where each rule comes from.
// The twin of pairing/case.py (data/pairing.json holds the sources).

import DATA from "@data/pairing.json" with { type: "json" };
import { age } from "./days.ts";
import { BAND_EDGES, type Standing } from "./experience.ts";
import type { Demands, Override, Person, Policy, Wish } from "./model.ts";

export interface Rule {
  readonly overridable: boolean;
  readonly source: string;
}

export const RULES: Readonly<Record<string, Rule>> = DATA.rules;
export const SOURCES = DATA.sources;

export const ADULT = 18;

/**
 * One dive, everybody who may go on it, and what was decided about them. `leastChange`: the fewest changes
 * against `announced` count first, right after the number placed. `guided`: groups under one leader.
 */
export interface Case {
  readonly demands: Demands;
  readonly on: number;
  readonly policy: Policy;
  readonly people: ReadonlyMap<string, Person>;
  readonly standings: ReadonlyMap<string, Standing>;
  readonly overrides: readonly Override[];
  readonly wishes: readonly Wish[];
  readonly forbidden: readonly (readonly string[])[];
  readonly locked: readonly (readonly string[])[];
  readonly announced: readonly (readonly string[])[];
  readonly leastChange: boolean;
  readonly guided: readonly (readonly string[])[];
  /** Who has which role out of the water. */
  readonly cover: readonly (readonly [string, string])[];
}

export function standingOf(person: Person, of: Case): Standing {
  return of.standings.get(person.id)!;
}

/** A dive leader certified to this depth and of age (ISO 24801-3: 18); with no role stated, being practised stands for it. */
export function leadsToDepth(person: Person, of: Case): boolean {
  const ofAge = person.born === null || age(person.born, of.on) >= ADULT;
  const deep = person.certifiedDepth !== null && person.certifiedDepth >= of.demands.depth;
  return (person.leader ?? standingOf(person, of).practised) && ofAge && deep;
}

/** Whether this diver may go one step past the certified depth, beside somebody who holds it (AAUS 4.40). */
export function oneStepDeeper(person: Person, of: Case): boolean {
  const held = person.certifiedDepth;
  if (!of.policy.deeperBesideCertified || held === null || held >= of.demands.depth) return false;
  const ofAge = person.born !== null && age(person.born, of.on) >= ADULT;
  const step = BAND_EDGES[of.demands.unit].find((edge) => edge > held) ?? held;
  return ofAge && !person.supervised && of.demands.depth <= step;
}
