/** What a team's plan says, in the words of the screen. The shapes are those of the answer of POST /api/plan. */
import { limitWords, names as together } from "./format.ts";
import { plain } from "./plain.ts";

export interface Unknown {
  readonly not_known: readonly string[];
}
export type Known<T> = T | Unknown;

export type LimitName = "table_no_stop" | "tissue_no_stop" | "gas" | "oxygen" | "certified_depth" | "planned";

export interface Limit {
  readonly min: Known<number | null>;
  readonly diver?: string | null;
  readonly reason?: string;
  readonly unlimited?: boolean;
}
export type Limits = Readonly<Partial<Record<LimitName, Limit | Unknown | null>>>;

export function isUnknown(value: unknown): value is Unknown {
  return typeof value === "object" && value !== null && Array.isArray((value as Unknown).not_known);
}

export const limitNames: readonly LimitName[] = ["tissue_no_stop", "table_no_stop", "gas", "oxygen", "certified_depth", "planned"];

/** The name of a limit at the head of a line. */
export const limitTitles: Readonly<Record<string, string>> = {
  tissue_no_stop: "No-stop limit, tissue model",
  table_no_stop: "No-stop limit, air table",
  gas: "Gas",
  oxygen: "Oxygen",
  certified_depth: "Certified depth",
  planned: "Planned bottom time",
};

/** Whole minutes, never more than there are: 16.9 is 16. */
export function wholeMinutes(min: number): number {
  return Math.max(0, Math.floor(min + 1e-9));
}

export type LimitLine =
  | { readonly name: LimitName; readonly kind: "minutes"; readonly minutes: number; readonly exact: number; readonly diver: string | null; readonly reason: string | null }
  | { readonly name: LimitName; readonly kind: "none"; readonly diver: string | null; readonly reason: string | null }
  | { readonly name: LimitName; readonly kind: "not_known"; readonly missing: readonly string[]; readonly diver: string | null; readonly reason: string | null };

/** Every limit of an answer: what is not known first (it is what someone can mend), then the shortest first. */
export function limitLines(limits: Limits): LimitLine[] {
  const lines: LimitLine[] = [];
  for (const name of limitNames) {
    const limit = limits[name];
    if (limit === undefined) continue;
    if (limit === null) lines.push({ name, kind: "none", diver: null, reason: null });
    else if (isUnknown(limit)) lines.push({ name, kind: "not_known", missing: limit.not_known, diver: null, reason: null });
    else {
      const diver = limit.diver ?? null;
      const reason = limit.reason ?? null;
      if (isUnknown(limit.min)) lines.push({ name, kind: "not_known", missing: limit.min.not_known, diver, reason });
      else if (typeof limit.min === "number") lines.push({ name, kind: "minutes", minutes: wholeMinutes(limit.min), exact: limit.min, diver, reason });
      else lines.push({ name, kind: "none", diver, reason });
    }
  }
  return lines.sort((a, b) => rank(a) - rank(b));
}

function rank(line: LimitLine): number {
  if (line.kind === "not_known") return -1;
  return line.kind === "minutes" ? line.exact : 1e9;
}

/** "Ana: gas", "the planned bottom time", "Ben: the table's no-stop limit". */
export function whoseLimit(by: string | null, diver: string | null, nameOf: (id: string) => string): string {
  const what = by === null ? "the limit" : (limitWords[by] ?? by.replaceAll("_", " "));
  return by === "planned" || diver === null ? what : `${nameOf(diver)}: ${what}`;
}

/** "not more than 17 min (Ana: gas)". */
export function limitSentence(
  min: Known<number | null> | undefined,
  by: string | null,
  diver: string | null,
  nameOf: (id: string) => string,
): string {
  if (min === undefined) return "limit not worked out yet";
  if (isUnknown(min)) return `limit not known: ${missingText(min.not_known, nameOf)}`;
  if (min === null) return "no limit inside this plan";
  return `not more than ${wholeMinutes(min)} min (${whoseLimit(by, diver, nameOf)})`;
}

/** What is missing, said as a person would ask for it; ids become names. */
export function missingText(what: readonly string[], nameOf: (id: string) => string = (id) => id): string {
  return together(what.map((one) => missingWord(one, nameOf)));
}

const missingWords: Readonly<Record<string, string>> = {
  start_pressure: "start pressure",
  rmv_l_min: "breathing rate (RMV)",
  rmv: "breathing rate (RMV)",
  rmv_sd_l_min: "spread of the breathing rate",
  gas_margin_percent: "gas margin",
  analysis: "analysis of the gas by its diver",
  earlier_dives: "dives of the last day",
  last_dive: "date of the last dive",
  certified_depth: "certified depth",
  born: "date of birth",
  fitness: "fitness declaration",
  cylinders: "cylinder",
  volume: "cylinder size",
  working_pressure: "working pressure of the cylinder",
  return: "way back (same point or free ascent)",
  experience: "logged dives",
};

/** A sentence stays one, without the name of a field behind it; a bare field name becomes words. */
function missingWord(what: string, nameOf: (id: string) => string): string {
  const last = what.split(/[/.]/).at(-1) ?? what;
  const known = missingWords[what] ?? missingWords[last];
  if (known !== undefined) return known;
  const text = what.replace(/ \([a-z0-9_ ,%]+\)/g, (found) => (found.includes("_") ? "" : found)).replace(/: [a-z0-9]+(?:_[a-z0-9]+)+$/, "").replace(/^\//, "");
  const words = text.includes(" ") ? text : text.replaceAll("/", ", ").replaceAll("_", " ");
  return plain(words, nameOf, false);
}
