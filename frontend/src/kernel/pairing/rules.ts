// Hard rules: each a small function that answers with a reason, or with nothing when it holds.
// The twin of pairing/rules.py, which says where each comes from (data/pairing.json holds the sources).

import DATA from "@data/pairing.json" with { type: "json" };
import { age } from "./days.ts";
import type { Kind, Standing } from "./experience.ts";
import { type Demands, type Dimension, LAY_OFF, type Override, type Person, type Policy } from "./model.ts";
import { type Reason, type TeamGas, type Wish, depthText, listed, reasonOf, sortedIds } from "./model.ts";

export interface Rule {
  readonly overridable: boolean;
  readonly source: string;
}

export const RULES: Readonly<Record<string, Rule>> = DATA.rules;
export const SOURCES = DATA.sources;

const JUNIOR_DEPTH = { m: [1200, 1800, 2100], ft: [4000, 6000, 7000] } as const;
const LEAST_AGE = 10;
const YOUNGER_JUNIOR_UNTIL = 12;
const JUNIOR_UNTIL = 15;
export const ADULT = 18;

/** One dive, everybody who may go on it, and what was decided about them. */
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
}

export function standingOf(person: Person, of: Case): Standing {
  return of.standings.get(person.id)!;
}

// --- one diver ------------------------------------------------------------------------------------------

function certifiedDepth(person: Person, of: Case): Reason | null {
  const { demands } = of;
  const planned = depthText(demands.depth, demands.unit);
  if (person.certifiedDepth === null) {
    const message = `The depth ${person.id} is certified to is not known.`;
    return reasonOf("certified_depth_not_known", [person.id], message, { what: ["certified_depth"] });
  }
  if (person.certifiedDepth < demands.depth) {
    const own = depthText(person.certifiedDepth, demands.unit);
    return reasonOf(
      "certified_depth",
      [person.id],
      `${person.id} is certified to ${own}; the dive is planned to ${planned}.`,
    );
  }
  return null;
}

function junior(person: Person, of: Case): Reason | null {
  if (person.born === null) {
    const message = `${person.id}'s age is not known, so limits for juniors cannot be ruled out.`;
    return reasonOf("age_not_known", [person.id], message, { what: ["born"] });
  }
  const years = age(person.born, of.on);
  if (years < LEAST_AGE) {
    const message = `${person.id} is ${years}: under ${LEAST_AGE}, no dive of this kind.`;
    return reasonOf("junior_age", [person.id], message);
  }
  if (years >= JUNIOR_UNTIL) return null;
  const [younger, older, trained] = JUNIOR_DEPTH[of.demands.unit];
  let limit: number = younger;
  if (years >= YOUNGER_JUNIOR_UNTIL) limit = (person.certifiedDepth ?? 0) >= trained ? trained : older;
  if (of.demands.depth <= limit) return null;
  const message = `${person.id} is ${years}: not deeper than ${depthText(limit, of.demands.unit)}.`;
  return reasonOf("junior_depth", [person.id], message);
}

function consent(person: Person, of: Case): Reason | null {
  const minor = person.born !== null && age(person.born, of.on) < ADULT;
  if (!minor || person.guardianConsent !== false) return null;
  const message = `A guardian's written consent for ${person.id} is not on file.`;
  return reasonOf("guardian_consent", [person.id], message);
}

function fitness(person: Person, _of: Case): Reason | null {
  const ids = [person.id];
  switch (person.fitness) {
    case "in_date":
      return null;
    case null:
      return reasonOf(
        "fitness_not_known",
        ids,
        `Whether ${person.id} is fit to dive is not known: ask for the date of the last medical.`,
        { what: ["fitness"] },
      );
    case "out_of_date":
      return reasonOf("fitness_out_of_date", ids, `${person.id}'s medical is out of date.`);
    case "restricted":
      return reasonOf(
        "fitness_restricted",
        ids,
        `${person.id}'s medical holds a restriction: ask ${person.id} before placing them.`,
      );
    case "unfit":
      return reasonOf("unfit", ids, `${person.id} is declared unfit to dive.`);
  }
}

const GAS_NOT_KNOWN: Readonly<Record<string, readonly [string, (id: string, what: string) => string]>> = {
  oxygen: [
    "gas_not_analysed",
    (id, what) => `${id}'s gas cannot be held against its oxygen limit: missing ${what}.`,
  ],
  // The gas is analysed; what earlier dives used of the oxygen limit is what is missing.
  oxygen_used: [
    "earlier_dives_not_known",
    (id, what) => `${id}'s no-stop limit is not known: missing ${what}.`,
  ],
  gas: ["gas_not_known", (id, what) => `How long ${id}'s gas lasts is not known: missing ${what}.`],
  table_no_stop: [
    "earlier_dives_not_known",
    (id, what) => `${id}'s no-stop limit is not known: missing ${what}.`,
  ],
  tissue_no_stop: [
    "earlier_dives_not_known",
    (id, what) => `${id}'s no-stop limit is not known: missing ${what}.`,
  ],
};
const NO_TIME: Readonly<Record<string, string>> = {
  oxygen: "oxygen_limit",
  gas: "minimum_gas",
  table_no_stop: "no_time_left",
  tissue_no_stop: "no_time_left",
};

