// The dives of a day, their waves and boats as the answer writes them. The twin of calculations/several_json.py.

import { leadsToDepth } from "../pairing/case.ts";
import { COVER_NAMES } from "../pairing/cover.ts";
import { type Day, type NotPlaced, changed, recheck } from "../pairing/explain.ts";
import { COVER_ROLES, combinations, listed, reasonOf, sameIds, sortedIds } from "../pairing/model.ts";
import { NO_BOAT } from "../pairing/several.ts";
import type { DayWave, Fixed, WholeDay } from "../pairing/several_case.ts";
import type { Json } from "./body.ts";
import type { DiveAsked } from "./several_reading.ts";
import type { Physics } from "./team_physics.ts";
import * as json from "./teams_json.ts";
import { guidedJson, insteadJson } from "./teams_parts.ts";

type Item = Record<string, Json>;

/** One dive as `teams` answers one, each team with its wave and boat; `every` has the teams of all dives. */
export function diveJson(
  day: WholeDay,
  at: number,
  own: Day,
  every: readonly Fixed[],
  physics: Physics,
  asked: DiveAsked,
): Item {
  const { waves, pricing } = day.dives[at]!;
  const of = pricing.case;
  const waveOf = (ids: readonly string[]): DayWave => waves[every[at]!.find((one) => sameIds(one.ids, ids))!.wave]!;
  const item: Item = {
    dive: at + 1,
    teams: own.teams.map((team) => {
      const wave = waveOf(team.divers);
      return { ...(json.teamJson(team, pricing, physics) as Item), wave: wave.id, boat: boatId(day, wave) };
    }),
    not_placed: own.notPlaced.map((one) => json.notPlacedJson(withoutRoom(one, day, at, every))),
    total: json.totalJson(own.total),
    changed: changed(of, own).map(([diver, from, to]) => ({
      diver,
      from: from === null ? null : [...from],
      to: to === null ? null : [...to],
    })),
    divers: [...of.people.values()].map((person) => json.diverJson(person, of)),
    overrides: json.overridesJson(of, own),
    instead_of_three: insteadJson(own, pricing, physics),
    guided_offers: guidedJson(own, pricing),
    waves: waves.map((_, number) => waveJson(day, at, number, every[at]!)),
  };
  if (asked.asked.announced.length > 0) item["announced"] = recheck(pricing).map(json.recheckJson);
  return item;
}

const boatId = (day: WholeDay, wave: DayWave): string | null =>
  wave.boat === NO_BOAT ? null : day.boats[wave.boat]!.id;

/** Who dives in a wave, who could lead it, and who covers it from the surface. */
function waveJson(day: WholeDay, at: number, number: number, teams: Fixed): Item {
  const { waves, pricing } = day.dives[at]!;
  const wave = waves[number]!;
  const of = pricing.case;
  const there = teams.filter((one) => one.wave === number);
  const divers = sortedIds(there.flatMap((one) => [...one.ids]));
  const leads = divers.filter((id) => leadsToDepth(of.people.get(id)!, of));
  const lead = leads.find((id) => of.standings.get(id)!.stretches === 0) ?? leads[0] ?? null;
  return {
    id: wave.id,
    boat: boatId(day, wave),
    room: wave.room,
    teams: there.map((one) => [...one.ids]),
    divers,
    lead,
    surface_cover: {
      roles: wave.cover.map(([role, person]) => ({ role, person })),
      missing: COVER_ROLES.filter((role) => wave.lacking.includes(COVER_NAMES[role])),
    },
  };
}

/** With waves or boats that hold no further team, that is said instead of who else is taken. */
function withoutRoom(one: NotPlaced, day: WholeDay, at: number, teams: readonly Fixed[]): NotPlaced {
  const dive = day.dives[at]!;
  if (!dive.pricing.able.includes(one.id)) return one;
  if (dive.waves.some((_, number) => isOpen(one.id, day, at, number, teams))) return one;
  const text = `There is no room for a further team with ${one.id} in the waves and boats of dive ${at + 1}.`;
  return { ...one, reasons: [reasonOf("no_room", [one.id], text)] };
}

