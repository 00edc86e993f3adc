// What pairing knows of a dive and of a diver: integers and short words only. The twin of pairing/model.py.
//
// Depths are hundredths of the unit asked in, currents thousandths of a knot, visibility centimetres,
// temperatures tenths of a degree Celsius, days integers as in days.ts, times whole seconds.

import type { DepthUnit } from "../physics/units.ts";

/** The dimensions of a dive that a diver can be new to, in the order in which they are said. */
export const DIMENSIONS = ["depth", "current", "visibility", "cold", "night", "task", "site"] as const;
export const LAY_OFF = "lay_off";
export const EQUIPMENT = "equipment";
export type Dimension = (typeof DIMENSIONS)[number] | typeof LAY_OFF | typeof EQUIPMENT;

// Who has to be out of the water while anybody dives, in the order in which they are said.
export const COVER_ROLES = ["boat_handler", "lookout", "oxygen", "standby"] as const;
export type CoverRole = (typeof COVER_ROLES)[number];

/** `level`: 1 watched, 2 helped, 3 supervised, 4 alone in easy conditions, 5 leads others. */
export interface Task {
  readonly kind: string;
  readonly level: number;
}

/** What a dive asks of a diver. null where the dive makes no such demand. */
export interface Demands {
  readonly unit: DepthUnit;
  readonly depth: number;
  readonly current: number | null;
  readonly visibility: number | null;
  readonly waterTemp: number | null;
  readonly night: boolean;
  readonly task: Task | null;
  readonly site: readonly string[];
}

export function dimensionsOf(demands: Demands): readonly Dimension[] {
  const asked = [
    true,
    demands.current !== null,
    demands.visibility !== null,
    demands.waterTemp !== null,
    demands.night,
    demands.task !== null,
    demands.site.length > 0,
  ];
  return DIMENSIONS.filter((_, at) => asked[at]);
}

/** `count` past dives that were alike, the latest on `on`. null: not told, taken as the easiest. */
export interface Done {
  readonly depth: number;
  readonly on: number;
  readonly current: number | null;
  readonly visibility: number | null;
  readonly waterTemp: number | null;
  readonly night: boolean;
  readonly task: Task | null;
  readonly count: number;
  readonly site: readonly string[];
}

/** `done` null: the log is not known. `lastDive` null: not known. */
export interface Experience {
  readonly lastDive: number | null;
  readonly done: readonly Done[] | null;
  readonly divesLastYear: number | null;
}

/** Somebody else's decision, kept with its reason, that a rule does not hold this diver back. */
export interface Override {
  readonly rule: string;
  readonly diver: string;
  readonly by: string;
  readonly reason: string;
}

/** `private`: kept like a must short of anybody's dive, and never told. */
export interface Wish {
  readonly kind: "together" | "apart";
  readonly divers: readonly string[];
  readonly strength: "must" | "prefer";
  readonly private: boolean;
}

export type Regime = "only_when_odd" | "free" | "never";

/** The numbers a club may set; the defaults are our own choice. null: the rule is off. */
export interface Policy {
  readonly threes: Regime;
  readonly leaderNeeded: "every_team" | "when_stretched";
  readonly stretchesAllowed: number;
  readonly layOffDays: number;
  readonly visibilityEdges: readonly number[];
  readonly visibilityTolerance: number;
  readonly currentTolerance: number;
  readonly waterTempTolerance: number;
  readonly freshMonths: readonly [number, number, number];
  readonly coveredWeight: number;
  readonly leadWeight: number;
  readonly wishS: number;
  readonly bothTasksS: number;
  readonly firstTogetherS: number;
  readonly mentorDebtS: number;
  readonly otherMixS: number;
  readonly deeperBesideCertified: boolean;
  /** null: 3 m or 10 ft. */
  readonly oxygenMargin: number | null;
  readonly mostDaysSinceDive: number | null;
  readonly leastDivesLastYear: number | null;
  readonly guidedRatio: number;
  readonly guardianMayLead: boolean;
  readonly oneBandAtATime: boolean;
  readonly repeatsBeforeNext: number | null;
  readonly firstExposureS: number | null;
  readonly threeVisibility: number | null;
  readonly waveIntervalS: number;
  readonly surfaceCover: "shown" | "warn" | "required";
  readonly coverCombined: readonly (readonly string[])[];
}

export const USUAL_POLICY: Policy = {
  threes: "only_when_odd",
  leaderNeeded: "every_team",
  stretchesAllowed: 1,
  layOffDays: 180,
  visibilityEdges: [300, 600, 1000, 2000],
  visibilityTolerance: 1,
  currentTolerance: 250,
  waterTempTolerance: 30,
  freshMonths: [6, 12, 24],
  coveredWeight: 1,
  leadWeight: 3,
  wishS: 120,
  bothTasksS: 120,
  firstTogetherS: 60,
  mentorDebtS: 60,
  otherMixS: 0,
  deeperBesideCertified: false,
  oxygenMargin: null,
  mostDaysSinceDive: null,
  leastDivesLastYear: null,
  guidedRatio: 4,
  guardianMayLead: false,
  oneBandAtATime: false,
  repeatsBeforeNext: null,
  firstExposureS: null,
  threeVisibility: null,
  waveIntervalS: 3600,
  surfaceCover: "shown",
  coverCombined: [
    ["boat_handler", "oxygen"],
    ["lookout", "oxygen"],
  ],
};

