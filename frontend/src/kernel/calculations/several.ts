// The dives of one day solved together. The twin of calculations/several.py.

import { SOURCES } from "../pairing/case.ts";
import { coverLacking } from "../pairing/cover.ts";
import { type Day, type Total, dayOf } from "../pairing/explain.ts";
import { impossible } from "../pairing/facts.ts";
import { reasonOf, sortedIds } from "../pairing/model.ts";
import { best } from "../pairing/optimise.ts";
import { find, musts } from "../pairing/partition.ts";
import type { Pricing } from "../pairing/pricing.ts";
import { NO_BOAT } from "../pairing/several.ts";
import {
  type DayBoat,
  type DayDive,
  type DayWave,
  type WholeDay,
  teamOf,
  tiersOf,
} from "../pairing/several_case.ts";
import { bestDay } from "../pairing/several_windows.ts";
import type { Diver } from "../physics/diver.ts";
import { ascentS } from "../physics/slate.ts";
import type { Json } from "./body.ts";
import { policyJson } from "./policy_reading.ts";
import { type Question, priced } from "./question.ts";
import { betweenJson, boatsJson, diveJson } from "./several_json.ts";
import { type BoatAsked, type DiveAsked, type SeveralAsked, peopleOf, readSeveral } from "./several_reading.ts";
import { severalWarnings } from "./several_warnings.ts";
import type { Physics } from "./team_physics.ts";
import { reasonJson, totalJson } from "./teams_json.ts";

type Item = Record<string, Json>;

/** Answer who dives with whom on each of the dives of a body with `dives`. Throws Problem with every error of it. */
export function several(body: Json): Json {
  const asked = readSeveral(body);
  const [solved, day] = pricedInTurn(asked);
  let found = bestDay(day, best);
  const least = tiersOf(found.atLeast);
  const cost = tiersOf(found.cost);
  const proven = found.atLeast >= found.cost;
  let facts: Item[] = [];
  if (cost[0]! > day.names.length * day.dives.length || found.teams.every((teams) => teams.length === 0)) {
    facts = factsOf(day, proven);
    found = { ...found, teams: day.dives.map(() => []) };
  }
  const days = day.dives.map(({ pricing }, at): Day => {
    const teams = found.teams[at]!.map(({ ids }) => teamOf(pricing, ids));
    const placed = new Set(teams.flatMap((team) => team.divers));
    return dayOf(pricing, { teams, left: pricing.able.filter((id) => !placed.has(id)), proven: true, atLeast: [] });
  });
  const between = betweenJson(day, found.teams);
  const sum = (count: (total: Total) => number): number => days.reduce((all, one) => all + count(one.total), 0);
  const total: Total = {
    placed: sum((one) => one.placed),
    overrides: sum((one) => one.overrides),
    safety: sum((one) => one.safety),
    seconds: sum((one) => one.seconds) + (between["cost_s"] as number),
  };
  const answer: Item = {
    status: facts.length > 0 ? "impossible" : proven ? "optimal" : "feasible",
    dives: days.map((own, at) => diveJson(day, at, own, found.teams, solved[at]![0], asked.dives[at]!)),
    boats: boatsJson(day, found.teams),
    between_dives: between,
    total: totalJson(total),
  };
  if (answer["status"] === "feasible") answer["gap"] = totalJson(gapOf(cost, least, day, total.safety));
  if (facts.length > 0) answer["facts"] = facts;
  answer["policy"] = policyJson(asked.policy, asked.reading.unit);
  answer["sources"] = SOURCES;
  const warnings = asked.reading.warnings.map((warning) => ({ ...warning }));
  answer["warnings"] = [...warnings, ...severalWarnings(asked, day).map((warning) => ({ ...warning }))];
  return answer;
}

/** What could still be saved at most; what private wishes cost is not shown in it. */
function gapOf(cost: readonly number[], least: readonly number[], day: WholeDay, safety: number): Total {
  const more = cost.map((one, at) => one - least[at]!);
  const changesFirst = day.dives[0]!.pricing.case.leastChange;
  const [overrides, stretch, seconds] = changesFirst ? more.slice(2, 5) : more.slice(1, 4);
  return { placed: more[0]!, overrides: overrides!, safety: Math.min(safety, stretch!), seconds: seconds! };
}

/** Why no team can be formed on any dive, or what has to hold cannot: for each dive that fails by itself. */
function factsOf(day: WholeDay, proven: boolean): Item[] {
  const found: Item[] = [];
  day.dives.forEach(({ pricing }, at) => {
    const needed = musts(pricing.case);
    const alone = find(pricing, needed, best);
    if (alone !== null && alone.teams.length > 0) return;
    for (const fact of impossible(pricing, needed)) found.push({ ...(reasonJson(fact) as Item), dive: at + 1 });
  });
  if (found.length === 0) {
    const text = proven
      ? "Each dive could be by itself, but what has to hold does not fit these waves and boats together."
      : "No way was found to fit what has to hold into these waves and boats; not every way was tried.";
    found.push({ ...(reasonJson(reasonOf("no_room", [], text)) as Item), dive: null });
  }
  return found;
}