/** Whether a pair with this diver would still fit this wave and its boat. */
function isOpen(id: string, day: WholeDay, at: number, number: number, teams: readonly Fixed[]): boolean {
  const wave = day.dives[at]!.waves[number]!;
  const inside = teams[at]!.reduce((sum, one) => sum + (one.wave === number ? one.ids.length : 0), 0);
  if (wave.closed || wave.out.includes(id) || wave.room - inside < 2) return false;
  if (wave.boat === NO_BOAT) return true;
  const on = day.boats.map((_, boat) => riders(day, boat, teams));
  if (on.some((those) => those.includes(id))) return on[wave.boat]!.includes(id);
  const boat = day.boats[wave.boat]!;
  return boat.most - on[wave.boat]!.length - (boat.persons ? boat.crew : 0) > 0;
}

/** The divers with a fixed seat on a boat and those who dive from it, by id. */
function riders(day: WholeDay, boat: number, teams: readonly Fixed[]): string[] {
  const found = new Set(day.boats[boat]!.aboard);
  day.dives.forEach((dive, at) => {
    for (const { ids, wave } of teams[at]!) {
      if (dive.waves[wave]!.boat === boat) for (const id of ids) found.add(id);
    }
  });
  return sortedIds(found);
}

/** Who goes on which boat: those with a fixed seat and those who dive from it. */
export function boatsJson(day: WholeDay, teams: readonly Fixed[]): Json {
  return day.boats.map((boat, at) => {
    const divers = riders(day, at, teams);
    return {
      id: boat.id,
      divers,
      others_aboard: boat.crew,
      takes: boat.persons ? { persons: boat.most } : { divers: boat.most },
      seats_left: boat.most - divers.length - (boat.persons ? boat.crew : 0),
    };
  });
}

/** What it costs who dives with whom on more dives than one, each part with its sentence. */
export function betweenJson(day: WholeDay, teams: readonly Fixed[]): Item {
  const byDiver = (some: readonly (readonly string[])[]): Map<string, readonly string[]> =>
    new Map(some.flatMap((ids) => ids.map((id) => [id, ids] as const)));
  const dives = teams.map((fixed) => byDiver(fixed.map((one) => one.ids)));
  const able = day.dives.map((dive) => new Set(dive.pricing.able));
  let first = 1;
  if (day.before.length > 0) {
    const before = byDiver(day.before.map((team) => team.filter((id) => day.names.includes(id))));
    dives.unshift(before);
    able.unshift(new Set(before.keys()));
    first = 0;
  }
  const reasons: Item[] = [];
  let cost = 0;
  const add = (code: string, at: number, divers: readonly string[], count: number, message: string): void => {
    if (count === 0 || day.priceS === 0) return;
    const seconds = day.priceS * count;
    cost += seconds;
    reasons.push({ code, dive: at + first, divers: [...divers], seconds, message });
  };
  for (let at = 1; at < dives.length; at++) {
    if (day.partners === "keep") {
      const both = sortedIds([...able[at - 1]!].filter((id) => able[at]!.has(id)));
      const moved = both.filter((id) => !sameIds(dives[at - 1]!.get(id) ?? [], dives[at]!.get(id) ?? []));
      const verb = moved.length === 1 ? "does" : "do";
      const text = `${listed(moved)} ${verb} not dive with the same mates as on the dive before.`;
      add("other_mates", at, moved, moved.length, text);
    }
    if (day.partners === "change") {
      for (const pair of combinations(sortedIds(dives[at]!.keys()), 2)) {
        const together = dives.slice(0, at + 1).map((one) => pair.every((id) => one.get(pair[0]!)?.includes(id) === true));
        if (!together[at]! || !together.slice(0, at).some(Boolean)) continue;
        add("same_mates", at, pair, 2, `${listed(pair)} dive together again.`);
      }
    }
  }
  return { partners: day.partners, cost_per_diver_s: day.priceS, cost_s: cost, reasons };
}
