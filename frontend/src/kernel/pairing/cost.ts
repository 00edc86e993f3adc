// What a team costs: first safety, then minutes, in integers of fixed weights. The twin of pairing/cost.py.

import { floorDiv } from "../physics/rounding.ts";
import { LIMIT_NAMES } from "../physics/team.ts";
import { ADULT, type Case, leadsToDepth, standingOf } from "./case.ts";
import { age } from "./days.ts";
import { MARGIN_CAP } from "./experience.ts";
import { type Person, type Reason, type TeamGas, combinations, compareIds, listed, reasonOf } from "./model.ts";
import { sortedIds } from "./model.ts";
import { excused } from "./rules.ts";
import { personal } from "./rules_diver.ts";
import { nameOf, stretchText } from "./rules_experience.ts";
import { teamGas, together } from "./rules_team.ts";

const STRETCH = 100;
const GUARDIAN_LEADS = 20;
const STRANGER_LEADS = 20;
const MARGIN_STEP = 10;
export const NO_HELPER = 15;
export const ALL_AT_EDGE = 30;
export const ALL_AWAY = 25;
const HALF_A_LEAD = 50;
// A private wish not kept, in the search only: above every safety penalty, below overrides and places.
const PRIVATE = 200_000;

/**
 * A permitted team with its price. `divers` sorted by id; `overrides`: how many it rests on. `hidden` is what
 * private wishes cost it: the search counts it with the safety penalty, no answer shows it.
 */
export interface Candidate {
  readonly divers: readonly string[];
  readonly lead: string | null;
  readonly gas: TeamGas;
  readonly overrides: number;
  readonly safety: number;
  readonly seconds: number;
  readonly reasons: readonly Reason[];
  readonly hidden: number;
}

type Team = readonly Person[];

function marginIn(person: Person, of: Case, name: string): number {
  return standingOf(person, of).margins.find(([dimension]) => dimension === name)?.[1] ?? 0;
}

const FIRST_EXPOSURE = "first exposure, the club's limit for a step";

/** Who leads: practised, dive leader, nobody's guardian whose child takes a step, most margin for a mate, then id. */
export function leadOf(team: Team, of: Case): Person {
  const needed = team.flatMap((person) => standingOf(person, of).anyOf);
  const rank = (person: Person): readonly [number, number, number, number, number] => {
    const now = standingOf(person, of);
    const margins = needed.map((name) => marginIn(person, of, name));
    const least = margins.length > 0 ? Math.min(...margins) : 0;
    const all = now.margins.reduce((sum, [, steps]) => sum + steps, 0);
    const guards = guardsAStep(person, team, of) ? 1 : 0;
    return [now.practised ? 0 : 1, leadsToDepth(person, of) ? 0 : 1, guards, -least, -all];
  };
  let best = team[0]!;
  for (const person of team.slice(1)) {
    const mine = rank(person);
    const other = rank(best);
    let difference = 0;
    for (let at = 0; at < 5 && difference === 0; at++) difference = mine[at]! - other[at]!;
    if ((difference || compareIds(person.id, best.id)) < 0) best = person;
  }
  return best;
}

function guardsAStep(person: Person, team: Team, of: Case): boolean {
  return team.some((mate) => mate.guardians.includes(person.id) && standingOf(mate, of).stretches > 0);
}

/** What a diver's own stretches cost in any team. */
export function ownSafety(person: Person, of: Case): number {
  const { stretches } = standingOf(person, of);
  return STRETCH * stretches * stretches;
}

/** The whole minutes that this diver could have on this dive; null where that is not known. */
export function ownMinutes(person: Person, of: Case): number | null {
  let own = person.gas === null ? null : person.gas.ownS;
  const most = of.policy.firstExposureS;
  if (own !== null && most !== null && standingOf(person, of).stretches > 0) own = Math.min(own, most);
  return own === null ? null : floorDiv(own, 60);
}

