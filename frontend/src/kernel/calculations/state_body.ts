// A diver's state as the answer of `day` writes it and `state_before` gives it back. The twin of
// calculations/state_body.py.

import { type Carried, OXYGEN_NOT_GIVEN } from "../physics/carried.ts";
import type { Exposure } from "../physics/exposure.ts";
import { Missing, isMissing, missing } from "../physics/known.ts";
import { type Group, JOIN_S } from "../physics/nitrogen.ts";
import type { Breathed } from "../physics/no_fly.ts";
import { scaledUp } from "../physics/rounding.ts";
import { GROUPS } from "../physics/tables.ts";
import { COUNT } from "../physics/tissues.ts";
import type { Fields, Json } from "./body.ts";
import { LONGEST_INTERVAL_MIN, readIntervalS } from "./reading.ts";

const GASES = ["air", "nitrox", "helium"] as const;
const GAS_NOT_GIVEN = missing("gas of the dives before");
const MOST_GROUPS = 200;
const HIGHEST_E9 = 20_000_000_000;
const HIGHEST_ALTITUDE_FT = 10_000;
const MOST_AGO_S = 400 * 86_400;
const MOST_EXPOSURES = 1000;
const SHARE_E9 = 1_000_000_000;
const HIGHEST_SHARE_E9 = 1_000_000_000_000_000;

/** The state on surfacing from the last dive, ready for `state_before`. */
export function stateJson(kept: Carried): Json {
  return {
    tensions_e9: isMissing(kept.tensionsE9) ? kept.tensionsE9.asJson() : [...kept.tensionsE9],
    groups: kept.groups.map(([group, beforeS]) => ({
      group: isMissing(group) ? group.asJson() : group,
      before_s: beforeS,
    })),
    beyond: kept.beyond,
    altitude_ft: kept.altitudeFt,
    beyond_ago_s: kept.beyondAgoS,
    gas: kept.breathed === "not_known" ? GAS_NOT_GIVEN.asJson() : kept.breathed,
    oxygen: isMissing(kept.oxygen) ? kept.oxygen.asJson() : kept.oxygen.map(exposureJson),
  };
}

function exposureJson(made: Exposure): Json {
  return {
    start_before_s: 0 - made.startS,
    end_before_s: 0 - made.endS,
    single_e9: shareJson(made.single),
    day_e9: shareJson(made.day),
    otu_e9: shareJson(made.otu),
  };
}

function shareJson(share: number | Missing): Json {
  return isMissing(share) ? share.asJson() : scaledUp(share, SHARE_E9);
}

/** `state_before`: a state with `minutes_before_descent`, from that surfacing to the coming descent in seconds. */
export function readStateBefore(fields: Fields | null): readonly [Carried, number] | null {
  if (fields === null) return null;
  const tensionsE9 = readTensions(fields);
  const groups = fields.listOfFields("groups", 1, MOST_GROUPS).map(readGroup);
  const disordered = groups.some(([, s], i) => s < (i + 1 < groups.length ? groups[i + 1]![1] : 0));
  if (fields.errors.found.length === 0 && (disordered || groups[groups.length - 1]![1] !== 0)) {
    const message = "Give the oldest group first; the last is that of surfacing, 0 s before.";
    fields.fail("groups", "out_of_order", message);
  }
  if (!fields.has("beyond")) fields.required("beyond", "Give true or false, as the state had it.");
  const beyond = fields.flag("beyond");
  const altitudeFt = fields.integer("altitude_ft", 0, HIGHEST_ALTITUDE_FT, "ft");
  const agoS = fields.integerOrNull("beyond_ago_s", 0, MOST_AGO_S, "seconds");
  const oxygen = readExposures(fields);
  const breathed = readGasBefore(fields, tensionsE9);
  const waitedS = readIntervalS(fields, "minutes_before_descent");
  if (fields.has("minutes_before_descent") && waitedS < JOIN_S) {
    const message = "Under ten minutes is one dive with the last: give that dive itself in dives.";
    fields.fail("minutes_before_descent", "out_of_range", message);
  }
  fields.close();
  const beyondAgoS = agoS ?? (beyond ? 0 : null);
  return [{ tensionsE9, groups, beyond, altitudeFt, beyondAgoS, oxygen, breathed }, waitedS];
}