/** What the diver's own limits leave: oxygen, minimum gas, residual nitrogen, or what is missing. */
function gas(person: Person): Reason[] {
  const found: Reason[] = [];
  if (person.gas === null) return found;
  for (const [limit, what] of person.gas.notKnown) {
    const known = GAS_NOT_KNOWN[limit];
    if (known !== undefined) {
      found.push(reasonOf(known[0], [person.id], known[1](person.id, listed(what)), { what }));
    }
  }
  for (const [limit, why] of person.gas.zero) {
    const code = NO_TIME[limit];
    if (code !== undefined) {
      found.push(reasonOf(code, [person.id], `${person.id} has no time on this dive: ${why}`));
    }
  }
  return once(found);
}

function log(person: Person, of: Case): Reason | null {
  if (standingOf(person, of).logKnown) return null;
  const message = `What ${person.id} has done before is not known, so it covers nothing.`;
  return reasonOf("experience_not_known", [person.id], message, { what: ["experience.done"] });
}

function lastDive(person: Person, of: Case): Reason | null {
  if (standingOf(person, of).layOffKnown) return null;
  const message = `When ${person.id} last dived is not known.`;
  return reasonOf("last_dive_not_known", [person.id], message, { what: ["experience.last_dive"] });
}

function stretches(person: Person, of: Case): Reason | null {
  const now = standingOf(person, of);
  if (!now.logKnown || now.stretches <= of.policy.stretchesAllowed) return null;
  const message = `${person.id} ${stretchText(now)}: ${allowedText(of.policy)}.`;
  return reasonOf("stretches", [person.id], message, { what: now.dimensions });
}

function allowedText(policy: Policy): string {
  const count = policy.stretchesAllowed;
  return count === 0 ? "none is allowed" : count === 1 ? "one at a time" : `${count} are allowed`;
}

