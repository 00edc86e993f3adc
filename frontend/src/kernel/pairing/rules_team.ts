// Hard rules about one team: each a small function that answers with a reason, or with nothing when it holds.
// The twin of pairing/rules_team.py.

import { ADULT, type Case, leadsToDepth, oneStepDeeper, standingOf } from "./case.ts";
import { age } from "./days.ts";
import { EQUIPMENT, LAY_OFF, type Person, type Reason, type TeamGas, combinations, decimal } from "./model.ts";
import { depthText, listed, present, reasonOf, sortedIds } from "./model.ts";
import { JUNIOR_UNTIL, YOUNGER_JUNIOR_UNTIL } from "./rules_diver.ts";
import { stretchText } from "./rules_experience.ts";

type Team = readonly Person[];

const idsOf = (team: Team): string[] => team.map((person) => person.id);

/** Whether this is a group that the organiser has put under one leader. */
export function isGuided(team: Team, of: Case): boolean {
  const ids = idsOf(team);
  return of.guided.some((one) => sameTeam(ids, one));
}

/** A leader in every team, or, where the club says so, beside who is stretched, supervised or a junior. */
function noLeader(team: Team, of: Case): Reason | null {
  const led = isGuided(team, of) || team.some((person) => inChargeOfAnother(person, of));
  if (of.policy.leaderNeeded === "when_stretched" && !led) return null;
  if (team.some((person) => leadsToDepth(person, of))) return null;
  const planned = depthText(of.demands.depth, of.demands.unit);
  const who = team.length === 2 ? "Neither" : "None";
  return reasonOf("no_leader", idsOf(team), `${who} of them leads to ${planned}.`);
}

export function inChargeOfAnother(person: Person, of: Case): boolean {
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
  for (const [code, dimension, said] of NEVER_TWO) {
    const both = fresh.filter((person) => standingOf(person, of).dimensions.includes(dimension));
    if (both.length > 1) return reasonOf(code, idsOf(fresh), `${said}: ${parts}.`);
  }
  return reasonOf("two_stretched", idsOf(fresh), `Two stretched together: ${parts}.`);
}

// Two of these are named for what they are.
const NEVER_TWO = [
  ["two_back", LAY_OFF, "Two back from a lay-off together"],
  ["two_untested", EQUIPMENT, "Two in equipment they have not dived with"],
] as const;

/** One step past the own certified depth only beside somebody who holds it (AAUS 4.40). */
function deeperBeside(team: Team, of: Case): Reason | null {
  const { depth, unit } = of.demands;
  const deeper = idsOf(team.filter((person) => oneStepDeeper(person, of)));
  const held = team.some((person) => person.certifiedDepth !== null && person.certifiedDepth >= depth);
  if (deeper.length === 0 || held) return null;
  const text = `Nobody beside ${listed(deeper)} holds a certification to ${depthText(depth, unit)}.`;
  return reasonOf("deeper_beside", deeper, text);
}

/** No more divers under one leader than the club's ratio; ISO level 1: four supervised for a leader. */
function supervisionRatio(team: Team, of: Case): Reason | null {
  const leads = team.filter((person) => leadsToDepth(person, of));
  const guided = isGuided(team, of);
  const led = idsOf(team.filter((person) => !leads.includes(person) && (guided || person.supervised)));
  const ratio = of.policy.guidedRatio;
  if (led.length <= ratio * Math.max(1, leads.length)) return null;
  const text = `${led.length} divers to be looked after: not more than ${ratio} for a leader.`;
  return reasonOf("supervision_ratio", led, text);
}

/** A parent or guardian does not lead the step of their own child, but where the club allows it. */
function guardianLeads(team: Team, of: Case): Reason | null {
  if (of.policy.guardianMayLead) return null;
  for (const person of team) {
    if (standingOf(person, of).stretches === 0) continue;
    const leads = team.filter((mate) => mate.id !== person.id && standingOf(mate, of).practised);
    if (leads.length > 0 && leads.every((mate) => person.guardians.includes(mate.id))) {
      const whom = leads[0]!.id;
      const text =
        `${whom} is the guardian of ${person.id}, who takes a step: another leader is asked for, ` +
        `${whom} may be the third of the team.`;
      return reasonOf("guardian_leads", [person.id, whom], text);
    }
  }
  return null;
}

const inCommon = (a: readonly string[], b: readonly string[]): boolean => a.some((one) => b.includes(one));
const ways = (names: readonly string[]): string => listed(names) || "none";

/** Any two have a way of sharing gas in common, where both are stated. */
function gasSharing(team: Team, _of: Case): Reason | null {
  for (const pair of combinations(team, 2)) {
    const [a, b] = [pair[0]!, pair[1]!];
    if (a.sharesGasBy === null || b.sharesGasBy === null || inCommon(a.sharesGasBy, b.sharesGasBy)) continue;
    const text = `${a.id} and ${b.id} share gas in different ways (${ways(a.sharesGasBy)}; ${ways(b.sharesGasBy)}).`;
    return reasonOf("gas_sharing", [a.id, b.id], text);
  }
  return null;
}

/** Any two have signals in common, where both are stated. */
function signals(team: Team, _of: Case): Reason | null {
  for (const pair of combinations(team, 2)) {
    const [a, b] = [pair[0]!, pair[1]!];
    if (a.signals === null || b.signals === null || inCommon(a.signals, b.signals)) continue;
    const text = `${a.id} and ${b.id} use different signals (${ways(a.signals)}; ${ways(b.signals)}).`;
    return reasonOf("signals", [a.id, b.id], text);
  }
  return null;
}

/** A three keeps together only where it can see: the club's least visibility for one. */
export function threeVisibility(team: Team, of: Case): Reason | null {
  const least = of.policy.threeVisibility;
  const seen = of.demands.visibility;
  if (least === null || team.length < 3 || (seen !== null && seen >= least)) return null;
  const found = seen === null ? "is not stated" : `is ${decimal(seen, 2)} m`;
  const text = `Visibility ${found}; the club asks for ${decimal(least, 2)} m for more than two.`;
  return reasonOf("three_visibility", idsOf(team), text);
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
  for (const fixed of of.guided) {
    if (fixed.some((id) => ids.includes(id)) && !sameTeam(ids, fixed)) {
      return reasonOf("guided", fixed, `The guided group ${listed(fixed)} is fixed.`);
    }
  }
  return null;
}

function threes(team: Team, of: Case): Reason | null {
  const ids = idsOf(team);
  if (ids.length < 3 || of.policy.threes !== "never" || isGuided(team, of)) return null;
  if (of.locked.some((fixed) => sameTeam(ids, fixed))) return null;
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
  deeperBeside,
  supervisionRatio,
  guardianLeads,
  gasSharing,
  signals,
  threeVisibility,
];

/** Every rule that bars this team, overridden or not, but for gas (see teamGas). */
export function together(team: Team, of: Case): Reason[] {
  return present(TEAM.map((rule) => rule(team, of)));
}

/** Gas that cannot bring two up is gas that does not allow the dive. */
export function teamGas(facts: TeamGas): Reason[] {
  return facts.short.map((id) =>
    reasonOf("minimum_gas", [id], `${id}'s gas cannot bring two up from this dive with this team.`),
  );
}
