// Hard rules about what a diver has done: known, recent, one step at a time. The twin of pairing/rules_experience.py.

import { type Case, standingOf } from "./case.ts";
import { BAND_EDGES, type Kind, QUARTERS, type Standing, bandEdge, quarters, recordOf } from "./experience.ts";
import { type Dimension, EQUIPMENT, LAY_OFF, type Person, type Policy, type Reason } from "./model.ts";
import { decimal, depthText, listed, reasonOf } from "./model.ts";

export function log(person: Person, of: Case): Reason | null {
  if (standingOf(person, of).logKnown) return null;
  const message = `What ${person.id} has done before is not known, so it covers nothing.`;
  return reasonOf("experience_not_known", [person.id], message, { what: ["experience.done"] });
}

export function lastDive(person: Person, of: Case): Reason | null {
  if (standingOf(person, of).layOffKnown) return null;
  const message = `When ${person.id} last dived is not known.`;
  return reasonOf("last_dive_not_known", [person.id], message, { what: ["experience.last_dive"] });
}

export function stretches(person: Person, of: Case): Reason | null {
  const now = standingOf(person, of);
  if (!now.logKnown || now.stretches <= of.policy.stretchesAllowed) return null;
  const message = `${person.id} ${stretchText(now)}: ${allowedText(of.policy)}.`;
  return reasonOf("stretches", [person.id], message, { what: now.dimensions });
}

function allowedText(policy: Policy): string {
  const count = policy.stretchesAllowed;
  return count === 0 ? "none is allowed" : count === 1 ? "one at a time" : `${count} are allowed`;
}

const NAMES: Readonly<Partial<Record<Dimension, string>>> = {
  site: "kind of site",
  [EQUIPMENT]: "new equipment",
  [LAY_OFF]: "lay-off",
};

export function nameOf(dimension: Dimension): string {
  return NAMES[dimension] ?? dimension;
}

const KINDS: Readonly<Record<Kind, string>> = {
  new: "",
  combination: ", done before but not together with the rest of this dive",
  not_recent: ", done before but not lately",
  [LAY_OFF]: "",
  none: "",
};

/** takes 1 stretch (task, done before but not together with the rest of this dive) */
export function stretchText(now: Standing): string {
  const names = listed(now.dimensions.map(nameOf));
  const word = now.stretches === 1 ? "stretch" : "stretches";
  const since = now.dimensions.includes(LAY_OFF) ? `, last dive ${now.daysSince} days ago` : "";
  return `takes ${now.stretches} ${word} (${names}${KINDS[now.kind]}${since})`;
}

/** The club's own number, beside the lay-off that counts as a stretch. Unknown is `lastDive`'s to say. */
export function daysSinceDive(person: Person, of: Case): Reason | null {
  const most = of.policy.mostDaysSinceDive;
  const since = standingOf(person, of).daysSince;
  if (most === null || since === null || since <= most) return null;
  const message = `${person.id} last dived ${since} days ago; the club asks for a dive within ${most} days.`;
  return reasonOf("currency", [person.id], message);
}

/** AAUS 4.50 asks for 12 a year; off until a club sets its number. */
export function divesLastYear(person: Person, of: Case): Reason | null {
  const least = of.policy.leastDivesLastYear;
  if (least === null) return null;
  const had = person.experience === null ? null : person.experience.divesLastYear;
  if (had === null) {
    const message = `How often ${person.id} dived in the last year is not known; the club asks for ${least} dives.`;
    return reasonOf("dives_last_year_not_known", [person.id], message, { what: ["experience.dives_last_year"] });
  }
  if (had >= least) return null;
  const message = `${person.id} made ${had} dives in the last year; the club asks for ${least}.`;
  return reasonOf("dives_last_year", [person.id], message);
}

/** New to the depth and to the task on one dive: also where the club allows two stretches. */
export function deepAndTask(person: Person, of: Case): Reason | null {
  const now = standingOf(person, of);
  const newToBoth = now.dimensions.includes("depth") && now.dimensions.includes("task");
  if (!now.logKnown || !newToBoth || now.stretches > of.policy.stretchesAllowed) return null;
  const message = `${person.id} is new to this depth and to this task: one of them at a time.`;
  return reasonOf("deep_and_task", [person.id], message, { what: now.dimensions });
}

/** One depth band at a time: the last band done, with the club's setting. */
export function depthStep(person: Person, of: Case): Reason | null {
  if (!of.policy.oneBandAtATime || !standingOf(person, of).dimensions.includes("depth")) return null;
  const { unit, depth } = of.demands;
  const reached = deepestBand(person, of);
  const following = BAND_EDGES[unit].find((edge) => edge > reached);
  if (following === undefined || depth <= following) return null;
  const had = reached > 0 ? `has dived to ${depthText(reached, unit)} lately` : "has no depth of late";
  const message = `${person.id} ${had}: next is not deeper than ${depthText(following, unit)}.`;
  return reasonOf("depth_step", [person.id], message);
}

/** The deep edge of the deepest band in which past dives weigh one together; 0 for none. */
function deepestBand(person: Person, of: Case): number {
  const done = person.experience === null ? [] : (person.experience.done ?? []);
  let total = 0;
  for (const one of [...done].sort((a, b) => b.depth - a.depth)) {
    total += one.count * quarters(one.on, of.on, of.policy.freshMonths);
    if (total >= QUARTERS * of.policy.coveredWeight) return bandEdge(one.depth, of.demands.unit);
  }
  return 0;
}

/** So many dives with all the rest of this one before the next step (club's number). */
export function repeats(person: Person, of: Case): Reason | null {
  const needed = of.policy.repeatsBeforeNext;
  const now = standingOf(person, of);
  const struck: Dimension[] = now.dimensions.filter((name) => name !== LAY_OFF && name !== EQUIPMENT);
  if (needed === null || !now.logKnown || struck.length === 0 || now.stretches > of.policy.stretchesAllowed) {
    return null;
  }
  const record = recordOf(person.experience, of.demands, of.on, of.policy);
  const weight = record.reduce(
    (sum, one) => sum + (one.lacking.every((name) => struck.includes(name)) ? one.weight : 0),
    0,
  );
  if (weight >= QUARTERS * needed) return null;
  const names = listed(struck.map(nameOf));
  const message =
    `${person.id} has made all the rest of this dive ${decimal(weight * 25, 2)} times lately, in full weight; ` +
    `the club asks for ${needed} before a step in ${names}.`;
  return reasonOf("repeats", [person.id], message);
}
