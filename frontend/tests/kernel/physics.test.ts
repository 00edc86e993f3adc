// Tables, tissues, gases and states against the shared vectors: equal to the last bit.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import type { Json } from "../../src/kernel/calculations/body.ts";
import { type EarlierDive, overlapping, stateBefore } from "../../src/kernel/physics/earlier.ts";
import { Missing } from "../../src/kernel/physics/known.ts";
import { groupNow, noStop, tableLeftS, tissueLeftS, wait } from "../../src/kernel/physics/nitrogen.ts";
import { NO_CLUB_WAITS, noFly } from "../../src/kernel/physics/no_fly.ts";
import { Mix, type Segment, exposureShare, mod, tableDepth } from "../../src/kernel/physics/oxygen.ts";
import { DEFAULT_SETTINGS, type Method, type Settings } from "../../src/kernel/physics/profile.ts";
import * as rounding from "../../src/kernel/physics/rounding.ts";
import * as tables from "../../src/kernel/physics/tables.ts";
import * as tissues from "../../src/kernel/physics/tissues.ts";
import * as trimix from "../../src/kernel/physics/trimix.ts";
import * as units from "../../src/kernel/physics/units.ts";
import { Depth, type DepthUnit } from "../../src/kernel/physics/units.ts";
import * as water from "../../src/kernel/physics/water.ts";
import { folder } from "./vectors.ts";

interface Case {
  readonly id: string;
  readonly in: { readonly call: string; readonly args: never };
  readonly out: Json;
}

const load = <T>(name: string): T => JSON.parse(readFileSync(new URL(name, folder), "utf8")) as T;
const cases = load<{ cases: Case[] }>("physics.json").cases;

type Pair = readonly [number, DepthUnit];
type Gas = readonly [number | null, boolean];
type Earlier = readonly [Pair, number, Gas, number];
type Asked = readonly [
  readonly Earlier[] | null,
  readonly [Method, number, number, number, number | null],
  Pair,
  Gas,
  number,
  boolean,
  number,
];
const deep = ([hundredths, unit]: Pair): Depth => new Depth(hundredths, unit);
const steps = (from: number, to: number, by: number): number[] =>
  Array.from({ length: Math.ceil((to - from) / by) }, (_, i) => from + i * by);

function plain(value: unknown): unknown {
  if (value instanceof Missing) return value.asJson();
  if (value instanceof Depth) return [value.hundredths, value.unit];
  return Array.isArray(value) ? value.map(plain) : value;
}

function state(...[earlier, [method, low, high, altitudeFt, atAltitudeS], at, gas, caution, cold, later]: Asked): unknown {
  const settings: Settings = {
    ...DEFAULT_SETTINGS,
    method,
    gfLowPm: low,
    gfHighPm: high,
    altitudeFt,
    atAltitudeS,
  };
  const listed =
    earlier?.map(
      ([depth, bottomTimeS, mix, surfacedS]): EarlierDive => ({
        depth: deep(depth),
        bottomTimeS,
        mix: new Mix(...mix),
        surfacedS,
      }),
    ) ?? null;
  const now = wait(stateBefore(listed, settings), later);
  const found = noStop(now, deep(at), new Mix(...gas), settings, caution, cold);
  const flying = noFly(now, settings, 8000, 2, null, NO_CLUB_WAITS);
  return {
    overlapping: listed === null ? null : overlapping(listed),
    state: [now.surfacedGroup, now.surfacedTissues, now.sinceS, now.groups, now.beyond].map(plain),
    group: plain(groupNow(now)),
    limits: [
      found.tableDepthFsw,
      found.residualNitrogenTimeMin,
      found.noStopLimitMin,
      found.adjustedNoStopLimitMin,
      found.tissueLimitS,
      tableLeftS(found),
      tissueLeftS(found),
      found.steps,
      found.spentS,
    ].map(plain),
    no_fly: [flying.consensusWaitMin, flying.tableWaitMin, flying.waitMin, flying.rule].map(plain),
  };
}