/** The parts of the safety penalty, each with its sentence. */
export function safety(team: Team, lead: Person, of: Case): Reason[] {
  const found: Reason[] = [];
  for (const person of team) {
    const now = standingOf(person, of);
    if (now.stretches === 0) continue;
    let text = `${person.id} ${stretchText(now)}, beside ${lead.id}.`;
    if (now.nearest !== null && now.nearest.lacks.length > 0) {
      text = `${text} The nearest past dive lacks ${listed(now.nearest.lacks.map(nameOf))}.`;
    }
    found.push(reasonOf("stretch", [person.id], text, { safety: ownSafety(person, of) }));
    if (person.id === lead.id) continue;
    const margin = marginBeside(lead, person, of);
    const names = listed(now.anyOf.map(nameOf));
    const said = `${lead.id} has ${margin} of ${MARGIN_CAP} steps to spare in ${names}, where ${person.id} is stretched.`;
    found.push(reasonOf("margin", [lead.id, person.id], said, { safety: MARGIN_STEP * (MARGIN_CAP - margin) }));
  }
  const alone = team
    .filter((person) => !team.some((mate) => mate.id !== person.id && helps(mate, of)))
    .map((person) => person.id);
  if (alone.length > 0) {
    const text = `Nobody else in the team is fit to help ${listed(alone)}.`;
    found.push(reasonOf("no_helper", alone, text, { safety: NO_HELPER * alone.length }));
  }
  const ids = team.map((person) => person.id);
  if (team.every((person) => standingOf(person, of).atEdge)) {
    found.push(
      reasonOf("all_at_edge", ids, "Nobody in the team has a step to spare.", { safety: ALL_AT_EDGE }),
    );
  }
  if (team.every((person) => longAway(person, of))) {
    const text = `Nobody has dived in the last ${floorDiv(of.policy.layOffDays, 2)} days.`;
    found.push(reasonOf("all_away", ids, text, { safety: ALL_AWAY }));
  }
  if (lead.ownTask && team.some((person) => standingOf(person, of).stretches > 0)) {
    const text = `${lead.id} has a task of their own, so is half a lead for someone stretched.`;
    found.push(reasonOf("half_a_lead", [lead.id], text, { safety: HALF_A_LEAD }));
  }
  for (const person of team) {
    if (person === lead || standingOf(person, of).stretches === 0 || !firstTogether(lead, person)) continue;
    const text = `${person.id} takes a step beside ${lead.id}, with whom they have not dived before.`;
    found.push(reasonOf("stranger_leads", [lead.id, person.id], text, { safety: STRANGER_LEADS }));
  }
  if (guardsAStep(lead, team, of)) {
    const text = `${lead.id} leads a step of their own child.`;
    found.push(reasonOf("guardian_leads", [lead.id], text, { safety: GUARDIAN_LEADS }));
  }
  return found;
}

/** What the stretches of a diver cost beside a leader, at least, above what they cost anywhere. */
export function beside(lead: Person, person: Person, of: Case): number {
  if (lead.id === person.id || standingOf(person, of).stretches === 0) return 0;
  const strange = firstTogether(lead, person) ? STRANGER_LEADS : 0;
  return MARGIN_STEP * (MARGIN_CAP - marginBeside(lead, person, of)) + strange;
}

/** The steps that a leader has to spare where this diver is stretched. */
function marginBeside(lead: Person, person: Person, of: Case): number {
  return Math.min(...standingOf(person, of).anyOf.map((name) => marginIn(lead, of, name)));
}

/** Whether this diver has not dived for half the time that makes a lay-off. */
export function longAway(person: Person, of: Case): boolean {
  return (standingOf(person, of).daysSince ?? 0) > floorDiv(of.policy.layOffDays, 2);
}

/** Whether this diver is fit to help a mate. */
export function helps(person: Person, of: Case): boolean {
  const ofAge = person.born === null || age(person.born, of.on) >= ADULT;
  return ofAge && !person.supervised && standingOf(person, of).stretches === 0;
}

/** Diver-minutes lost and wishes not met, each with its sentence. */
export function minutes(team: Team, gas: TeamGas, of: Case): Reason[] {
  const found: Reason[] = [];
  const ids = team.map((person) => person.id);
  if (gas.limitS !== null) {
    const have = floorDiv(gas.limitS, 60);
    const losses: [string, number][] = [];
    for (const person of team) {
      const own = ownMinutes(person, of);
      const lost = own === null ? 0 : Math.max(0, own - have);
      if (lost > 0) losses.push([person.id, lost]);
    }
    const whose = gas.limitingDiver ?? "";
    const by = gas.limitedBy ?? "";
    let text =
      by === "planned" ? `All ${have} min planned` : `Limited to ${have} min by ${whose}'s ${(LIMIT_NAMES as Readonly<Record<string, string>>)[by] ?? FIRST_EXPOSURE}`;
    if (losses.length > 0) text += `: costs ${listed(losses.map(([id, lost]) => `${id} ${lost} min`))}`;
    const seconds = 60 * losses.reduce((sum, [, lost]) => sum + lost, 0);
    found.push(reasonOf("limit", losses.length > 0 ? [whose] : ids, `${text}.`, { seconds }));
  }
  for (const wish of of.wishes) {
    if (wish.strength !== "prefer" || wish.private) continue;
    const here = sortedIds(ids.filter((id) => wish.divers.includes(id)));
    const seconds = of.policy.wishS * here.length;
    if (wish.kind === "together" && here.length > 0 && here.length < wish.divers.length) {
      const text = `${listed(wish.divers)} would rather dive together.`;
      found.push(reasonOf("wish_together", here, text, { seconds }));
    }
    if (wish.kind === "apart" && here.length > 1) {
      found.push(reasonOf("wish_apart", here, `${listed(here)} would rather dive apart.`, { seconds }));
    }
  }
  return found;
}

