// Teams of three: who watches whom, what happens if one ends the dive, and what could be done instead.
// The twin of pairing/threes.py.

import { floorDiv } from "../physics/rounding.ts";
import { ADULT, type Case, standingOf } from "./case.ts";
import { type Candidate, price } from "./cost.ts";
import { age } from "./days.ts";
import { type Person, type TeamGas, compareIds, listed, sortedIds } from "./model.ts";
import type { Pricing, Tried } from "./pricing.ts";
import { standingReasons } from "./rules.ts";
import { teamGas, together } from "./rules_team.ts";

/** What one diver can do in a second dive after this one: (team, who dived before, for how long) -> limit. */
export type AgainOf = (ids: readonly string[], twice: string, bottomS: number) => TeamGas;

/** If `ends` ends the dive: who may go on and to which second of bottom time, who goes up with `ends`. */
export interface Split {
  readonly ends: string;
  readonly goOn: readonly string[] | null;
  readonly untilS: number | null;
  readonly upWith: readonly string[];
  readonly pairS: number | null;
  readonly message: string;
}

/** `odd` holds the deck while `first` dives; with `second`, `odd` dives afterwards with `twice`. */
export interface Instead {
  readonly kind: "deck" | "two_waves";
  readonly odd: string;
  readonly first: Candidate;
  readonly second: readonly string[] | null;
  readonly twice: string | null;
  readonly secondS: number | null;
  readonly message: string;
}

const leadOf = (team: Candidate): string => team.lead ?? team.divers[0]!;

/** (who, watches whom): the leader watches whoever has most stretches, then least to spare; one ring. */
export function ring(team: Candidate, of: Case): [string, string][] {
  const lead = leadOf(team);
  const need = (id: string): [number, number] => {
    const now = of.standings.get(id)!;
    return [-now.stretches, now.margins.reduce((sum, [, steps]) => sum + steps, 0)];
  };
  const others = team.divers.filter((id) => id !== lead);
  others.sort((a, b) => need(a)[0] - need(b)[0] || need(a)[1] - need(b)[1] || compareIds(a, b));
  return [
    [lead, others[0]!],
    [others[0]!, others[1]!],
    [others[1]!, lead],
  ];
}

/** What each member's end means for the two others, the leader's first. */
export function split(team: Candidate, pricing: Pricing): Split[] {
  const lead = leadOf(team);
  return [lead, ...team.divers.filter((id) => id !== lead)].map((id) => ifEnds(id, team, lead, pricing));
}

function ifEnds(id: string, team: Candidate, lead: string, pricing: Pricing): Split {
  const rest = team.divers.filter((one) => one !== id);
  const tried = teamAlone(rest, pricing);
  const stop = { ends: id, goOn: null, untilS: null, upWith: rest };
  if (!("candidate" in tried)) {
    const message = `If ${id} ends the dive, all end it: ${listed(rest)} are no team of their own (${tried.barring[0]!.message})`;
    return { ...stop, pairS: null, message };
  }
  const pairS = tried.candidate.gas.limitS;
  if (pairS === null || pairS === 0) {
    const message = `If ${id} ends the dive, all end it: how long ${listed(rest)} could go on is not known.`;
    return { ...stop, pairS: null, message };
  }
  const minutes = floorDiv(pairS, 60);
  const why = notAlone(pricing.case.people.get(id)!, pricing.case);
  if (why !== null) {
    const withWhom = lead === id ? rest[0]! : lead;
    const left = rest.find((one) => one !== withWhom)!;
    const message =
      `If ${id} ends the dive, all end it: ${id} ${why} and does not go up alone, so ${withWhom} goes with ` +
      `${id}, and ${left} is no team alone. ${listed(rest)} as a pair would have had ${minutes} min.`;
    return { ...stop, pairS, message };
  }
  const message =
    `If ${id} ends the dive, ${listed(rest)} bring ${id} to the boat or the marker and see ${id} up; ` +
    `then they may go on to minute ${minutes}.`;
  return { ends: id, goOn: rest, untilS: pairS, upWith: rest, pairS, message };
}

/** Why this diver is not sent up alone, or null. */
function notAlone(person: Person, of: Case): string | null {
  if (standingOf(person, of).stretches > 0) return "is stretched";
  if (person.supervised) return "is supervised";
  return person.born === null || age(person.born, of.on) < ADULT ? "is not known to be of age" : null;
}

/** The price of these as a team of their own, whatever the organiser has fixed, or what bars it. */
export function teamAlone(ids: readonly string[], pricing: Pricing, guided = false): Tried {
  const of: Case = {
    ...pricing.case,
    locked: [],
    guided: guided ? [ids] : [],
    announced: [],
    wishes: pricing.case.wishes.filter((wish) => wish.kind === "apart"),
  };
  const team = pricing.members(ids);
  const reasons = standingReasons(together(team, of), of);
  if (reasons.length > 0) return { barring: reasons };
  const gas = pricing.gasOf(ids);
  const short = standingReasons(teamGas(gas), of);
  return short.length > 0 ? { barring: short } : { candidate: price(team, gas, of) };
}

/** What could be done instead of this three, the least stretched odd diver first. */
export function instead(team: Candidate, pricing: Pricing, again: AgainOf): Instead[] {
  const of = pricing.case;
  const lead = leadOf(team);
  const found: Instead[] = [];
  const stretches = (id: string): number => of.standings.get(id)!.stretches;
  const oddFirst = [...team.divers].sort(
    (a, b) => Number(a === lead) - Number(b === lead) || stretches(a) - stretches(b) || compareIds(a, b),
  );
  for (const odd of oddFirst) {
    const rest = team.divers.filter((one) => one !== odd);
    const tried = teamAlone(rest, pricing);
    if (!("candidate" in tried) || tried.candidate.gas.limitS === null || tried.candidate.gas.limitS === 0) continue;
    if (tried.candidate.hidden > 0) continue;
    const first = tried.candidate;
    const minutes = floorDiv(tried.candidate.gas.limitS, 60);
    const message = `${odd} holds the deck while ${listed(rest)} dive: ${minutes} min.`;
    found.push({ kind: "deck", odd, first, second: null, twice: null, secondS: null, message });
    const wave = secondWave(odd, first, pricing, again);
    if (wave === null) continue;
    const [twice, second, secondS] = wave;
    const interval = floorDiv(of.policy.waveIntervalS, 60);
    const text =
      `Two waves: ${listed(rest)} dive first (${minutes} min) while ${odd} holds the deck; then ${odd} dives ` +
      `with ${twice}, who dives twice (${floorDiv(secondS, 60)} min after ${interval} min out of the water).`;
    found.push({ kind: "two_waves", odd, first, second, twice, secondS, message: text });
  }
  return found;
}

/** Who of the pair dives again with `odd`, the team of that dive and its limit; the leader of the pair first. */
function secondWave(
  odd: string,
  pair: Candidate,
  pricing: Pricing,
  again: AgainOf,
): [string, readonly string[], number] | null {
  const order = [...pair.divers].sort(
    (a, b) => Number(a !== pair.lead) - Number(b !== pair.lead) || compareIds(a, b),
  );
  for (const twice of order) {
    const ids = sortedIds([odd, twice]);
    const alone = teamAlone(ids, pricing);
    if (!("candidate" in alone) || alone.candidate.hidden > 0) continue;
    const gas = again(ids, twice, pair.gas.limitS ?? 0);
    if (gas.limitS !== null && gas.limitS > 0 && gas.short.length === 0) return [twice, ids, gas.limitS];
  }
  return null;
}
