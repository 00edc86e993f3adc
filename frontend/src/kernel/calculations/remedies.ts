// What would give a diver a place, each found by solving the day again with that one thing changed.
// The twin of calculations/remedies.py.

import { RULES, leadsToDepth } from "../pairing/case.ts";
import type { Candidate } from "../pairing/cost.ts";
import { BAND_EDGES } from "../pairing/experience.ts";
import { type Day, solve } from "../pairing/explain.ts";
import { type Done, type Person, type Reason, decimal, depthText, listed, sortedIds } from "../pairing/model.ts";
import { compareIds } from "../pairing/model.ts";
import type { Pricing } from "../pairing/pricing.ts";
import type { Diver, TeamDive } from "../physics/diver.ts";
import { isMissing } from "../physics/known.ts";
import { LARGER } from "../physics/options.ts";
import type { Json } from "./body.ts";
import { type Question, atDepth, priced, withCylinder, withDiver, withOverride } from "./question.ts";

export const ONE_MORE = "one more leader";
const INTERVALS_MIN = [30, 60, 90, 120, 180];
const MOST_DEPTHS = 6;
// A team on a dive of its own is offered where it has this much time.
const WORTH_S = 600;
const GROWN = 19_900_101;
const MANY = 100;
const OF_TEAM = ["no_leader", "nobody_practised", "two_stretched"];
const SET_ASIDE: Readonly<Record<string, string>> = {
  no_leader: "a leader in every team",
  nobody_practised: "somebody practised in every team",
  two_stretched: "two who take a step stay apart",
  stretches: "one step at a time",
  certified_depth: "the certified depth",
};

/** One change and whom it places. `value` in `unit` where the change is a number. */
export interface Remedy {
  readonly code: string;
  readonly diver: string | null;
  readonly message: string;
  readonly places: readonly string[];
  readonly value?: number;
  readonly unit?: string;
  readonly rules?: readonly string[];
}

/** What would place this diver, who has no place in `day` for these reasons; the least trouble first. */
export function remedies(
  question: Question,
  pricing: Pricing,
  day: Day,
  id: string,
  reasons: readonly Reason[],
): Remedy[] {
  const found = [
    findOut(id, reasons),
    largerCylinder(question, day, id, reasons),
    capTeam(question, pricing, day, id),
    leaderTwice(question, pricing, day, id),
    setAside(question, day, id, reasons),
    oneBooking(question, pricing, day, id),
    capDive(question, day, id),
  ];
  return found.filter((one) => one !== null);
}

const placedIn = (day: Day): string[] => day.teams.flatMap((team) => [...team.divers]);

/** The changed day and who has a place now and had none; null where fewer have one. */
export function gained(question: Question, day: Day): [Day, string[]] | null {
  const [, pricing] = priced(question);
  const changed = solve(pricing);
  if (changed.total.placed < day.total.placed) return null;
  const before = placedIn(day);
  return [changed, sortedIds(placedIn(changed).filter((id) => !before.includes(id)))];
}

function places(question: Question, day: Day, id: string): [Day, string[]] | null {
  const found = gained(question, day);
  return found !== null && found[1].includes(id) ? found : null;
}

function findOut(id: string, reasons: readonly Reason[]): Remedy | null {
  const what = [
    ...new Set(reasons.filter((reason) => reason.code !== "stretches").flatMap((reason) => [...reason.what])),
  ];
  if (what.length === 0) return null;
  return { code: "find_out", diver: id, message: `Find out about ${id}: ${listed(what)}.`, places: [] };
}

const diverOf = (question: Question, id: string): Diver => question.divers.find((one) => one.id === id)!;

function largerCylinder(question: Question, day: Day, id: string, reasons: readonly Reason[]): Remedy | null {
  const { cylinder } = diverOf(question, id);
  const unit = question.settings.volumeUnit;
  if (isMissing(cylinder) || !reasons.some((reason) => reason.code === "minimum_gas")) return null;
  for (const by of LARGER[unit]) {
    const volume = cylinder.volume + by;
    const found = places(withCylinder(question, id, volume), day, id);
    if (found !== null) {
      const size = decimal(Math.floor(volume * 100 + 0.5), 2);
      const message = `A cylinder of ${size} ${unit} would place ${listed(found[1])}.`;
      return { code: "larger_cylinder", diver: id, message, places: found[1], value: volume, unit };
    }
  }
  return null;
}

