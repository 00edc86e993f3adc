// Hard rules about one team: each a small function that answers with a reason, or with nothing when it holds.
// The twin of pairing/rules_team.py.

import { ADULT, type Case, leadsToDepth, standingOf } from "./case.ts";
import { age } from "./days.ts";
import { type Person, type Reason, type TeamGas, depthText, listed, present, reasonOf, sortedIds } from "./model.ts";
import { JUNIOR_UNTIL, YOUNGER_JUNIOR_UNTIL, stretchText } from "./rules_diver.ts";

type Team = readonly Person[];

const idsOf = (team: Team): string[] => team.map((person) => person.id);

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
  return present(TEAM.map((rule) => rule(team, of)));
}

/** Gas that cannot bring two up is gas that does not allow the dive. */
export function teamGas(facts: TeamGas): Reason[] {
  return facts.short.map((id) =>
    reasonOf("minimum_gas", [id], `${id}'s gas cannot bring two up from this dive with this team.`),
  );
}
