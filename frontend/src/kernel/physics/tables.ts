// The air tables of the US Navy Diving Manual, Revision 7, as pure look-ups.
// The twin of physics/tables.py; both read the same files.

import ALTITUDE from "@data/navy_air_altitude.json" with { type: "json" };
import ASCENT from "@data/navy_air_ascent_to_altitude.json" with { type: "json" };
import NO_STOP from "@data/navy_air_no_stop.json" with { type: "json" };
import RESIDUAL_TABLE from "@data/navy_air_residual_nitrogen.json" with { type: "json" };
import INTERVAL from "@data/navy_air_surface_interval.json" with { type: "json" };
import { Missing, missing } from "./known.ts";
import { ceilDiv } from "./rounding.ts";
import type { Depth } from "./units.ts";

type Cells<T> = Readonly<Record<string, T>>;

/** One depth of Table 9-7: the printed (group, longest bottom time) pairs, shortest first. */
export interface NoStopRow {
  readonly depthFsw: number;
  readonly noStopLimitMin: number | null;
  readonly listed: readonly (readonly [string, number])[];
  readonly unlimitedGroup: string | null;
}

/** One surface interval band of Table 9-8, both ends inclusive, in minutes. */
export interface Band {
  readonly fromMin: number;
  readonly toMin: number;
  readonly newGroup: string;
}

/** Where a time enters a row: the listed time and group, or null past the last column. */
export interface Entry {
  readonly timeMin: number | null;
  readonly group: string | null;
  readonly within: boolean;
}

/** Residual nitrogen time and the row it must be used on (one row deeper for a dagger). */
export interface Residual {
  readonly minutes: number | Missing;
  readonly rowFsw: number;
}

export const GROUPS: readonly string[] = NO_STOP.groups;

export const ROWS: ReadonlyMap<number, NoStopRow> = new Map(
  NO_STOP.rows.map((row) => {
    const cells: Cells<number | null> = row.max_bottom_time_min;
    const listed: [string, number][] = [];
    for (const group of GROUPS) {
      const minutes = cells[group];
      if (minutes != null) listed.push([group, minutes]);
    }
    return [
      row.depth_fsw,
      { depthFsw: row.depth_fsw, noStopLimitMin: row.no_stop_limit_min, listed, unlimitedGroup: row.unlimited_group },
    ];
  }),
);
export const DEPTHS_FSW: readonly number[] = [...ROWS.keys()];
export const DEEPEST_FSW: number = DEPTHS_FSW[DEPTHS_FSW.length - 1]!;
export const BANDS: ReadonlyMap<string, readonly Band[]> = new Map(
  INTERVAL.rows.map((row) => [
    row.start_group,
    row.bands.map((b) => ({ fromMin: b.from_min, toMin: b.to_min, newGroup: b.new_group })),
  ]),
);
export const NOT_REPETITIVE_AFTER_MIN: ReadonlyMap<string, number> = new Map(
  INTERVAL.rows.map((row) => [row.start_group, row.not_repetitive_after_min]),
);
export const RESIDUAL: ReadonlyMap<number, Cells<number | null>> = new Map(
  RESIDUAL_TABLE.rows.map((row) => [row.depth_fsw, row.rnt_min]),
);
export const RESIDUAL_MARK: ReadonlyMap<number, Cells<string | undefined>> = new Map(
  RESIDUAL_TABLE.rows.map((row) => [row.depth_fsw, row.mark]),
);
export const WAIT_MIN: ReadonlyMap<string, Cells<number>> = new Map(
  ASCENT.rows.map((row) => [row.group, row.required_interval_min]),
);
export const ARRIVAL_GROUP: ReadonlyMap<number, string> = new Map(
  ALTITUDE.group_on_arrival.map((row) => [row.altitude_ft, row.group]),
);
export const HIGHEST_ALTITUDE_FT: number = ALTITUDE.max_altitude_ft;

export const LEAST_INTERVAL_MIN = 10;
export const DAGGER_ROW_FSW = 30;