const calls: Record<string, (...args: never) => unknown> = {
  row_groups: (fsw: number) =>
    [0, 1, 3].map((n) => [1, 5, 10, 20, 33, 48, 60, 93, 200, 400, 1200].map((t) => tables.groupAfter(fsw, t, n))),
  row_limits: (fsw: number) => [0, 1, 2, 3].map((n) => tables.limitWithStepsMin(fsw, n)),
  row_residual: (fsw: number) =>
    tables.GROUPS.map((group) => {
      const { minutes, rowFsw } = tables.residualNitrogenTime(group, fsw);
      return [minutes, rowFsw];
    }),
  interval_groups: (group: string) => steps(0, 1000, 13).map((t) => tables.groupAfterInterval(group, t)),
  altitude_waits: (group: string) => steps(-500, 11_001, 500).map((ft) => tables.waitBeforeAltitudeMin(group, ft)),
  arrivals: () => steps(0, 10_001, 250).map((ft) => tables.groupOnArrival(ft)),
  scaled: (x: number, scale: number) => [
    rounding.scaledUp(x, scale),
    rounding.scaledDown(x, scale),
    rounding.scaledNearest(x, scale),
  ],
  divided: (a: number, b: number) => [rounding.ceilDiv(a, b), rounding.floorDiv(a, b)],
  depth: (typed: number, unit: DepthUnit) => {
    const d = units.depth(typed, unit);
    return [d.hundredths, d.mswE7, d.msw, d.bar, d.cm, d.fswUp, d.number, tables.rowFor(d)];
  },
  travel: (distance: Pair, rate: Pair) => [true, false].map((up) => units.travelS(deep(distance), deep(rate), up)),
  water: (m: number) =>
    (["salt", "fresh"] as const).flatMap((w) => [
      water.gaugePressureBar(m, w),
      water.gaugeDepthMsw(m, w),
      water.metresOfWater(m, w),
    ]),
  altitude_ft_up: (m: number) => units.altitudeFtUp(m),
  constant: (...args: Parameters<typeof tissues.constant>) => tissues.constant(...args),
  linear: (...args: Parameters<typeof tissues.linear>) => tissues.linear(...args),
  ceiling: (held: readonly number[], gf: number, bar: number) => [
    tissues.ceilingBar(held, gf),
    ...tissues.allowedBar(bar, gf),
  ],
  no_stop_limit_s: (...args: Parameters<typeof tissues.noStopLimitS>) => tissues.noStopLimitS(...args),
  two_gases: (held: readonly number[], gf: number, bar: number) => [
    tissues.ceilingBar(held, gf),
    tissues.tolerates(held, bar, gf),
    ...tissues.coefficients(held),
  ],
  trimix_limit_s: (...args: Parameters<typeof trimix.noStopLimitS>) => trimix.noStopLimitS(...args),
  decay: () => tissues.A_BAR.flatMap((_, i) => [0, 1, 86_400, 10_000_000].map((s) => tissues.decay(i, s))),
  mix: (gas: Gas, at: Pair, ppo2: number) => {
    const mix = new Mix(...gas);
    return [mix.oxygenE4, mix.n2E4, mix.n2, tableDepth(deep(at), mix), mod(mix, ppo2, at[1])];
  },
  exposure: (segments: readonly Segment[], o2: number) => exposureShare(segments, o2),
  state_before: state as (...args: never) => unknown,
};

describe("vectors", () => {
  test("none is left out", () => {
    expect(cases.length).toBe(load<Record<string, number>>("index.json")["physics.json"]);
    expect(new Set(cases.map(({ in: asked }) => asked.call))).toEqual(new Set(Object.keys(calls)));
  });
  // toEqual compares numbers with Object.is: the last bit counts.
  test.each(cases)("$id", ({ in: asked, out }) => {
    expect(plain(calls[asked.call]!(...(asked.args as never[] as never)))).toEqual(out);
  });
});
