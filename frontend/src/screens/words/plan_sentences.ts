/** The sentences of a plan: what would buy time, what if, who turns first, both methods, where the numbers come from. */
import type { BuysTime, Change, FlightAnswer, IntervalAnswer, PlanAnswer, PlanDiver, TripDive, TurnRule, WhatIf } from "./answers.ts";
import { clockTime, dayAndTime } from "./format.ts";
import { isUnknown, missingText, whoseLimit, wholeMinutes, type Known, type Limit, type LimitName } from "./plan.ts";
import { plain } from "./plain.ts";

type NameOf = (id: string) => string;

/** "Ana, in about 84 of 100 dives like this"; null where nothing is known of it. */
export function turnsFirst(plan: PlanAnswer, nameOf: NameOf): string | null {
  const first = plan.team.first_to_turn;
  if (first === undefined || first === null) return null;
  if (isUnknown(first)) return `not known: ${missingText(first.not_known, nameOf)}`;
  if (isUnknown(first.probability)) return nameOf(first.diver);
  return `${nameOf(first.diver)}, in about ${Math.round(first.probability * 100)} of 100 dives like this`;
}

/** How the usable gas, that above minimum gas, is parted. */
export const turnWords: Readonly<Record<TurnRule, string>> = {
  all_usable: "at minimum gas: all of the usable gas",
  halves: "halves: half of the usable gas out, half back",
  thirds: "thirds: a third out, a third back, a third kept",
};

/** By which rule the team turns; null where none was given. */
export function turnsBy(plan: PlanAnswer, dive: TripDive): string | null {
  const rule = plan.divers[0]?.turn_rule;
  if (rule === undefined || rule === null) return null;
  const along = dive.along_current;
  if (along === undefined || along === null || rule === "all_usable") return turnWords[rule];
  const out = along.first === "with" ? "with the current, so earlier: the way back is against it" : "against the current, so later: the way back is with it";
  return `${turnWords[rule]}; out ${out}`;
}

/** What a diver is counted to breathe, and whether their own log says so. */
export function breathes(diver: PlanDiver, nameOf: NameOf): string | null {
  if (diver.breathing === undefined) return null;
  const { planned_l_min: rate, log } = diver.breathing;
  if (isUnknown(rate)) return `not known: ${missingText(rate.not_known, nameOf)}`;
  const from = log === undefined ? "" : log.dives === 0 ? ", the club’s usual: no dive logged" : `, from ${log.dives} logged dive${log.dives === 1 ? "" : "s"}`;
  return `${amount(rate)} l a minute${from}`;
}

/** What a method allows: minutes rounded down, or why there are none. */
function methodMinutes(plan: PlanAnswer, name: LimitName, nameOf: NameOf): string {
  const limit = plan.team.limits[name];
  if (limit === undefined || limit === null) return "no limit";
  if (isUnknown(limit)) return `not known (${missingText(limit.not_known, nameOf)})`;
  const { min } = limit as Limit;
  if (isUnknown(min)) return `not known (${missingText(min.not_known, nameOf)})`;
  return min === null ? "no limit" : `${wholeMinutes(min)} min`;
}

/** Both no-stop limits side by side, and which of them the club lets govern. */
export function bothMethods(plan: PlanAnswer, method: "shorter" | "table" | "tissue", nameOf: NameOf): string {
  const governs = { shorter: "The shorter of the two governs.", table: "By the club’s setting the air table governs.", tissue: "By the club’s setting the tissue model governs." };
  return `No-stop limits: ${methodMinutes(plan, "tissue_no_stop", nameOf)} by the tissue model, ${methodMinutes(plan, "table_no_stop", nameOf)} by the air table. ${governs[method]}${factors(plan)}`;
}

/** The gradient factors, on every plan: a club may have changed them. */
function factors(plan: PlanAnswer): string {
  return plan.gf === undefined ? "" : ` Gradient factors ${Math.round(plan.gf[0] * 100)}/${Math.round(plan.gf[1] * 100)}.`;
}

/** The one line of where both no-stop limits come from. */
export function sourceOfLimits(sources: unknown): string | null {
  if (typeof sources !== "object" || sources === null) return null;
  const { table_no_stop, tissue_no_stop } = sources as Record<string, unknown>;
  const parts = [table_no_stop, tissue_no_stop].filter((one) => typeof one === "string");
  return parts.length === 0 ? null : `No-stop limits: ${parts.join("; ")}.`;
}

export interface BuysLine {
  readonly what: string;
  readonly result: string;
  readonly gain: string;
}

/** One change that was tried, what the limit would then be, and the gain; no gain is said as such. */
export function buysTimeSentence(one: BuysTime, now: Known<number | null>, nameOf: NameOf): BuysLine {
  const what = changeWords(one, nameOf);
  if (isUnknown(one.limit_min)) return { what, result: `not known: ${missingText(one.limit_min.not_known, nameOf)}`, gain: "" };
  if (one.limit_min === null) return { what, result: "no limit then", gain: "" };
  const gain = typeof one.gain_min === "number" ? one.gain_min : 0;
  // The difference of the two numbers that are shown, so that nobody finds another by subtracting them.
  const whole = typeof now === "number" ? wholeMinutes(one.limit_min) - wholeMinutes(now) : wholeMinutes(gain);
  return {
    what,
    result: `then not more than ${wholeMinutes(one.limit_min)} min${one.limited_by == null ? "" : ` (${whoseLimit(one.limited_by, one.limiting_diver ?? null, nameOf)})`}`,
    gain: gain <= 0 ? "does not help" : whole <= 0 ? "under 1 min" : `+${whole} min`,
  };
}

