// Hard rules about one diver: each a small function that answers with a reason, or with nothing when it holds.
// The twin of pairing/rules_diver.py.

import { ADULT, type Case, oneStepDeeper } from "./case.ts";
import { surfaceCover } from "./cover.ts";
import { age, text } from "./days.ts";
import { type Person, type Reason, depthText, listed, present, reasonOf } from "./model.ts";
import { daysSinceDive, deepAndTask, depthStep, divesLastYear } from "./rules_experience.ts";
import { lastDive, log, repeats, stretches } from "./rules_experience.ts";

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
  if (person.certifiedDepth < demands.depth && !oneStepDeeper(person, of)) {
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
  if (person.born === null || age(person.born, of.on) >= ADULT || person.guardianConsent === true) return null;
  if (person.guardianConsent === false) {
    const message = `A guardian's written consent for ${person.id} is not on file.`;
    return reasonOf("guardian_consent", [person.id], message);
  }
  const message = `Whether a guardian's written consent for ${person.id} is on file is not known.`;
  return reasonOf("guardian_consent_not_known", [person.id], message, { what: ["guardian_consent"] });
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

/** A card without an end date does not run out. */
function certificationInDate(person: Person, of: Case): Reason | null {
  if (person.certifiedUntil === null || person.certifiedUntil >= of.on) return null;
  const message = `${person.id}'s certification ran out on ${text(person.certifiedUntil)}.`;
  return reasonOf("certification_out_of_date", [person.id], message);
}

// How much deeper than planned a gas must still be within its oxygen limit, where the club sets no number.
export const OXYGEN_MARGIN = { m: 300, ft: 1000 } as const;

/** A dive goes deeper than planned sooner than shallower. The limit itself is `oxygen_limit`. */
function oxygenMargin(person: Person, of: Case): Reason | null {
  const { unit, depth: planned } = of.demands;
  const margin = of.policy.oxygenMargin ?? OXYGEN_MARGIN[unit];
  const mod = person.gas === null ? null : person.gas.mod;
  if (mod === null || mod < planned || mod >= planned + margin) return null;
  const message =
    `${person.id}'s gas may be taken to ${depthText(mod, unit)}: less than ${depthText(margin, unit)} ` +
    `below the planned ${depthText(planned, unit)}.`;
  return reasonOf("oxygen_margin", [person.id], message);
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

const PERSONAL = [
  certifiedDepth,
  junior,
  consent,
  fitness,
  certificationInDate,
  log,
  lastDive,
  daysSinceDive,
  divesLastYear,
  stretches,
  deepAndTask,
  depthStep,
  repeats,
  oxygenMargin,
  surfaceCover,
];

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
