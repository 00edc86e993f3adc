// The day's dives in every order: how long each order makes the team wait, and which waits least.
// The twin of physics/order.py, which names what bounds deeper after shallower.

import { inWater } from "./cylinder.ts";
import { after, wait } from "./dive.ts";
import { stateBefore } from "./earlier.ts";
import { type Diver, type DiverLimits, type TeamDive, type TeamSettings, diverLimits, nextLonger } from "./diver.ts";
import {
  type Interval,
  LEAST_MIN,
  type Never,
  type OwnInterval,
  intervalAfter,
  lasts,
  neverWithoutDive,
  noInterval,
  ownInterval,
  sinceArrival,
  together,
} from "./interval.ts";
import { type Missing, isMissing, missing } from "./known.ts";
import { type NitrogenState, groupNow } from "./nitrogen.ts";
import { profile, squareDive } from "./profile.ts";
import { floorDiv } from "./rounding.ts";
import { type Bound, teamLimits } from "./team.ts";
import { type DepthUnit, depthText } from "./units.ts";
import { waited } from "./waiting.ts";

const PERMUTATIONS: Readonly<Record<number, readonly (readonly number[])[]>> = {
  2: [
    [0, 1],
    [1, 0],
  ],
  3: [
    [0, 1, 2],
    [0, 2, 1],
    [1, 0, 2],
    [1, 2, 0],
    [2, 0, 1],
    [2, 1, 0],
  ],
};

/** Deeper after shallower: the deeper one is less than the first, they differ by less than the second (hundredths). */
const REVERSE: Readonly<Record<DepthUnit, readonly [number, number]>> = { m: [4000, 1200], ft: [13_000, 4000] };

/** One dive in its place: which of the dives asked, the wait before it, and the team's limit there. */
export interface Leg {
  readonly dive: number;
  readonly wait: Interval;
  readonly waitingMin: number;
  readonly limit: Bound | Missing;
}

/** The dives in one order and all the waiting it asks; `none` says why it is not possible at all. */
export interface Order {
  readonly dives: readonly number[];
  readonly legs: readonly Leg[];
  readonly waitingMin: number;
  readonly none: Never | Missing | null;
  readonly refused: string | null;
  readonly reverse: boolean;
}

/** A diver at a moment of the day: with the dives made so far, and the state since the last surfacing. */
interface Member {
  readonly diver: Diver;
  readonly state: NitrogenState;
}

/** Every order of two or three dives, the least waiting first; of equal ones the deepest first. */
export function orders(
  dives: readonly TeamDive[],
  divers: readonly Diver[],
  settings: TeamSettings,
  leastMin: number,
): Order[] {
  const priced = PERMUTATIONS[dives.length]!.map((order) => pricedOrder(order, dives, divers, settings, leastMin));
  const rank = (order: Order): readonly number[] => {
    const impossible = order.refused !== null ? 2 : order.none !== null ? 1 : 0;
    return [impossible, order.waitingMin, ...order.dives.map((i) => -dives[i]!.depth.mswE7)];
  };
  return priced.sort((a, b) => compare(rank(a), rank(b)));
}

function compare(a: readonly number[], b: readonly number[]): number {
  for (let i = 0; i < a.length; i += 1) if (a[i] !== b[i]) return a[i]! - b[i]!;
  return 0;
}

/** Whether a dive is deeper than one before it, and why that is refused (null: inside the bounds). */
export function refusal(
  order: readonly number[],
  dives: readonly TeamDive[],
): readonly [boolean, string | null] {
  let reverse = false;
  for (let position = 0; position < order.length; position += 1) {
    const deeper = dives[order[position]!]!.depth;
    for (const first of order.slice(0, position)) {
      const shallower = dives[first]!.depth;
      if (deeper.hundredths <= shallower.hundredths) continue;
      reverse = true;
      const [deepest, apart] = REVERSE[deeper.unit];
      if (deeper.hundredths >= deepest || deeper.hundredths - shallower.hundredths >= apart) {
        const bounds = deeper.unit === "m" ? "under 40 m and less than 12 m" : "under 130 ft and less than 40 ft";
        const why =
          `${depthText(deeper)} after ${depthText(shallower)}: deeper later is only for no-stop dives ` +
          `${bounds} apart. Dive the deeper one first.`;
        return [true, why];
      }
    }
  }
  return [reverse, null];
}

function pricedOrder(
  order: readonly number[],
  dives: readonly TeamDive[],
  divers: readonly Diver[],
  settings: TeamSettings,
  leastMin: number,
): Order {
  const [reverse, refused] = refusal(order, dives);
  const nothing: Order = { dives: order, legs: [], waitingMin: 0, none: null, refused, reverse };
  if (refused !== null) return nothing;
  const members = divers.map((diver) => ({ diver, state: stateBefore(diver.earlier, settings.dive) }));
  const before = beforeFirst(dives[order[0]!]!, members, settings, leastMin);
  if (isMissing(before) || before.kind === "never") return { ...nothing, none: before };
  const waiting = Math.max(0, before.moreMin);
  const rested = allWaited(members, waiting * 60);
  const rest = from(order, 0, before, waiting, dives, rested, settings, leastMin);
  if (!isLegs(rest)) return { ...nothing, none: rest };
  return { ...nothing, legs: rest, waitingMin: total(rest) };
}