/** `gas`: of the gases of the dives before, the one of which least is published for flying; absent: not known. */
function readGasBefore(fields: Fields, tensions: readonly number[] | Missing): Breathed {
  if (!isMissing(tensions) && tensions.length > COUNT) {
    fields.get("gas");
    return "helium";
  }
  if (readMissing(fields, "gas") !== null) return "not_known";
  return fields.choiceOrNull("gas", GASES) ?? "not_known";
}

function readTensions(fields: Fields): readonly number[] | Missing {
  const unknown = readMissing(fields, "tensions_e9");
  if (unknown !== null) return unknown;
  const items = fields.array("tensions_e9", COUNT, 2 * COUNT);
  const read = fields.numbers("tensions_e9", items, 0, HIGHEST_E9, "1e-9 bar");
  const whole = read.map((x) => Math.trunc(x));
  if (whole.some((x, i) => x !== read[i])) {
    fields.fail("tensions_e9", "wrong_type", "Must be whole numbers of 1e-9 bar.");
  } else if (items.length > 0 && items.length !== COUNT && items.length !== 2 * COUNT) {
    fields.fail("tensions_e9", "out_of_range", "Must be 16 tensions of nitrogen, or 16 and 16 of helium.");
  } else if (whole.slice(0, COUNT).some((x) => x === 0)) {
    fields.fail("tensions_e9", "out_of_range", "A nitrogen tension is above 0.");
  }
  return whole;
}

/** `oxygen`: the exposures behind the state, the oldest first; absent: not known. */
function readExposures(fields: Fields): readonly Exposure[] | Missing {
  const unknown = readMissing(fields, "oxygen");
  if (unknown !== null) return unknown;
  const items = fields.listOfFieldsOrNull("oxygen", 0, MOST_EXPOSURES);
  if (items === null) return OXYGEN_NOT_GIVEN;
  const found = items.map(readExposure);
  const times = found.flatMap((made) => [made.startS, made.endS]);
  if (fields.errors.found.length === 0 && times.some((at, i) => i > 0 && at < times[i - 1]!)) {
    const message = "Give the oldest exposure first; each ends before the next starts.";
    fields.fail("oxygen", "out_of_order", message);
  }
  return found;
}

function readExposure(fields: Fields): Exposure {
  const startS = 0 - fields.integer("start_before_s", 0, MOST_AGO_S, "seconds");
  const endS = 0 - fields.integer("end_before_s", 0, MOST_AGO_S, "seconds");
  const single = readShare(fields, "single_e9");
  const day = readShare(fields, "day_e9");
  const otu = readShare(fields, "otu_e9");
  fields.close();
  return { position: -1, startS, endS, ppo2Bar: OXYGEN_NOT_GIVEN, single, day, otu };
}

function readShare(fields: Fields, name: string): number | Missing {
  return readMissing(fields, name) ?? fields.integer(name, 0, HIGHEST_SHARE_E9, "1e-9") / SHARE_E9;
}

function readGroup(fields: Fields): readonly [Group, number] {
  const group = readMissing(fields, "group") ?? fields.choice("group", GROUPS);
  const beforeS = fields.integer("before_s", 0, LONGEST_INTERVAL_MIN * 60, "seconds");
  fields.close();
  return [group, beforeS];
}

/** `{"not_known": [...]}` in a value's place. */
function readMissing(fields: Fields, name: string): Missing | null {
  const value = fields.get(name);
  if (typeof value !== "object" || value === null || Array.isArray(value)) return null;
  const inner = fields.fields(name);
  const items = inner.array("not_known", 1, 100);
  inner.close();
  const what = items.filter(isText);
  if (what.length < items.length) {
    inner.fail("not_known", "wrong_type", "Must be a list of texts, each 1 to 200 characters.");
  }
  return new Missing(what);
}

function isText(item: Json): item is string {
  return typeof item === "string" && item.length >= 1 && [...item].length <= 200;
}