/** The row a depth enters, in fsw: the least listed depth not shallower; null past the last. */
export function rowFor(depth: Depth): number | null {
  const fsw = depth.fswUp;
  for (const listed of DEPTHS_FSW) if (listed >= fsw) return listed;
  return null;
}

/** Table 9-7 no-stop limit of a row; null where the no-stop time is unlimited. */
export function noStopLimitMin(rowFsw: number): number | null {
  return ROWS.get(rowFsw)!.noStopLimitMin;
}

/** Longest time still within the limit when the table is entered `steps` columns longer; null: unlimited. */
export function limitWithStepsMin(rowFsw: number, steps: number): number | null {
  const row = ROWS.get(rowFsw)!;
  if (row.noStopLimitMin === null) return null;
  if (steps >= row.listed.length) return 0;
  return row.listed[row.listed.length - 1 - steps]![1];
}

/** Enter a row with an equivalent single dive time, `steps` columns longer than it needs. */
export function enter(rowFsw: number, timeMin: number, steps = 0): Entry {
  const row = ROWS.get(rowFsw)!;
  let column = 0;
  while (column < row.listed.length && row.listed[column]![1] < timeMin) column += 1;
  column += steps;
  if (column < row.listed.length) {
    const [group, listedMin] = row.listed[column]!;
    return { timeMin: listedMin, group, within: true };
  }
  return { timeMin: null, group: row.unlimitedGroup, within: row.unlimitedGroup !== null };
}

/** Repetitive group after an equivalent single dive time; null past the no-stop limit. */
export function groupAfter(rowFsw: number, timeMin: number, steps = 0): string | null {
  return enter(rowFsw, timeMin, steps).group;
}

/** Group at the end of a surface interval in whole minutes; null once no longer repetitive. */
export function groupAfterInterval(group: string, intervalMin: number): string | null {
  if (intervalMin < LEAST_INTERVAL_MIN) return group;
  for (const band of BANDS.get(group)!) if (intervalMin <= band.toMin) return band.newGroup;
  return null;
}

/** Residual nitrogen time at a row, and the row to use it on. */
export function residualNitrogenTime(group: string, rowFsw: number): Residual {
  const mark = RESIDUAL_MARK.get(rowFsw)![group];
  const row = mark === "use_30_fsw" ? DAGGER_ROW_FSW : rowFsw;
  const minutes = RESIDUAL.get(row)![group];
  if (minutes == null) {
    const what = `residual nitrogen time of group ${group} at ${row} fsw (undetermined in the table)`;
    return { minutes: missing(what), rowFsw: row };
  }
  return { minutes, rowFsw: row };
}

/** The later letter of two groups; null is lower than every group. */
export function higherGroup(a: string | null, b: string | null): string | null {
  if (a === null || b === null) return b === null ? a : b;
  return GROUPS.indexOf(b) > GROUPS.indexOf(a) ? b : a;
}

/** An altitude rounded up to the next 1,000 ft, as Tables 9-5 and 9-6 ask. */
export function altitudeRowFt(altitudeFt: number): number {
  return ceilDiv(altitudeFt, 1000) * 1000;
}

/** Table 9-6: minutes from surfacing before going `increaseFt` higher, 0 where none is asked. */
export function waitBeforeAltitudeMin(group: string, increaseFt: number): number | Missing {
  if (increaseFt <= 0) return 0;
  const row = altitudeRowFt(increaseFt);
  if (row > HIGHEST_ALTITUDE_FT) return missing(`a wait for more than ${HIGHEST_ALTITUDE_FT} ft (past the table)`);
  return WAIT_MIN.get(group)![String(row)]!;
}

/** Table 9-5: group on arrival `increaseFt` above the altitude one was used to; null for no rise. */
export function groupOnArrival(increaseFt: number): string | Missing | null {
  if (increaseFt <= 0) return null;
  const row = altitudeRowFt(increaseFt);
  if (row > HIGHEST_ALTITUDE_FT) {
    return missing(`a group on arrival more than ${HIGHEST_ALTITUDE_FT} ft higher (past the table)`);
  }
  return ARRIVAL_GROUP.get(row)!;
}
