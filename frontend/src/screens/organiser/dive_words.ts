/** A dive as typed, what is wrong with it, and the body that is sent. */
import type { Trip, TripDive } from "../words/answers.ts";
import { wordsOf } from "../words/past_dives.ts";
import { depthUnit, hundredths, number, whole, type System } from "../words/units.ts";
import { instantIn, typedIn } from "./trip_words.ts";

export interface TypedDive {
  readonly site: { readonly id: string; readonly name: string };
  readonly unit: "m" | "ft";
  readonly depth: string;
  readonly bottomTime: string;
  readonly plannedAt: string;
  readonly wayBack: "same_point" | "free_ascent";
  readonly work: string;
  readonly current: string;
  readonly visibility: string;
  readonly temperature: string;
  readonly night: boolean;
  readonly task: string;
  readonly level: string;
  /** Words with commas between them; a draft of an older version has none. */
  readonly siteKind?: string;
  /** "" as usual: halves on a way back, else all usable gas. */
  readonly turnRule?: string;
  /** "" not along a current. */
  readonly along?: string;
  readonly swim?: string;
  readonly unitMin?: string;
}

/** A dive that is there is edited in the unit it was typed in: the number typed is what finds the row of the table. */
export function typedOf(dive: TripDive | null, trip: Trip, system: System): TypedDive {
  if (dive === null) {
    const day = typedIn(trip.time_zone, trip.starts_at);
    return { site: { id: "", name: "" }, unit: depthUnit(system), depth: "", bottomTime: "", plannedAt: day, wayBack: "free_ascent", work: "moderate", current: "", visibility: "", temperature: "", night: false, task: "", level: "3", siteKind: "", turnRule: "", along: "", swim: "", unitMin: "" };
  }
  const { demands } = dive;
  return {
    site: { id: dive.site?.id ?? "", name: "" },
    unit: dive.depth.unit,
    depth: String(dive.depth.hundredths / 100),
    bottomTime: String(Math.floor(dive.bottom_time_s / 60)),
    plannedAt: typedIn(trip.time_zone, dive.planned_at),
    wayBack: dive.return,
    work: dive.work,
    current: text(demands.current_kn),
    visibility: text(demands.visibility_m),
    temperature: text(demands.water_temp_c),
    night: demands.night ?? false,
    task: demands.task?.kind ?? "",
    level: String(demands.task?.level ?? 3),
    siteKind: (demands.site_kind ?? []).join(", "),
    turnRule: dive.turn_rule ?? "",
    along: dive.along_current?.first ?? "",
    swim: text(dive.along_current?.swim_kn),
    unitMin: text(dive.task_unit_min),
  };
}

export type Mistakes = Partial<Record<keyof TypedDive, string>>;

export function mistakesIn(typed: TypedDive): Mistakes {
  const mistakes: Mistakes = {};
  const depth = hundredths(typed.depth);
  if (depth === null || depth === 0) mistakes.depth = `Give the depth in ${typed.unit === "m" ? "metres, such as 27" : "feet, such as 90"}.`;
  const time = whole(typed.bottomTime);
  if (time === null || time === 0) mistakes.bottomTime = "Give whole minutes, such as 17.";
  if (typed.current.trim() !== "" && !atLeast(typed.current, 0)) mistakes.current = "Knots as a number, such as 0.5; 0 for none.";
  if (typed.visibility.trim() !== "" && !atLeast(typed.visibility, 0)) mistakes.visibility = "Metres as a number, such as 8.";
  if (typed.temperature.trim() !== "" && number(typed.temperature) === null) mistakes.temperature = "Degrees Celsius as a number, such as 12.";
  if (goesAlong(typed) && !atLeast(typed.swim ?? "", 0.1)) mistakes.swim = "Knots as a number from 0.1, such as 0.7.";
  if (goesAlong(typed) && typed.current.trim() === "") mistakes.current = "Give the current: the turn is counted from it.";
  const unit = typed.unitMin ?? "";
  if (hasUnits(typed) && unit.trim() !== "" && (whole(unit) ?? 0) === 0) mistakes.unitMin = "Whole minutes, such as 6, or leave it empty.";
  return mistakes;
}

/** The body of POST and PATCH; call it only when `mistakesIn` finds none. */
export function bodyOf(typed: TypedDive, zone: string, site: string | null): Readonly<Record<string, unknown>> {
  return {
    site,
    depth: { unit: typed.unit, hundredths: hundredths(typed.depth) },
    bottom_time_s: (whole(typed.bottomTime) ?? 0) * 60,
    planned_at: instantIn(zone, typed.plannedAt),
    work: typed.work,
    return: typed.wayBack,
    turn_rule: typed.turnRule === "" ? null : (typed.turnRule ?? null),
    along_current: goesAlong(typed) ? { first: typed.along, swim_kn: number(typed.swim ?? "") } : null,
    task_unit_min: hasUnits(typed) ? whole(typed.unitMin ?? "") : null,
    demands: {
      current_kn: number(typed.current),
      visibility_m: number(typed.visibility),
      water_temp_c: number(typed.temperature),
      night: typed.night,
      task: typed.task.trim() === "" ? null : { kind: typed.task.trim(), level: Number(typed.level) },
      site_kind: wordsOf(typed.siteKind),
    },
  };
}

/** A way along the current is asked for where the dive ends where it began. */
export function goesAlong(typed: TypedDive): boolean {
  return typed.wayBack === "same_point" && (typed.along ?? "") !== "";
}

function hasUnits(typed: TypedDive): boolean {
  return typed.task.trim() !== "";
}

function atLeast(typed: string, least: number): boolean {
  const value = number(typed);
  return value !== null && value >= least;
}

function text(value: number | null | undefined): string {
  return value === null || value === undefined ? "" : String(value);
}
