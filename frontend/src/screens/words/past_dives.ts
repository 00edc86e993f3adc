/** Dives done before, as typed and as shown: each with everything it asked at the same time. */
import { hundredths, number, showDepth, whole, type System } from "./units.ts";

export interface DoneDive {
  readonly depth: number;
  readonly current_kn?: number;
  readonly visibility_m?: number;
  readonly water_temp_c?: number;
  readonly night?: boolean;
  readonly task?: { readonly kind: string; readonly level: number } | null;
  readonly site_kind?: readonly string[];
  readonly count: number;
  readonly on: string;
}

export interface Experience {
  readonly dives?: number;
  readonly last_dive?: string;
  readonly dives_last_year?: number;
  readonly done?: readonly DoneDive[];
}

export interface TypedPast {
  readonly depth: string;
  readonly count: string;
  readonly on: string;
  readonly current: string;
  readonly visibility: string;
  readonly temperature: string;
  readonly night: boolean;
  readonly task: string;
  readonly level: string;
  /** Words with commas between them; a draft of an older version has none. */
  readonly siteKind?: string;
}

/** "27 m, 0.5 kn, 8 m visibility, 12 °C, survey level 3". */
export function pastLine(dive: DoneDive, unit: "m" | "ft", system: System): string {
  const parts = [
    showDepth({ unit, hundredths: Math.floor(dive.depth * 100 + 1e-6) }, system, "shallower"),
    dive.current_kn === undefined ? "" : `${dive.current_kn} kn`,
    dive.visibility_m === undefined ? "" : `${dive.visibility_m} m visibility`,
    dive.water_temp_c === undefined ? "" : `${dive.water_temp_c} °C`,
    dive.night === true ? "after dark" : "",
    dive.task === undefined || dive.task === null ? "" : `${dive.task.kind} level ${dive.task.level}`,
    ...(dive.site_kind ?? []),
  ];
  return parts.filter((part) => part !== "").join(", ");
}

export function mistakesInPast(typed: TypedPast): Partial<Record<keyof TypedPast, string>> {
  const mistakes: Partial<Record<keyof TypedPast, string>> = {};
  if ((hundredths(typed.depth) ?? 0) === 0) mistakes.depth = "Give the deepest point, such as 27.";
  if ((whole(typed.count) ?? 0) === 0) mistakes.count = "Give a whole number, at least 1.";
  if (!/^\d{4}-\d{2}-\d{2}$/.test(typed.on)) mistakes.on = "Give the day of the latest of them.";
  for (const field of ["current", "visibility", "temperature"] as const) {
    if (typed[field].trim() !== "" && number(typed[field]) === null) mistakes[field] = "A number, or leave it empty.";
  }
  return mistakes;
}

export function pastBody(typed: TypedPast, unit: "m" | "ft"): Readonly<Record<string, unknown>> {
  return {
    on: typed.on,
    count: whole(typed.count),
    depth: { unit, hundredths: hundredths(typed.depth) },
    current_kn: number(typed.current),
    visibility_m: number(typed.visibility),
    water_temp_c: number(typed.temperature),
    night: typed.night,
    task: typed.task.trim() === "" ? null : { kind: typed.task.trim(), level: Number(typed.level) },
    site_kind: wordsOf(typed.siteKind),
  };
}

/** The words of a list typed with commas. */
export function wordsOf(typed = ""): string[] {
  return typed
    .split(/[,;/+]/)
    .map((word) => word.trim())
    .filter((word) => word !== "");
}
