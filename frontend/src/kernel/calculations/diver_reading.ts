// A diver as the bodies of `plan` and `teams` write one: qualification, breathing, cylinder, gas, earlier dives.
// The twin of calculations/diver_reading.py. The reader does not close the Fields it is given.

import { type Earlier, overlapping } from "../physics/earlier.ts";
import type { Cylinder } from "../physics/cylinder.ts";
import type { Diver } from "../physics/diver.ts";
import { type Missing, isMissing } from "../physics/known.ts";
import type { Mix } from "../physics/oxygen.ts";
import { type DepthUnit, depth } from "../physics/units.ts";
import type { Fields } from "./body.ts";
import { readRmv } from "./breathing_reading.ts";
import { countedAs, readGas, readMainCylinder } from "./gas_reading.ts";
import { readBottomTimeS, readCaution, readDepth, readIntervalS, readMix } from "./reading.ts";
import { readStateBefore } from "./state_body.ts";
import { type Reading, readDate } from "./team_reading.ts";

const ADULT_TEAM_MATE_YEARS = 15;
const MOST_EARLIER = 50;

/** One diver. A junior (under 15 on the date, or said so) or supervised diver never counts as the one who shares. */
export function readTeamDiver(fields: Fields, reading: Reading, waterC: number | null): Diver {
  const id = fields.text("id", 100);
  const certified = fields.numberOrNull("certified_depth", 0, 1000, reading.unit, true);
  const rmv = readRmv(fields, reading.breathing);
  const [cylinder, mix, notAnalysed] = breathes(fields, reading, id, waterC);
  const supervised = fields.flag("supervised");
  let junior = fields.flag("junior");
  const born = readDate(fields, "born");
  if (born !== null && reading.on === null) {
    fields.errors.add("/on", "required", "Give the date of the dive: an age is reckoned on it.");
  } else if (born !== null && reading.on !== null) {
    if (born > reading.on) fields.fail("born", "out_of_order", "This date is after the day of the dive.");
    junior = junior || ageOn(born, reading.on) < ADULT_TEAM_MATE_YEARS;
  }
  return {
    id,
    certifiedDepth: certified === null ? null : depth(certified, reading.unit),
    rmv,
    cylinder,
    mix,
    notAnalysed,
    earlier: readEarlier(fields, reading.unit),
    caution: readCaution(fields) ?? 0,
    canShare: !supervised && !junior,
    stretched: fields.flag("stretched"),
  };
}

/** The same diver with the cylinders and the gas of another dive, as `cylinders` and `gas` write them. */
export function readGear(fields: Fields, reading: Reading, diver: Diver, waterC: number | null): Diver {
  const [cylinder, mix, notAnalysed] = breathes(fields, reading, diver.id, waterC);
  return { ...diver, cylinder, mix, notAnalysed };
}

/** The main cylinder as it counts, its gas, and what the analysis lacks (null: nothing). */
function breathes(
  fields: Fields,
  reading: Reading,
  diver: string,
  waterC: number | null,
): [Cylinder | Missing, Mix, string | null] {
  const main = readMainCylinder(fields, reading, diver);
  const [mix, notAnalysed] = readGas(fields, reading, diver, main);
  if (isMissing(main.cylinder)) return [main.cylinder, mix, notAnalysed];
  return [countedAs(main, main.cylinder, mix, reading, waterC), mix, notAnalysed];
}

/** Whole years from a date of birth to a date. */
export function ageOn(born: string, on: string): number {
  const years = Number(on.slice(0, 4)) - Number(born.slice(0, 4));
  return on.slice(5) >= born.slice(5) ? years : years - 1;
}

/** `earlier_dives`: [] means none in the table's reach, absent means not known; or the state that `day` answered. */
function readEarlier(fields: Fields, unit: DepthUnit): Earlier[] | null {
  const items = fields.listOfFieldsOrNull("earlier_dives", 0, MOST_EARLIER);
  const state = readStateBefore(fields.fieldsOrNull("state_before"));
  if (state !== null) {
    if (items !== null) fields.fail("state_before", "not_allowed", "Give earlier_dives or state_before, not both.");
    return [{ kept: state[0], surfacedS: state[1] }];
  }
  if (items === null) return null;
  const made = items.map((item) => {
    const deepest = readDepth(item, "depth", unit);
    const bottomTimeS = readBottomTimeS(item);
    const mix = readMix(item);
    const surfacedS = readIntervalS(item, "surfaced_min_before_descent");
    item.close();
    return { depth: deepest, bottomTimeS, mix, surfacedS };
  });
  const wrong = fields.errors.found.length === 0 ? overlapping(made) : null;
  if (wrong !== null) {
    const message = "This dive began before the one before it had surfaced.";
    items[wrong]?.fail("surfaced_min_before_descent", "out_of_order", message);
  }
  return made;
}
