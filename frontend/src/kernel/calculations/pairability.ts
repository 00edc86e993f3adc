// Weeks before a dive: can this roster be paired for it, on whom does it hang, and what would help most.
// The twin of calculations/pairability.py.

import type { Case } from "../pairing/case.ts";
import type { DropOut } from "../pairing/drop_outs.ts";
import { type Day, dropOuts } from "../pairing/explain.ts";
import { combinations, compareIds, compareLists, decimal, listed, sortedIds } from "../pairing/model.ts";
import type { Pricing } from "../pairing/pricing.ts";
import { type Step, nextSteps, stepText } from "../pairing/proposal.ts";
import { evenings } from "../pairing/work_up.ts";
import { isMissing } from "../physics/known.ts";
import { LARGER } from "../physics/options.ts";
import type { Json } from "./body.ts";
import { type Question, priced, withCylinder, withDiver } from "./question.ts";
import { demandsJson } from "./teams_parts.ts";
import { ONE_MORE, gained, leaderWouldPlace, oneMoreLeader } from "./remedies.ts";

const OF_THE_DAY = ["gas", "oxygen", "oxygen_used", "table_no_stop", "tissue_no_stop"];

type Item = Record<string, Json>;
type Helps = { readonly message: string; readonly [name: string]: Json };

/** The answer as JSON. */
export function pairability(question: Question, pricing: Pricing, day: Day): Json {
  const of = pricing.case.people.size - pricing.out.length;
  const critical = dropOuts(pricing, day).filter((one) => one.loses.length > 0);
  critical.sort((a, b) => b.loses.length - a.loses.length || compareIds(a.diver, b.diver));
  const leader = oneMore(question, pricing, day);
  const cylinder = cylinderOf(question, pricing, day);
  const steps = new Map([...pricing.case.people.values()].map((person) => [person.id, nextSteps(person, pricing.case)]));
  return {
    placed: day.total.placed,
    of,
    message: said(day, of, critical, leader, cylinder),
    critical: critical.map((one) => ({ diver: one.diver, loses: [...one.loses], message: one.message })),
    one_more_leader: leader,
    larger_cylinder: cylinder,
    waiting_list: waiting(question, day),
    assumed: assumed(question),
    next_steps: [...steps].map(([id, some]) => stepsJson(id, some, pricing.case)),
    work_up: evenings(pricing.case, steps).map((one) => ({
      demands: demandsJson(one.demands),
      serves: [...one.serves],
      message: one.message,
    })),
  };
}

function oneMore(question: Question, pricing: Pricing, day: Day): Helps | null {
  const found = gained(oneMoreLeader(question, pricing), day);
  const whom = found === null ? [] : found[1].filter((id) => id !== ONE_MORE);
  return whom.length === 0 ? null : { places: whom, message: leaderWouldPlace(question, whom) };
}

/** The one larger cylinder that places the most; of equal ones the smallest step, then by id. */
function cylinderOf(question: Question, pricing: Pricing, day: Day): Helps | null {
  let best: readonly [number, number] | null = null;
  let answer: Helps | null = null;
  const unit = question.settings.volumeUnit;
  for (const id of shortOfGas(pricing)) {
    const { cylinder } = question.divers.find((one) => one.id === id)!;
    if (isMissing(cylinder)) continue;
    for (const by of LARGER[unit]) {
      const volume = cylinder.volume + by;
      const found = gained(withCylinder(question, id, volume), day);
      if (found === null || found[1].length === 0) continue;
      // Ids come in their order, so an equal one later is not better.
      const key = [-found[1].length, by] as const;
      if (best === null || compareLists(key, best, (a, b) => a - b) < 0) {
        const size = decimal(Math.floor(volume * 100 + 0.5), 2);
        const message = `A cylinder of ${size} ${unit} for ${id} would place ${listed(found[1])}.`;
        best = key;
        answer = { diver: id, value: volume, unit, places: found[1], message };
      }
    }
  }
  return answer;
}

/** Whose gas bars them, or a pair with them: only there can a larger cylinder place anybody. */
function shortOfGas(pricing: Pricing): string[] {
  const reasons = [...pricing.barred.values()].flat();
  for (const ids of combinations(pricing.able, 2)) {
    const tried = pricing.tryTeam(ids);
    if (!("candidate" in tried)) reasons.push(...tried.barring);
  }
  return sortedIds(new Set(reasons.filter((one) => one.code === "minimum_gas").flatMap((one) => one.divers)));
}

/** Each booking that could be made: whom it places. In the order asked, and the best fit first. */
function waiting(question: Question, day: Day): Json {
  const each: Item[] = [];
  const ranks: number[][] = [];
  question.candidates.forEach(([diver, person], at) => {
    const found = gained(withDiver(question, diver, person), day);
    const whom = found === null ? [] : found[1];
    const others = whom.filter((id) => id !== person.id);
    let text = `${person.id} would have ${whom.includes(person.id) ? "a" : "no"} place`;
    if (others.length > 0) text += `; ${listed(others)} would have one too`;
    const total = found === null ? day.total : found[0].total;
    each.push({ diver: person.id, places: whom, message: `${text}.` });
    ranks.push([-whom.length, total.safety, total.seconds, at]);
  });
  const asked = each.map((one) => one["diver"]!);
  ranks.sort((a, b) => compareLists(a, b, (x, y) => x - y));
  return { in_the_order_asked: asked, best_fit_first: ranks.map((rank) => asked[rank[3]!]!), each };
}

function assumed(question: Question): Json {
  const [physics] = priced(question);
  return question.people
    .map(({ id }) => {
      const names = physics.alone(id).notKnown.filter(([limit]) => OF_THE_DAY.includes(limit));
      return { diver: id, what: [...new Set(names.flatMap(([, what]) => [...what]))] };
    })
    .filter((one) => one.what.length > 0);
}

/** What the organiser reads at booking time. */
function said(
  day: Day,
  of: number,
  critical: readonly DropOut[],
  leader: Helps | null,
  cylinder: Helps | null,
): string {
  const parts = [`${day.total.placed} of ${of} placed.`];
  const worst = critical[0];
  if (worst !== undefined) {
    const count = worst.loses.length;
    parts.push(`If ${worst.diver} drops out, ${count} ${count === 1 ? "loses" : "lose"} the dive.`);
  }
  if (leader !== null) parts.push(leader.message);
  else if (cylinder !== null) parts.push(cylinder.message);
  return parts.join(" ");
}

/** The dive itself where it is one step; the dives that are one step where it is more. */
function stepsJson(id: string, steps: readonly Step[], of: Case): Json {
  const now = of.standings.get(id)!;
  const lacks: Json = now.logKnown ? [...now.dimensions] : { not_known: ["experience.done"] };
  if (now.logKnown && now.stretches === 1) {
    const itself = { dimension: now.dimensions[0]!, demands: demandsJson(of.demands), message: "this dive is one step" };
    return { diver: id, lacks, steps: [itself] };
  }
  const found = steps.map((step) => ({
    dimension: step.stretch,
    demands: demandsJson(step.demands),
    message: stepText(step, of),
  }));
  return { diver: id, lacks, steps: found };
}