/** Shallower depths worth a try, deepest first: band edges and what the diver is certified to. */
function depthsOf(question: Question, id: string): number[] {
  const { hundredths: planned, unit } = question.dive.depth;
  const person = question.people.find((one) => one.id === id)!;
  const tried = new Set([...BAND_EDGES[unit], person.certifiedDepth ?? planned].filter((edge) => edge < planned));
  return [...tried].sort((a, b) => b - a).slice(0, MOST_DEPTHS);
}

/** A team of those without a place on a shallower dive of their own. */
function capTeam(question: Question, pricing: Pricing, day: Day, id: string): Remedy | null {
  const { asked } = question;
  const outOfWater = sortedIds(new Set([...pricing.out, ...placedIn(day)]));
  const wishes = asked.wishes.filter((wish) => wish.kind === "apart" || wish.strength === "prefer");
  const others: Question = { ...question, asked: { ...asked, outOfWater, locked: [], wishes } };
  const { unit } = question.dive.depth;
  for (const depth of depthsOf(question, id)) {
    const [, shallower] = priced(atDepth(others, depth));
    const team = solve(shallower).teams.find((one) => one.divers.includes(id));
    if (team === undefined || (team.gas.limitS !== null && team.gas.limitS < WORTH_S)) continue;
    const message = `${listed(team.divers)} could be a team capped at ${depthText(depth, unit)}${minutesOf(team)}.`;
    return { code: "cap_team", diver: id, message, places: team.divers, value: depth / 100, unit };
  }
  return null;
}

function minutesOf(team: Candidate): string {
  return team.gas.limitS === null ? "" : `: ${Math.floor(team.gas.limitS / 60)} min`;
}

function capDive(question: Question, day: Day, id: string): Remedy | null {
  const { unit } = question.dive.depth;
  for (const depth of depthsOf(question, id)) {
    const found = places(atDepth(question, depth), day, id);
    if (found === null) continue;
    const message = `Were the whole dive capped at ${depthText(depth, unit)}, ${listed(found[1])} could dive too.`;
    return { code: "cap_dive", diver: null, message, places: found[1], value: depth / 100, unit };
  }
  return null;
}

/** A leader who has a place dives once more, with this diver, after the least interval that allows it. */
function leaderTwice(question: Question, pricing: Pricing, day: Day, id: string): Remedy | null {
  const of = pricing.case;
  const leads = sortedIds(placedIn(day)).filter(
    (one) => leadsToDepth(of.people.get(one)!, of) && of.standings.get(one)!.practised,
  );
  for (const minutes of INTERVALS_MIN) {
    for (const leader of leads) {
      const again = afterDive(diverOf(question, leader), question.dive, minutes * 60);
      const two: Question = {
        ...question,
        divers: [again, diverOf(question, id)],
        people: question.people.filter((one) => one.id === leader || one.id === id),
        asked: { ...question.asked, wishes: [], locked: [], announced: [], outOfWater: [] },
      };
      const [, second] = priced(two);
      const tried = second.tryTeam([leader, id]);
      if (second.able.length !== 2 || !("candidate" in tried)) continue;
      const after = `at least ${minutes} min after coming up${minutesOf(tried.candidate)}`;
      const message = `${leader} could dive twice: with ${id} ${after}.`;
      return { code: "leader_twice", diver: leader, message, places: [id], value: minutes, unit: "min" };
    }
  }
  return null;
}

