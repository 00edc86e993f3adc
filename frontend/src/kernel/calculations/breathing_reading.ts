// How divers breathe, as the bodies of `plan` and `teams` write it: the club's model, the group, a diver's own log.
// The twin of calculations/breathing_reading.py.

import { type Breathing, PUBLISHED, WORK, currentMultiplier, workMultiplier } from "../physics/breathing.ts";
import type { Rmv } from "../physics/diver.ts";
import { type Group, USUAL_BETWEEN, USUAL_WITHIN, rateFromLog } from "../physics/rmv_log.ts";
import { type Fields, type Json, numberAt } from "./body.ts";
import { pointer } from "./problem.ts";

const MOST_POINTS = 12;
const MOST_DIVES = 200;
/** L/min at the surface. */
const RATE = [4.0, 120.0] as const;
const MULTIPLIER = [0.5, 8.0] as const;
const SPREAD = [0.01, 1.0] as const;
const FASTEST_KN = 5.0;

/** What the top level says of breathing: the model, the group's rate, the margin where no spread is known. */
export interface BreathingReading {
  readonly model: Breathing;
  readonly group: Group | null;
  readonly marginPercent: number | null;
}

/** The club's own multipliers; what it does not give stays as published. */
export function readBreathing(fields: Fields | null): Breathing {
  if (fields === null) return PUBLISHED;
  const work = readWork(fields.fieldsOrNull("work"));
  const swimming = readSwimming(fields);
  fields.close();
  return { work, swimming, own: true };
}

function readWork(fields: Fields | null): readonly number[] {
  if (fields === null) return PUBLISHED.work;
  const found: number[] = [];
  WORK.forEach((name, i) => {
    const value = fields.numberOrNull(name, MULTIPLIER[0], MULTIPLIER[1]) ?? PUBLISHED.work[i]!;
    if (found.length > 0 && value < found[found.length - 1]!) {
      fields.fail(name, "out_of_order", "Harder work never needs less gas than easier work.");
    }
    found.push(value);
  });
  fields.close();
  return found;
}

/** [[knots, multiplier], ...], both rising: faster never needs less gas. */
function readSwimming(fields: Fields): readonly (readonly [number, number])[] {
  const at = fields.pointer("swimming");
  const items = fields.arrayOrNull("swimming", 1, MOST_POINTS);
  const read: [number, number][] = [];
  (items ?? []).forEach((item, i) => {
    const here = pointer(at, i);
    if (!Array.isArray(item) || item.length !== 2) {
      fields.errors.add(here, "wrong_type", "Each point is [knots, multiplier].");
      return;
    }
    const pair: readonly Json[] = item;
    const knots = numberAt(fields.errors, pointer(here, 0), pair[0]!, 0, FASTEST_KN, "knots");
    const by = numberAt(fields.errors, pointer(here, 1), pair[1]!, MULTIPLIER[0], MULTIPLIER[1]);
    if (knots === null || by === null) return;
    const last = read[read.length - 1];
    if (last !== undefined && knots <= last[0]) {
      fields.errors.add(pointer(here, 0), "out_of_order", "Each speed is above the one before it.");
    }
    if (last !== undefined && by < last[1]) {
      fields.errors.add(pointer(here, 1), "out_of_order", "A faster swim never needs less gas than a slower one.");
    }
    read.push([knots, by]);
  });
  return read.length > 0 ? read : PUBLISHED.swimming;
}

/** The club's own group: its median rate, and how much its divers and the dives of one diver differ. */
export function readRmvGroup(fields: Fields | null): Group | null {
  if (fields === null) return null;
  const median = fields.number("mean_l_min", RATE[0], RATE[1], "L/min");
  const between = fields.numberOrNull("between_divers", SPREAD[0], SPREAD[1]);
  const within = fields.numberOrNull("between_dives", SPREAD[0], SPREAD[1]);
  fields.close();
  return { median, between: between ?? USUAL_BETWEEN, within: within ?? USUAL_WITHIN };
}

/** A diver's rate: stated, or from the log (`rmv_log`) drawn towards the group; without either not known. */
export function readRmv(fields: Fields, breathing: BreathingReading): Rmv {
  const own = fields.numberOrNull("gas_margin_percent", 0, 200, "percent");
  const marginPercent = own ?? breathing.marginPercent;
  const mean = fields.numberOrNull("rmv_l_min", RATE[0], RATE[1], "L/min");
  const sd = fields.numberOrNull("rmv_sd_l_min", 0, 60, "L/min");
  const rates = readLog(fields, breathing.model);
  if (rates === null) return { mean, sd, marginPercent, log: null };
  if (fields.has("rmv_l_min") || fields.has("rmv_sd_l_min")) {
    fields.fail("rmv_log", "not_allowed", "Give the log or rmv_l_min and its spread, not both.");
  }
  if (breathing.group === null) {
    fields.errors.add(
      "/rmv_group",
      "required",
      "Give the group's rate (mean_l_min): a diver's log of few dives is drawn towards it.",
    );
    return { mean: null, sd: null, marginPercent, log: null };
  }
  const found = rateFromLog(rates, breathing.group);
  return { mean: found.median, sd: found.median * found.spread, marginPercent, log: found };
}

/** Rates of past dives with their work and current taken out; `[]` is a diver without a dive. null when absent. */
function readLog(fields: Fields, model: Breathing): number[] | null {
  const items = fields.listOfFieldsOrNull("rmv_log", 0, MOST_DIVES);
  if (items === null) return null;
  return items.map((item) => {
    const rate = item.number("rmv_l_min", RATE[0], RATE[1], "L/min");
    const work = item.choiceOrNull("work", WORK) ?? "moderate";
    const currentKn = item.numberOrNull("current_kn", 0, 10, "knots") ?? 0.0;
    const current = currentMultiplier(currentKn, model);
    if (current === null) {
      item.fail("current_kn", "out_of_range", "The breathing model has no figure for this current.");
    }
    item.close();
    return rate / (workMultiplier(work, model) * (current ?? 1.0));
  });
}
