/** The sentences of a plan: what would buy time, what if, who turns first, both methods, where the numbers come from. */
import type { BuysTime, PlanAnswer, WhatIf } from "./answers.ts";
import { isUnknown, missingText, whoseLimit, wholeMinutes, type Limit, type LimitName } from "./plan.ts";

type NameOf = (id: string) => string;

/** "Ana, in about 84 of 100 dives like this"; null where nothing is known of it. */
export function turnsFirst(plan: PlanAnswer, nameOf: NameOf): string | null {
  const first = plan.team.first_to_turn;
  if (first === undefined || first === null) return null;
  if (isUnknown(first)) return `not known: ${missingText(first.not_known)}`;
  return `${nameOf(first.diver)}, in about ${Math.round(first.probability * 100)} of 100 dives like this`;
}

/** What a method allows: minutes rounded down, or why there are none. */
function methodMinutes(plan: PlanAnswer, name: LimitName): string {
  const limit = plan.team.limits[name];
  if (limit === undefined || limit === null) return "no limit";
  if (isUnknown(limit)) return `not known (${missingText(limit.not_known)})`;
  const { min } = limit as Limit;
  if (isUnknown(min)) return `not known (${missingText(min.not_known)})`;
  return min === null ? "no limit" : `${wholeMinutes(min)} min`;
}

/** Both no-stop limits side by side, and which of them the club lets govern. */
export function bothMethods(plan: PlanAnswer, method: "shorter" | "table" | "tissue"): string {
  const governs = { shorter: "The shorter of the two governs.", table: "By the club’s setting the air table governs.", tissue: "By the club’s setting the tissue model governs." };
  return `No-stop limits: ${methodMinutes(plan, "tissue_no_stop")} by the tissue model, ${methodMinutes(plan, "table_no_stop")} by the air table. ${governs[method]}`;
}

export interface BuysLine {
  readonly what: string;
  readonly result: string;
  readonly gain: string;
}

/** One change that was tried, what the limit would then be, and the gain; no gain is said as such. */
export function buysTimeSentence(one: BuysTime, nameOf: NameOf): BuysLine {
  const what = one.message ?? changeWords(one.change, one.diver ?? null, nameOf);
  if (isUnknown(one.limit_min) || one.limit_min === null) return { what, result: isUnknown(one.limit_min) ? `not known: ${missingText(one.limit_min.not_known)}` : "no limit then", gain: "" };
  const gain = typeof one.gain_min === "number" ? one.gain_min : 0;
  const whole = wholeMinutes(gain);
  return {
    what,
    result: `then not more than ${wholeMinutes(one.limit_min)} min`,
    gain: gain <= 0 ? "does not help" : whole === 0 ? "under 1 min" : `+${whole} min`,
  };
}

export interface WhatIfLine {
  readonly what: string;
  readonly limit: string;
  readonly note: string;
}

export function whatIfSentence(one: WhatIf, nameOf: NameOf): WhatIfLine {
  const what = one.message ?? changeWords(one.change, null, nameOf);
  if (isUnknown(one.limit_min)) return { what, limit: "not known", note: missingText(one.limit_min.not_known) };
  if (one.limit_min === null) return { what, limit: "no limit", note: "" };
  const minutes = wholeMinutes(one.limit_min);
  return {
    what,
    limit: minutes === 0 ? "no dive" : `not more than ${minutes} min`,
    note: whoseLimit(one.limited_by, one.diver ?? null, nameOf),
  };
}

const changes: Readonly<Record<string, string>> = {
  deeper: "One step deeper than planned",
  longer: "Longer than planned",
  shorter_interval: "A shorter surface interval",
  shorter_surface_interval: "A shorter surface interval",
  shallower: "A shallower dive",
  larger_cylinder: "a larger cylinder",
  longer_interval: "A longer surface interval before it",
  easier_work: "Easier work",
};

function changeWords(change: string, diver: string | null, nameOf: NameOf): string {
  const words = changes[change] ?? change.replaceAll("_", " ");
  return diver === null ? words : `${nameOf(diver)}: ${words}`;
}

/** "not less than 53 min", or why there is none; null where it was not asked. */
export function intervalSentence(plan: PlanAnswer): string | null {
  const interval = plan.surface_interval;
  if (interval === undefined || interval === null) return null;
  if (isUnknown(interval)) return `not known: ${missingText(interval.not_known)}`;
  if (interval.none !== undefined) return interval.none;
  return interval.min === undefined ? null : `${Math.ceil(interval.min)} min`;
}

/** Each source once, as a line; whatever the shape: a text, a list, or one source for each number. */
export function sourceLines(sources: unknown): string[] {
  const lines = new Set<string>();
  const take = (value: unknown, label: string | null): void => {
    if (typeof value === "string") lines.add(label === null ? value : `${label}: ${value}`);
    else if (Array.isArray(value)) for (const one of value) take(one, label);
    else if (typeof value === "object" && value !== null) {
      const { source, what, number, rule } = value as Record<string, unknown>;
      const head = [what, number, rule].find((one) => typeof one === "string");
      if (typeof source === "string") lines.add(typeof head === "string" ? `${words(head)}: ${source}` : source);
      else for (const [key, one] of Object.entries(value)) take(one, words(key));
    }
  };
  take(sources, null);
  return [...lines];
}

function words(key: string): string {
  return key.replaceAll("_", " ");
}