/** The diver once this dive is made to its full planned time and the interval over. */
export function afterDive(diver: Diver, dive: TeamDive, intervalS: number): Diver {
  if (diver.earlier === null) return diver;
  const before = diver.earlier.map((made) => ({
    ...made,
    surfacedS: made.surfacedS + dive.bottomTimeS + intervalS,
  }));
  const last = { depth: dive.depth, bottomTimeS: dive.bottomTimeS, mix: diver.mix, surfacedS: intervalS };
  return { ...diver, earlier: [...before, last] };
}

/** Rules that a leader may set aside: all that bar the diver, or those that bar every team with them. */
function setAside(question: Question, day: Day, id: string, reasons: readonly Reason[]): Remedy | null {
  let codes = [
    ...new Set(
      reasons
        .filter((one) => RULES[one.code] !== undefined)
        .filter((one) => one.divers.includes(id) || OF_TEAM.includes(one.code))
        .map((one) => one.code),
    ),
  ];
  if (codes.length === 0) codes = OF_TEAM;
  if (!codes.every((code) => RULES[code]!.overridable)) return null;
  let changed = question;
  for (const rule of codes) changed = withOverride(changed, { rule, diver: id, by: "dive leader", reason: "tried" });
  const found = places(changed, day, id);
  if (found === null) return null;
  const lifted = found[0].teams.flatMap((team) => team.reasons.filter((one) => one.code === "override"));
  const rules = codes.filter((code) => lifted.some((one) => one.what.includes(code)));
  const words = listed(rules.map((code) => SET_ASIDE[code] ?? code.replaceAll("_", " ")));
  const message = `A leader may set aside, with a reason that stays: ${words}. Then ${listed(found[1])} could dive.`;
  return { code: "set_aside", diver: id, message, places: found[1], rules };
}

/** The same question with one more leader, practised in this very dive, whose gas is the best of the group. */
export function oneMoreLeader(question: Question, pricing: Pricing): Question {
  const ownOf = (id: string): number => pricing.case.people.get(id)!.gas?.ownS ?? 0;
  const [like] = [...question.divers].sort((a, b) => ownOf(b.id) - ownOf(a.id) || compareIds(a.id, b.id));
  const { demands } = question;
  const done: Done = {
    depth: demands.depth,
    on: question.on,
    current: demands.current,
    visibility: demands.visibility,
    waterTemp: demands.waterTemp,
    night: demands.night,
    task: demands.task,
    count: question.policy.leadWeight,
    site: demands.site,
  };
  const diver: Diver = {
    ...like!,
    id: ONE_MORE,
    certifiedDepth: question.dive.depth,
    canShare: true,
    stretched: false,
    caution: 0,
  };
  const person: Person = {
    id: ONE_MORE,
    leader: true,
    supervised: false,
    certifiedDepth: demands.depth,
    born: GROWN,
    guardians: [],
    guardianConsent: null,
    fitness: "in_date",
    experience: { lastDive: question.on, done: [done], divesLastYear: MANY },
    ownTask: false,
    certifiedUntil: null,
    newEquipment: [],
    sharesGasBy: null,
    signals: null,
    divedWith: null,
    mentorDebt: 0,
    gas: null,
  };
  return withDiver(question, diver, person);
}

function oneBooking(question: Question, pricing: Pricing, day: Day, id: string): Remedy | null {
  const found = places(oneMoreLeader(question, pricing), day, id);
  if (found === null) return null;
  const whom = found[1].filter((one) => one !== ONE_MORE);
  return { code: "one_booking", diver: null, message: leaderWouldPlace(question, whom), places: whom };
}

export function leaderWouldPlace(question: Question, whom: readonly string[]): string {
  const planned = depthText(question.demands.depth, question.demands.unit);
  return `One more leader to ${planned} with practice of this dive would place ${listed(whom)}.`;
}

export function remedyJson(one: Remedy): Json {
  const item: Record<string, Json> = { code: one.code, diver: one.diver, places: [...one.places] };
  if (one.value !== undefined) {
    item["value"] = one.value;
    item["unit"] = one.unit!;
  }
  if (one.rules !== undefined && one.rules.length > 0) item["rules"] = [...one.rules];
  item["message"] = one.message;
  return item;
}