/** The physics and prices of each dive in turn, each diver with what the dives before it left. */
function pricedInTurn(asked: SeveralAsked): [[Physics, Pricing][], WholeDay] {
  const solved: [Physics, Pricing][] = [];
  const dives: DayDive[] = [];
  let now = asked.divers;
  asked.dives.forEach((one, at) => {
    if (at > 0) {
      const [physics, pricing] = solved[at - 1]!;
      now = now.map((diver) => carried(diver, physics, pricing, one.intervalS));
    }
    // Gear is of this dive; what was dived before goes with the diver.
    now = now.map((diver, place) => {
      const { cylinder, mix, notAnalysed } = one.gear.get(diver.id) ?? asked.divers[place]!;
      return { ...diver, cylinder, mix, notAnalysed };
    });
    const question = questionOf(asked, one, now);
    const waves = wavesOf(asked, one, question);
    const everywhere = now.map((diver) => diver.id).filter((id) => waves.every((wave) => wave.out.includes(id)));
    const open = !waves.every((wave) => wave.closed);
    solved.push(
      priced({
        ...question,
        policy: open ? { ...question.policy, surfaceCover: "shown" } : question.policy,
        asked: { ...question.asked, outOfWater: [...question.asked.outOfWater, ...everywhere] },
      }),
    );
    dives.push({ pricing: solved[at]![1], waves });
  });
  const day: WholeDay = {
    names: sortedIds(asked.divers.map((diver) => diver.id)),
    dives,
    boats: asked.boats.map((boat) => boatOf(boat, asked)),
    partners: asked.partners,
    priceS: asked.priceS,
    before: asked.before,
  };
  return [solved, day];
}

function questionOf(asked: SeveralAsked, one: DiveAsked, divers: readonly Diver[]): Question {
  return {
    dive: one.dive,
    demands: one.demands,
    on: asked.on,
    policy: asked.policy,
    settings: asked.reading.settings,
    divers,
    people: asked.people,
    asked: one.asked,
    weeksBefore: false,
    candidates: [],
  };
}

/** The diver before the next dive, this one made for as long as they alone could: see several.py. */
function carried(diver: Diver, physics: Physics, pricing: Pricing, intervalS: number): Diver {
  const own = pricing.case.people.get(diver.id)!.gas?.ownS ?? null;
  const { dive } = physics;
  const bottomTimeS = own === null || own === 0 ? dive.bottomTimeS : own;
  const runS = bottomTimeS + ascentS(dive, physics.settings, bottomTimeS);
  if (diver.earlier === null) return diver;
  const before = diver.earlier.map((one) => ({ ...one, surfacedS: one.surfacedS + runS + intervalS }));
  if (pricing.able.includes(diver.id)) {
    before.push({ depth: dive.depth, bottomTimeS, mix: diver.mix, surfacedS: intervalS });
  }
  return { ...diver, earlier: before };
}

/** A boat with the seats that are left: who is aboard, covers it or one of its waves has one already. */
function boatOf(one: BoatAsked, asked: SeveralAsked): DayBoat {
  const everybody = peopleOf(one, asked.dives);
  const aboard = everybody.filter((id) => asked.divers.some((diver) => diver.id === id));
  const taken = one.persons !== null ? everybody.length : aboard.length;
  const most = one.persons ?? one.divers ?? 0;
  const crew = everybody.length - aboard.length;
  return { id: one.id, seats: Math.max(0, most - taken), aboard, most, persons: one.persons !== null, crew };
}

/** The waves as asked; without any, one for each boat, or one for everybody. */
function wavesOf(asked: SeveralAsked, one: DiveAsked, question: Question): DayWave[] {
  const many = Math.max(2, asked.divers.length);
  if (one.waves.length > 0) {
    return one.waves.map((wave) => {
      const boat = asked.boats.findIndex((other) => other.id === wave.boat);
      const cover = boat === NO_BOAT ? wave.cover : [...asked.boats[boat]!.cover, ...wave.cover];
      return waveOf(wave.id, wave.divers, boat, wave.leaderNeeded, cover, asked, question);
    });
  }
  if (asked.boats.length > 0) {
    return asked.boats.map((boat, at) => waveOf(boat.id, many, at, true, boat.cover, asked, question));
  }
  return [waveOf(null, many, NO_BOAT, false, [], asked, question)];
}

function waveOf(
  id: string | null,
  room: number,
  boat: number,
  leader: boolean,
  own: readonly (readonly [string, string])[],
  asked: SeveralAsked,
  question: Question,
): DayWave {
  // Who covers the dive from one boat covers no other.
  const there = boat === NO_BOAT || asked.boats.length < 2 ? null : peopleOf(asked.boats[boat]!, asked.dives);
  const cover = [...question.asked.cover.filter(([, person]) => there === null || there.includes(person)), ...own];
  const lacking = coverLacking({ cover, policy: question.policy });
  const closed = question.policy.surfaceCover === "required" && lacking.length > 0;
  const out = [...new Set(own.map(([, person]) => person))];
  return { id, room, boat, leader, out, closed, cover, lacking };
}