export interface WhatIfLine {
  readonly what: string;
  readonly limit: string;
  readonly note: string;
}

export function whatIfSentence(one: WhatIf, nameOf: NameOf): WhatIfLine {
  const what = changeWords(one, nameOf);
  if (one.refused !== undefined) return { what, limit: "not here", note: plain(one.refused.message, nameOf) };
  if (one.limit_min === undefined || one.limit_min === null) return { what, limit: "no limit", note: "" };
  if (isUnknown(one.limit_min)) return { what, limit: "not known", note: `Missing: ${missingText(one.limit_min.not_known, nameOf)}` };
  const minutes = wholeMinutes(one.limit_min);
  return {
    what,
    limit: minutes === 0 ? "no dive" : `not more than ${minutes} min`,
    note: whoseLimit(one.limited_by ?? null, one.limiting_diver ?? null, nameOf),
  };
}

/** One thing changed, in words: "Ana with a cylinder of 12 l", "3 m deeper (30 m)". */
export function changeWords(one: Change, nameOf: NameOf): string {
  const by = one.by === null || one.by === undefined ? "" : `${amount(one.by)} ${one.unit} `;
  const to = one.to === null || one.to === undefined ? "" : ` (${amount(one.to)} ${one.unit})`;
  const whose = one.diver === null || one.diver === undefined ? "" : `${nameOf(one.diver)}: `;
  switch (one.change) {
    case "larger_cylinder":
      return `${whose}a cylinder of ${amount(one.to ?? 0)} ${one.unit}`;
    case "shallower":
    case "deeper":
    case "longer":
      return `${by}${one.change}${to}`;
    case "longer_interval":
      return `${by}more on the surface before it`;
    case "shorter_interval":
      return `${by}less on the surface before it`;
    case "easier_work":
      return "easier work";
    case "fixed_line":
      return "pulling along a fixed line instead of swimming";
    case "fuller_fill":
      return `${whose}a fill to ${amount(one.to ?? 0)} ${one.unit}, analysed again`;
    case "without":
      return `without ${nameOf(one.diver ?? "")}`;
    case "other_partner":
      return `${nameOf(one.with ?? "")} in place of ${nameOf(one.diver ?? "")}`;
    case "other_gas":
      return `${amount((one.to ?? 0) * 100)} % oxygen, analysed by each diver`;
    default:
      return `${whose}${one.change.replaceAll("_", " ")}${to}`;
  }
}

function amount(value: number): string {
  return String(Math.round(value * 10) / 10);
}

/** "Not less than 53 min on the surface, by the table for Ana; ...", or why there is none; null where it was not asked. */
export function intervalSentence(interval: Known<IntervalAnswer> | null | undefined, nameOf: NameOf): string | null {
  if (interval === undefined || interval === null) return null;
  if (isUnknown(interval)) return `Not known: ${missingText(interval.not_known, nameOf)}.`;
  if (interval.none !== undefined) return `No wait helps: ${plain(interval.none, nameOf)}`;
  if (interval.min === undefined) return null;
  return interval.message === undefined ? `${Math.ceil(interval.min)} min` : plain(interval.message, nameOf);
}

/** "Without Ana: 41 min", "Cem in place of Ana: 25 min": only where it is less than for the whole team. */
export function withoutSentences(interval: Known<IntervalAnswer> | null | undefined, nameOf: NameOf): string[] {
  if (interval === undefined || interval === null || isUnknown(interval)) return [];
  const whole = interval.min;
  return (interval.without ?? []).flatMap((one) => {
    if (one.min === undefined || (whole !== undefined && one.min >= whole)) return [];
    const who = one.with === null ? `Without ${nameOf(one.without)}` : `${nameOf(one.with)} in place of ${nameOf(one.without)}`;
    return [`${who}: ${one.min === 0 ? "no wait" : `${one.min} min`}`];
  });
}

/** One of the three changes as one sentence; an answer kept from before has none, and gets it from its numbers. */
export function whatIfPlain(one: WhatIf, nameOf: NameOf): string {
  if (one.message !== undefined) return plain(one.message, nameOf);
  const { what, limit, note } = whatIfSentence(one, nameOf);
  return `${what}: ${limit}${note === "" ? "" : `, ${note}`}.`;
}

/** "must be out by Sat 12 Jun, 15:30; this dive is out at 14:20", for a dive that begins at `down` (ms). */
export function outBySentence(flight: FlightAnswer, down: number, zone: string, nameOf: NameOf): string {
  const latest = flight.latest_surfacing_min;
  if (isUnknown(latest)) return `not known: ${missingText(latest.not_known, nameOf)}`;
  return `must be out by ${dayAndTime(down + latest * 60_000, zone)}; this dive is out at ${clockTime(down + flight.surfaces_min * 60_000, zone)}`;
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