export type Fitness = "in_date" | "out_of_date" | "restricted" | "unfit";

/** One diver as pairing sees them. */
export interface Person {
  readonly id: string;
  /** A dive leader; null: not stated, judged by what they have done. */
  readonly leader: boolean | null;
  readonly supervised: boolean;
  readonly certifiedDepth: number | null;
  readonly born: number | null;
  readonly guardians: readonly string[];
  readonly guardianConsent: boolean | null;
  readonly fitness: Fitness | null;
  readonly experience: Experience | null;
  readonly ownTask: boolean;
  readonly certifiedUntil: number | null;
  readonly newEquipment: readonly string[];
  readonly sharesGasBy: readonly string[] | null;
  readonly signals: readonly string[] | null;
  readonly divedWith: readonly string[] | null;
  readonly mentorDebt: number;
  readonly gas: GasFacts | null;
}

/** What the physics said of one diver alone on this dive. */
export interface GasFacts {
  readonly ownS: number | null;
  readonly notKnown: readonly (readonly [string, readonly string[]])[];
  readonly zero: readonly (readonly [string, string])[];
  readonly mod: number | null;
  readonly o2E4: number | null;
}

/** What the physics said of one candidate team. `short`: divers whose gas cannot bring two up. */
export interface TeamGas {
  readonly limitS: number | null;
  readonly limitedBy: string | null;
  readonly limitingDiver: string | null;
  readonly nextS: number | null;
  readonly nextBy: string | null;
  readonly nextDiver: string | null;
  readonly notKnown: readonly string[];
  readonly short: readonly string[];
}

/** Why something is so, as data: a stable code, whose it is, what it counts, and a sentence. */
export interface Reason {
  readonly code: string;
  readonly divers: readonly string[];
  readonly message: string;
  readonly safety: number;
  readonly seconds: number;
  readonly what: readonly string[];
}

export function reasonOf(
  code: string,
  divers: readonly string[],
  message: string,
  more: { readonly safety?: number; readonly seconds?: number; readonly what?: readonly string[] } = {},
): Reason {
  return { code, divers, message, safety: more.safety ?? 0, seconds: more.seconds ?? 0, what: more.what ?? [] };
}

/** Those that are there. */
export function present(reasons: readonly (Reason | null)[]): Reason[] {
  return reasons.filter((reason): reason is Reason => reason !== null);
}

/** Whether two reasons say the same. */
export function sameReason(a: Reason, b: Reason): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

/** 27 m, 27.5 m, 120 ft. */
export function depthText(hundredths: number, unit: string): string {
  return `${decimal(hundredths, 2)} ${unit}`;
}

/** An integer of 10^-places as the shortest decimal. */
export function decimal(value: number, places: number): string {
  const scale = 10 ** places;
  const size = Math.abs(value);
  const whole = Math.floor(size / scale);
  const tail = String(size % scale).padStart(places, "0").replace(/0+$/, "");
  return `${value < 0 ? "-" : ""}${whole}${tail ? `.${tail}` : ""}`;
}

/** a; a and b; a, b and c. */
export function listed(names: readonly string[]): string {
  if (names.length < 2) return names.join("");
  return `${names.slice(0, -1).join(", ")} and ${names[names.length - 1]}`;
}

/** Ids in the order of their code points. */
export function compareIds(a: string, b: string): number {
  const left = [...a];
  const right = [...b];
  for (let at = 0; at < left.length && at < right.length; at++) {
    const difference = left[at]!.codePointAt(0)! - right[at]!.codePointAt(0)!;
    if (difference !== 0) return difference;
  }
  return left.length - right.length;
}

export function sortedIds(ids: Iterable<string>): string[] {
  return [...ids].sort(compareIds);
}

/** Lists compared item by item, a shorter one first. */
export function compareLists<T>(a: readonly T[], b: readonly T[], compare: (x: T, y: T) => number): number {
  for (let at = 0; at < a.length && at < b.length; at++) {
    const difference = compare(a[at]!, b[at]!);
    if (difference !== 0) return difference;
  }
  return a.length - b.length;
}

/** Every choice of `size` items, in order. */
export function combinations<T>(items: readonly T[], size: number): T[][] {
  if (size === 0) return [[]];
  const found: T[][] = [];
  for (let at = 0; at + size <= items.length; at++) {
    for (const rest of combinations(items.slice(at + 1), size - 1)) found.push([items[at]!, ...rest]);
  }
  return found;
}

/** Whether two lists hold the same ids in the same order. */
export function sameIds(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && a.every((id, at) => id === b[at]);
}
