// The dives of a day for any number of divers: exact where few dive, improved part by part where many do.
// The twin of pairing/several_windows.py.

import { compareIds, compareLists, sameIds, sortedIds } from "./model.ts";
import { type Search, find, musts } from "./partition.ts";
import { ANY_WAVE, type Fixed, type WholeDay, severalOf, teamsOf, weigh } from "./several_case.ts";
import { bestPlan } from "./several_walk.ts";

const MOST_EXACT = 12;
const WINDOW = 8;
const MOST_ROUNDS = 4;
const WINDOW_STEPS = 1500;

/** `teams`: for each dive its teams by ids, each with its wave. `cost` and `atLeast` as `several_case.weigh`. */
export interface FoundDay {
  readonly teams: readonly Fixed[];
  readonly cost: bigint;
  readonly atLeast: bigint;
}

/** The best teams of all dives together. */
export function bestDay(day: WholeDay, search: Search): FoundDay {
  const able = day.names.filter((id) => day.dives.some((dive) => dive.pricing.able.includes(id)));
  if (able.length <= MOST_EXACT) {
    const [walked, least] = bestPlan(severalOf(day, able, day.dives.map(() => [])));
    return { teams: teamsOf(day, walked.plan ?? []), cost: walked.cost, atLeast: least };
  }
  const [least, teams] = eachAlone(day, search);
  return improved(day, able, teams, least);
}

/** What the dives cost at least, each by itself, and its teams. */
function eachAlone(day: WholeDay, search: Search): [bigint, Fixed[]] {
  let least = 0n;
  const kept: Fixed[] = [];
  for (const { pricing, waves } of day.dives) {
    const found = find(pricing, musts(pricing.case), search);
    const room = waves.reduce((sum, wave) => sum + (wave.closed ? 0 : wave.room), 0);
    const short = Math.max(0, pricing.able.length - room);
    if (found === null || short > found.left.length) {
      // Where fewer can be placed than the search placed, the rest of its cost is no bound.
      least += weigh([short, 0, 0, 0, 0]);
    } else {
      const order = found.atLeast;
      least += weigh(pricing.case.leastChange ? [order[0]!, order[4]!, ...order.slice(1, 4)] : order);
    }
    kept.push(found === null ? [] : found.teams.map((team) => ({ ids: team.divers, wave: ANY_WAVE })));
  }
  return [least, kept];
}

/** The teams of the first dive on every dive that permits them. */
function following(day: WholeDay, teams: readonly Fixed[]): Fixed[] {
  return day.dives.map(({ pricing }) =>
    teams[0]!
      .filter(({ ids }) => "candidate" in pricing.tryTeam(ids) && ids.every((id) => pricing.able.includes(id)))
      .map(({ ids }) => ({ ids, wave: ANY_WAVE })),
  );
}

/** Window after window placed anew, from the cheaper of two starts. */
function improved(day: WholeDay, able: readonly string[], teams: readonly Fixed[], least: bigint): FoundDay {
  const starts = day.partners === "keep" ? [teams, following(day, teams)] : [teams];
  const walks = starts.map((start) => bestPlan(severalOf(day, [], start), null, WINDOW_STEPS)[0]);
  const first = walks.reduce((a, b) => (b.cost < a.cost ? b : a));
  let now = teamsOf(day, first.plan ?? []);
  let { cost } = first;
  for (let stride = 1; stride <= MOST_ROUNDS; stride++) {
    const before = cost;
    for (const window of windows(day, able, now, stride)) {
      if (cost <= least) return { teams: now, cost, atLeast: cost };
      const kept = now.map((one) => one.filter(({ ids }) => !ids.every((id) => window.includes(id))));
      const [walked] = bestPlan(severalOf(day, window, kept), cost, WINDOW_STEPS);
      if (walked.plan === null) continue;
      now = teamsOf(day, walked.plan);
      ({ cost } = walked);
    }
    if (cost === before && stride > 1) break;
  }
  return { teams: now, cost, atLeast: cost < least ? cost : least };
}

/** Divers to place anew together: see several_windows.py. */
function windows(day: WholeDay, able: readonly string[], now: readonly Fixed[], stride: number): string[][] {
  const found: string[][] = [];
  day.dives.forEach((dive, at) => {
    const teams = [...now[at]!].sort((a, b) => compareLists(a.ids, b.ids, compareIds));
    const order: string[] = [];
    for (let start = 0; start < stride; start++) {
      for (let one = start; one < teams.length; one += stride) order.push(...teams[one]!.ids);
    }
    const out = able.filter((id) => dive.pricing.able.includes(id) && !order.includes(id)).slice(0, 2);
    const width = WINDOW - out.length;
    for (let start = 0; start < order.length; start += Math.floor(width / 2)) {
      const window = sortedIds([...out, ...order.slice(start, start + width)]);
      if (!found.some((other) => sameIds(other, window))) found.push(window);
    }
  });
  return found;
}