export function nameOf(dimension: Dimension): string {
  return dimension === LAY_OFF ? "lay-off" : dimension;
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

const PERSONAL = [certifiedDepth, junior, consent, fitness, log, lastDive, stretches];

/** Every rule that bars this diver from the dive, overridden or not. */
export function personal(person: Person, of: Case): Reason[] {
  return [...kept(PERSONAL.map((rule) => rule(person, of))), ...gas(person)];
}

function kept(reasons: readonly (Reason | null)[]): Reason[] {
  return reasons.filter((reason): reason is Reason => reason !== null);
}

// --- one team -------------------------------------------------------------------------------------------

type Team = readonly Person[];

const idsOf = (team: Team): string[] => team.map((person) => person.id);

/** A dive leader certified to this depth and of age (ISO 24801-3: 18); with no role stated, being practised stands for it. */
export function leadsToDepth(person: Person, of: Case): boolean {
  const ofAge = person.born === null || age(person.born, of.on) >= ADULT;
  const deep = person.certifiedDepth !== null && person.certifiedDepth >= of.demands.depth;
  return (person.leader ?? standingOf(person, of).practised) && ofAge && deep;
}

/** A leader in every team, or, where the club says so, beside who is stretched, supervised or a junior. */
function noLeader(team: Team, of: Case): Reason | null {
  const equals = !team.some((person) => inChargeOfAnother(person, of));
  if (of.policy.leaderNeeded === "when_stretched" && equals) return null;
  if (team.some((person) => leadsToDepth(person, of))) return null;
  const planned = depthText(of.demands.depth, of.demands.unit);
  const who = team.length === 2 ? "Neither" : "None";
  return reasonOf("no_leader", idsOf(team), `${who} of them leads to ${planned}.`);
}

function inChargeOfAnother(person: Person, of: Case): boolean {
  const young = person.born !== null && age(person.born, of.on) < JUNIOR_UNTIL;
  return standingOf(person, of).stretches > 0 || person.supervised || young;
}

function nobodyPractised(team: Team, of: Case): Reason | null {
  if (team.some((person) => standingOf(person, of).practised)) return null;
  const ids = idsOf(team);
  const message = `None of ${listed(ids)} has done all of this at once ${of.policy.leadWeight} times lately.`;
  return reasonOf("nobody_practised", ids, message);
}

function twoStretched(team: Team, of: Case): Reason | null {
  const fresh = team.filter((person) => standingOf(person, of).stretches > 0);
  if (fresh.length < 2) return null;
  const parts = listed(fresh.map((person) => `${person.id} ${stretchText(standingOf(person, of))}`));
  return reasonOf("two_stretched", idsOf(fresh), `Two stretched together: ${parts}.`);
}

function juniorAdult(team: Team, of: Case): Reason | null {
  const deep = team.filter(
    (mate) =>
      mate.born !== null &&
      age(mate.born, of.on) >= ADULT &&
      !mate.supervised &&
      mate.certifiedDepth !== null &&
      mate.certifiedDepth >= of.demands.depth,
  );
  for (const person of team) {
    const years = person.born === null ? ADULT : age(person.born, of.on);
    if (years >= JUNIOR_UNTIL) continue;
    const older = years >= YOUNGER_JUNIOR_UNTIL;
    if (deep.some((mate) => older || mate.leader === true || person.guardians.includes(mate.id))) continue;
    const whom = older ? "a certified adult" : "an adult leader or their guardian";
    return reasonOf("junior_adult", [person.id], `${person.id} is ${years} and dives only beside ${whom}.`);
  }
  return null;
}

function wishApart(team: Team, of: Case): Reason | null {
  const ids = idsOf(team);
  for (const wish of of.wishes) {
    const both = sortedIds(ids.filter((id) => wish.divers.includes(id)));
    if (wish.kind === "apart" && wish.strength === "must" && both.length > 1) {
      return reasonOf("wish_apart", both, `${listed(both)} are to be kept apart.`);
    }
  }
  return null;
}

function wishTogether(team: Team, of: Case): Reason | null {
  const ids = idsOf(team);
  for (const wish of of.wishes) {
    if (wish.kind !== "together" || wish.strength !== "must") continue;
    const here = ids.filter((id) => wish.divers.includes(id));
    if (here.length > 0 && here.length < wish.divers.length) {
      return reasonOf("wish_together", wish.divers, `${listed(wish.divers)} are to dive together.`);
    }
  }
  return null;
}

function forbidden(team: Team, of: Case): Reason | null {
  const ids = idsOf(team);
  for (const pair of of.forbidden) {
    if (pair.every((id) => ids.includes(id))) {
      return reasonOf("forbidden", pair, `${listed(pair)} together is ruled out.`);
    }
  }
  return null;
}

const sameTeam = (ids: readonly string[], fixed: readonly string[]): boolean =>
  ids.length === fixed.length && ids.every((id) => fixed.includes(id));

function locked(team: Team, of: Case): Reason | null {
  const ids = idsOf(team);
  for (const fixed of of.locked) {
    if (fixed.some((id) => ids.includes(id)) && !sameTeam(ids, fixed)) {
      return reasonOf("locked", fixed, `The team ${listed(fixed)} is fixed.`);
    }
  }
  return null;
}

function threes(team: Team, of: Case): Reason | null {
  const ids = idsOf(team);
  if (ids.length < 3 || of.policy.threes !== "never" || of.locked.some((fixed) => sameTeam(ids, fixed))) {
    return null;
  }
  return reasonOf("threes", ids, "No team of three: the club's setting.");
}

const TEAM = [
  threes,
  wishApart,
  wishTogether,
  forbidden,
  locked,
  noLeader,
  nobodyPractised,
  twoStretched,
  juniorAdult,
];

/** Every rule that bars this team, overridden or not, but for gas (see teamGas). */
export function together(team: Team, of: Case): Reason[] {
  return kept(TEAM.map((rule) => rule(team, of)));
}

/** Gas that cannot bring two up is gas that does not allow the dive. */
export function teamGas(facts: TeamGas): Reason[] {
  return facts.short.map((id) =>
    reasonOf("minimum_gas", [id], `${id}'s gas cannot bring two up from this dive with this team.`),
  );
}

// --- overrides ------------------------------------------------------------------------------------------

/** Why an override does not count, or null. Never for oneself, only a leader, never below the floor. */
export function refusal(override: Override, of: Case): string | null {
  if (!RULES[override.rule]!.overridable) return "this rule is never overridden";
  if (override.by === override.diver) return "nobody overrides a rule for themselves";
  const by = of.people.get(override.by);
  if (by !== undefined && by.leader !== true) return "only a dive leader overrides a rule";
  return null;
}

/** The override that lifts this reason. Whoever signs it is not one of those whom the rule protects. */
export function excused(reason: Reason, of: Case): Override | null {
  return (
    of.overrides.find(
      (override) =>
        override.rule === reason.code &&
        reason.divers.includes(override.diver) &&
        !reason.divers.includes(override.by) &&
        refusal(override, of) === null,
    ) ?? null
  );
}

/** Those that no override lifts. */
export function standingReasons(reasons: readonly Reason[], of: Case): Reason[] {
  return reasons.filter((reason) => excused(reason, of) === null);
}

function once(reasons: readonly Reason[]): Reason[] {
  const found: Reason[] = [];
  for (const reason of reasons) {
    const at = found.findIndex((one) => one.code === reason.code);
    const same = found[at];
    if (same === undefined) found.push(reason);
    else if (reason.what.length > 0) {
      const what = [...same.what, ...reason.what.filter((name) => !same.what.includes(name))];
      found[at] = reasonOf(reason.code, reason.divers, same.message, { what });
    }
  }
  return found;
}