/** Whether the one who says with whom they have dived does not name the other; not stated is not new. */
function firstTogether(a: Person, b: Person): boolean {
  const stated = a.divedWith !== null || b.divedWith !== null;
  return stated && !(a.divedWith ?? []).includes(b.id) && !(b.divedWith ?? []).includes(a.id);
}

/** The club's stated prices, each with its sentence; what is not stated of a diver costs nothing. */
export function penalties(team: Team, lead: Person, of: Case): Reason[] {
  const found: Reason[] = [];
  const { policy } = of;
  const ids = team.map((person) => person.id);
  const busy = team.filter((person) => person.ownTask).map((person) => person.id);
  if (busy.length > 1 && policy.bothTasksS > 0) {
    const text = `${listed(busy)} each have a task of their own: one works, one watches.`;
    found.push(reasonOf("both_tasks", busy, text, { seconds: policy.bothTasksS * busy.length }));
  }
  for (const pair of combinations(team, 2)) {
    const [a, b] = [pair[0]!, pair[1]!];
    if (policy.firstTogetherS === 0 || !firstTogether(a, b)) continue;
    const text = `${a.id} and ${b.id} dive together for the first time: brief longer.`;
    found.push(reasonOf("first_together", [a.id, b.id], text, { seconds: 2 * policy.firstTogetherS }));
  }
  const lookedAfter = team.some(
    (person) => person !== lead && (person.supervised || standingOf(person, of).stretches > 0),
  );
  if (lookedAfter && lead.mentorDebt > 0 && policy.mentorDebtS > 0) {
    const text = `${lead.id} has looked after others on ${lead.mentorDebt} dives more than their share.`;
    found.push(reasonOf("mentor_debt", [lead.id], text, { seconds: policy.mentorDebtS * lead.mentorDebt }));
  }
  const mixes = new Set(team.flatMap((person) => (person.gas === null ? [] : [person.gas.o2E4])));
  if (mixes.size > 1 && policy.otherMixS > 0) {
    const text = `${listed(ids)} breathe different gases.`;
    found.push(reasonOf("other_mix", ids, text, { seconds: policy.otherMixS * ids.length }));
  }
  return found;
}

/** The limit of a team in which somebody takes a step, not longer than the club's first exposure. */
export function firstExposure(team: Team, gas: TeamGas, of: Case): TeamGas {
  const most = of.policy.firstExposureS;
  const fresh = team.find((person) => standingOf(person, of).stretches > 0);
  if (most === null || fresh === undefined || gas.limitS === null || gas.limitS <= most) return gas;
  return {
    ...gas,
    limitS: most,
    limitedBy: "first_exposure",
    limitingDiver: fresh.id,
    nextS: gas.limitS,
    nextBy: gas.limitedBy,
    nextDiver: gas.limitingDiver,
  };
}

/** How many pairs of this team somebody has said in private not to want. */
export function privateWishes(team: Team, of: Case): number {
  let count = 0;
  for (const wish of of.wishes) {
    if (!wish.private || wish.kind !== "apart") continue;
    count += Math.max(0, team.filter((person) => wish.divers.includes(person.id)).length - 1);
  }
  return count;
}

/** The price of a team that no standing rule bars. */
export function price(team: Team, alone: TeamGas, of: Case): Candidate {
  const lead = leadOf(team, of);
  const gas = firstExposure(team, alone, of);
  const ids = team.map((person) => person.id);
  const lifted = of.overrides.length > 0 ? liftedOf(team, gas, of) : [];
  const parts = safety(team, lead, of);
  const costs = [...minutes(team, gas, of), ...penalties(team, lead, of)];
  return {
    divers: ids,
    lead: standingOf(lead, of).practised || leadsToDepth(lead, of) ? lead.id : null,
    gas,
    overrides: lifted.length,
    safety: parts.reduce((sum, reason) => sum + reason.safety, 0),
    seconds: costs.reduce((sum, reason) => sum + reason.seconds, 0),
    reasons: [...lifted, ...parts, ...costs],
    hidden: PRIVATE * privateWishes(team, of),
  };
}

/** Every rule that bars the team or one of its divers and was overridden, with by whom and why. */
function liftedOf(team: Team, gas: TeamGas, of: Case): Reason[] {
  const found: Reason[] = [];
  const broken = team.flatMap((person) => personal(person, of));
  for (const reason of [...broken, ...together(team, of), ...teamGas(gas)]) {
    const override = excused(reason, of);
    if (override !== null) {
      const text = `Overridden by ${override.by}: ${reason.message} Reason given: ${override.reason}`;
      found.push(reasonOf("override", reason.divers, text, { what: [reason.code] }));
    }
  }
  return found;
}
