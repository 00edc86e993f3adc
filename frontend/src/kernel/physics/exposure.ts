// What dives take of the oxygen limits, one by one, over 24 hours and over days.
// The twin of physics/exposure.py, which says what recovers and what does not.

import { LN_2, exponential } from "./chance.ts";
import { type Missing, isMissing, lacking } from "./known.ts";
import { DAY_ROWS, type Segment, exposureShare } from "./oxygen.ts";
import { DAY_S, type Dive, type Settings, profile } from "./profile.ts";
import { units } from "./pulmonary.ts";
import { floorDiv } from "./rounding.ts";

type Known = number | Missing;

/** One dive with all it joined; `position` is that of its last, times are seconds after the first descent. */
export interface Exposure {
  readonly position: number;
  readonly startS: number;
  readonly endS: number;
  readonly ppo2Bar: Known;
  readonly single: Known;
  readonly day: Known;
  readonly otu: Known;
}

/** The dives of a day in order; `joined` holds, for each dive, the positions of the others that are one with it. */
export function exposures(
  dives: readonly Dive[],
  joined: readonly (readonly number[])[],
  settings: Settings,
): readonly Exposure[] {
  const found: Exposure[] = [];
  let nowS = 0;
  dives.forEach((dive, i) => {
    const startS = nowS + dive.intervalS;
    const segments = profile(dive, settings);
    nowS = startS;
    for (const segment of segments) nowS += segment[2];
    let made = exposureOf(i, startS, nowS, dive, segments);
    const last = found[found.length - 1];
    if (last !== undefined && joined[i]!.includes(last.position)) {
      found.pop();
      made = together(last, made);
    }
    found.push(made);
  });
  return found;
}

/** The same exposures counted from another moment, as those before the dives asked: their position is -1. */
export function moved(found: readonly Exposure[], byS: number): readonly Exposure[] {
  return found.map((made) => ({ ...made, position: -1, startS: made.startS + byS, endS: made.endS + byS }));
}

/** Shares of the single and of the 24-hour limit by one exposure with those before it. */
export function withEarlier(found: readonly Exposure[], i: number, halfTimeS: number | null): readonly [Known, Known] {
  let { single, day } = found[i]!;
  for (const earlier of found.slice(0, i)) {
    if (found[i]!.startS - earlier.endS < DAY_S) {
      day = sum(earlier.day, day);
      if (halfTimeS === null) single = sum(earlier.single, single);
    }
  }
  if (halfTimeS !== null) {
    single = found[0]!.single;
    for (let k = 1; k <= i; k++) {
      const [before, after] = [found[k - 1]!, found[k]!];
      if (!isMissing(single)) single = single * exponential((-LN_2 * (after.startS - before.endS)) / halfTimeS);
      single = sum(single, after.single);
    }
  }
  return [single, day];
}

/** Pulmonary units of each day, a day being 24 hours from the first descent on. */
export function otuByDay(found: readonly Exposure[]): readonly Known[] {
  const firstS = found[0]?.startS ?? 0;
  const days: Known[] = [];
  for (const made of found) {
    const day = floorDiv(made.startS - firstS, DAY_S);
    while (days.length <= day) days.push(0.0);
    days[day] = sum(days[day]!, made.otu);
  }
  return days;
}

function exposureOf(
  position: number,
  startS: number,
  endS: number,
  dive: Dive,
  segments: readonly Segment[],
): Exposure {
  const oxygenE4 = dive.mix.oxygenE4;
  if (isMissing(oxygenE4)) {
    return { position, startS, endS, ppo2Bar: oxygenE4, single: oxygenE4, day: oxygenE4, otu: oxygenE4 };
  }
  let deepestBar = 0.0;
  for (const [fromBar, toBar] of segments) deepestBar = Math.max(deepestBar, fromBar, toBar);
  return {
    position,
    startS,
    endS,
    ppo2Bar: (deepestBar * oxygenE4) / 10_000,
    single: exposureShare(segments, oxygenE4),
    day: exposureShare(segments, oxygenE4, DAY_ROWS),
    otu: units(segments, oxygenE4),
  };
}

/** Two exposures of one dive. */
function together(a: Exposure, b: Exposure): Exposure {
  const unknown = isMissing(a.ppo2Bar) || isMissing(b.ppo2Bar);
  return {
    position: b.position,
    startS: a.startS,
    endS: b.endS,
    ppo2Bar: unknown ? lacking(a.ppo2Bar, b.ppo2Bar) : Math.max(a.ppo2Bar as number, b.ppo2Bar as number),
    single: sum(a.single, b.single),
    day: sum(a.day, b.day),
    otu: sum(a.otu, b.otu),
  };
}

function sum(a: Known, b: Known): Known {
  return isMissing(a) || isMissing(b) ? lacking(a, b) : a + b;
}