/** This dive by members who have waited, and the rest of the order after it, with the least waiting. */
function from(
  order: readonly number[],
  place: number,
  before: Interval,
  waiting: number,
  dives: readonly TeamDive[],
  members: readonly Member[],
  settings: TeamSettings,
  leastMin: number,
): readonly Leg[] | Never | Missing {
  const dive = dives[order[place]!]!;
  const limits = members.map((member) => limitsOf(dive, member, settings));
  const { limit } = teamLimits(dive, limits, settings);
  const leg: Leg = { dive: order[place]!, wait: before, waitingMin: waiting, limit };
  if (place + 1 === order.length) return [leg];
  const surfaced = members.map((member) => dived(dive, member, settings));
  const coming = dives[order[place + 1]!]!;
  const pairs = surfaced.map((m) => [m.diver, m.state] as const);
  const interval = intervalAfter(coming, pairs, settings, leastMin);
  if (isMissing(interval) || interval.kind === "never") return interval;
  const soonest = allWaited(surfaced, interval.min * 60);
  let best = from(order, place + 1, interval, interval.min, dives, soonest, settings, leastMin);
  if (!isLegs(best)) return best;
  // A longer wait here shortens a later one by more only where it lowers somebody's group.
  const searched = place + 2 < order.length && settings.dive.method !== "tissue";
  const end = searched ? total(best) - LEAST_MIN : 0;
  for (let minutes = interval.min + 1; minutes < end; minutes += 1) {
    if (minutes + LEAST_MIN >= total(best)) break;
    if (!surfaced.some((member) => groupFalls(member, minutes))) continue;
    const later = allWaited(surfaced, minutes * 60);
    const rest = from(order, place + 1, interval, minutes, dives, later, settings, leastMin);
    if (isLegs(rest) && total(rest) < total(best)) best = rest;
  }
  return [leg, ...best];
}

function isLegs(found: readonly Leg[] | Never | Missing): found is readonly Leg[] {
  return Array.isArray(found);
}

/** A member's limits, the gauge read in the water of this dive. */
function limitsOf(dive: TeamDive, member: Member, settings: TeamSettings): DiverLimits {
  const { cylinder } = member.diver;
  const diver = isMissing(cylinder)
    ? member.diver
    : { ...member.diver, cylinder: inWater(cylinder, dive.waterC, settings.pressureUnit) };
  return diverLimits(dive, diver, settings, member.state);
}

function total(legs: readonly Leg[]): number {
  let minutes = 0;
  for (const leg of legs) minutes += leg.waitingMin;
  return minutes;
}

/** The wait before the first dive, counted from each diver's last surfacing; none for a diver without one. */
function beforeFirst(
  dive: TeamDive,
  members: readonly Member[],
  settings: TeamSettings,
  leastMin: number,
): Interval | Never | Missing {
  const found: OwnInterval[] = [];
  let more = 0;
  for (const { diver, state } of members) {
    if (diver.earlier === null) return missing(`earlier dives of diver ${diver.id}`);
    if (diver.earlier.length === 0) {
      if (!lasts(dive, diver, settings, state)) return neverWithoutDive(diver, settings);
      found.push(noInterval(diver.id));
      continue;
    }
    const arrived = sinceArrival(diver, state);
    if (arrived !== null) return arrived;
    const own = ownInterval(dive, diver, settings, { ...state, sinceS: 0 }, leastMin);
    if (isMissing(own) || own.kind === "never") return own;
    found.push(own);
    more = Math.max(more, own.min - floorDiv(state.sinceS, 60));
  }
  return together(found, more);
}

/** Whether a diver's group is another one at this minute of the interval than a minute before. */
function groupFalls(member: Member, minutes: number): boolean {
  return groupNow(wait(member.state, minutes * 60)) !== groupNow(wait(member.state, (minutes - 1) * 60));
}

function allWaited(members: readonly Member[], seconds: number): Member[] {
  return members.map(({ diver, state }) => ({ diver: waited(diver, seconds), state: wait(state, seconds) }));
}

/** A member on surfacing from the whole dive. */
function dived(dive: TeamDive, member: Member, settings: TeamSettings): Member {
  const { diver } = member;
  const square = squareDive(dive.depth, dive.bottomTimeS, diver.mix);
  const made = { ...square, caution: diver.caution, coldOrHard: nextLonger(dive) };
  const [, state] = after(member.state, made, settings.dive);
  let runS = 0;
  for (const segment of profile(made, settings.dive)) runS += segment[2];
  const before = waited(diver, runS).earlier ?? [];
  const now = { depth: dive.depth, bottomTimeS: dive.bottomTimeS, mix: diver.mix, surfacedS: 0 };
  return { diver: { ...diver, earlier: [...before, now] }, state };
}
