// Hard rules about one diver: each a small function that answers with a reason, or with nothing when it holds.
// The twin of pairing/rules_diver.py.

import { ADULT, type Case, standingOf } from "./case.ts";
import { age } from "./days.ts";
import type { Kind, Standing } from "./experience.ts";
import { type Dimension, LAY_OFF, type Person, type Policy, type Reason, depthText, listed, present, reasonOf } from "./model.ts";

const JUNIOR_DEPTH = { m: [1200, 1800, 2100], ft: [4000, 6000, 7000] } as const;
const LEAST_AGE = 10;
export const YOUNGER_JUNIOR_UNTIL = 12;
export const JUNIOR_UNTIL = 15;

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
  return [...present(PERSONAL.map((rule) => rule(person, of))), ...gas(person)];
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
