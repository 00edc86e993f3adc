// A diver as the bodies of `plan` and `teams` write one: qualification, breathing, cylinder, gas, earlier dives.
// The twin of calculations/diver_reading.py. The reader does not close the Fields it is given.

import { type Earlier, overlapping } from "../physics/earlier.ts";
import { type Diver, said } from "../physics/diver.ts";
import { type Cylinder, litresEach } from "../physics/gas.ts";
import { Missing, missing } from "../physics/known.ts";
import { AIR_O2_E4, Mix } from "../physics/oxygen.ts";
import { scaledNearest } from "../physics/rounding.ts";
import { type DepthUnit, PSI_PER_BAR, depth } from "../physics/units.ts";
import type { Fields } from "./body.ts";
import { readBottomTimeS, readCaution, readDepth, readIntervalS, readMix } from "./reading.ts";
import { readStateBefore } from "./state_body.ts";
import { HIGHEST_PRESSURE, type Reading, later, readDate, warn } from "./team_reading.ts";

const LEAST_WORKING = { bar: 50.0, psi: 700.0 } as const;
const VOLUME = { l: [0.5, 40.0], cuft: [3.0, 300.0] } as const;
const OXYGEN = [0.21, 0.4] as const;
const LEAST_READING = 0.2;
/** A reading further from its label, in ten-thousandths, is warned of. */
const LABEL_E4 = 100;
/** A reading this close to 21 % of a cylinder labelled air is air. */
const AIR_E4 = 50;
const REAL_GAS_BAR = 230.0;
const OVERFILL = 1.1;
const ADULT_TEAM_MATE_YEARS = 15;
const MOST_EARLIER = 50;

/** One diver. A junior (under 15 on the date, or said so) or supervised diver never counts as the one who shares. */
export function readTeamDiver(fields: Fields, reading: Reading): Diver {
  const id = fields.text("id", 100);
  const certified = fields.numberOrNull("certified_depth", 0, 1000, reading.unit, true);
  const margin = fields.numberOrNull("gas_margin_percent", 0, 200, "percent");
  const rmv = {
    mean: fields.numberOrNull("rmv_l_min", 4, 120, "L/min"),
    sd: fields.numberOrNull("rmv_sd_l_min", 0, 60, "L/min"),
    marginPercent: margin ?? reading.gasMarginPercent,
  };
  const main = readMainCylinder(fields, reading, id);
  const [mix, notAnalysed] = readGas(fields, reading, id, main);
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
    cylinder: main.cylinder,
    mix,
    notAnalysed,
    earlier: readEarlier(fields, reading.unit),
    caution: readCaution(fields) ?? 0,
    canShare: !supervised && !junior,
    stretched: fields.flag("stretched"),
  };
}

/** The same diver with the cylinders and the gas of another dive, as `cylinders` and `gas` write them. */
export function readGear(fields: Fields, reading: Reading, diver: Diver): Diver {
  const main = readMainCylinder(fields, reading, diver.id);
  const [mix, notAnalysed] = readGas(fields, reading, diver.id, main);
  return { ...diver, cylinder: main.cylinder, mix, notAnalysed };
}

/** Whole years from a date of birth to a date. */
export function ageOn(born: string, on: string): number {
  const years = Number(on.slice(0, 4)) - Number(born.slice(0, 4));
  return on.slice(5) >= born.slice(5) ? years : years - 1;
}

interface MainCylinder {
  readonly cylinder: Cylinder | Missing;
  readonly name: string | null;
  readonly filledAt: string | null;
}

/** The one main cylinder, its id and when it was filled; redundant ones are read and never count. */
function readMainCylinder(fields: Fields, reading: Reading, diver: string): MainCylinder {
  const mains: MainCylinder[] = [];
  const names: string[] = [];
  for (const item of fields.listOfFieldsOrNull("cylinders", 0, 12) ?? []) {
    const name = item.textOrNull("id", 100);
    if (name !== null && names.includes(name)) {
      item.fail("id", "duplicate", "Two cylinders of one diver have this id.");
    }
    names.push(name ?? "");
    const cylinder = readCylinder(item, reading, diver, name);
    const filledAt = item.textOrNull("filled_at", 40);
    if ((item.choiceOrNull("use", ["main", "redundant"]) ?? "main") === "main") {
      mains.push({ cylinder, name, filledAt });
    }
    item.close();
  }
  if (mains.length > 1) {
    const message = "Give one main cylinder; a twin set on one manifold is one cylinder with its whole volume.";
    fields.fail("cylinders", "not_allowed", message);
  }
  return mains[0] ?? { cylinder: missing(`main cylinder of diver ${diver}`), name: null, filledAt: null };
}

function readCylinder(item: Fields, reading: Reading, diver: string, name: string | null): Cylinder | Missing {
  const { pressureUnit: unit, volumeUnit } = reading.settings;
  const most = HIGHEST_PRESSURE[unit];
  const [leastVolume, mostVolume] = VOLUME[volumeUnit];
  const volume = item.numberOrNull("volume", leastVolume, mostVolume, volumeUnit);
  const working = item.numberOrNull("working_pressure", LEAST_WORKING[unit], most, unit);
  const start = item.numberOrNull("start_pressure", 0, most, unit);
  const whose = `cylinder ${name ?? ""} of diver ${diver}`.replaceAll("  ", " ");
  if (start !== null && working !== null && start > working * OVERFILL) {
    const message = `${said(start)} ${unit} is more than a tenth above the working pressure, ${said(working)} ${unit}.`;
    warn(reading, "over_working_pressure", item.pointer("start_pressure"), message);
  }
  const perBar = unit === "bar" ? 1.0 : PSI_PER_BAR;
  if (start !== null && start > REAL_GAS_BAR * perBar) {
    const message =
      "Above 230 bar a cylinder holds less than counted here: about 6 % less at 250, 10 % at 300 bar.";
    warn(reading, "ideal_gas", item.pointer("start_pressure"), message);
  }
  const lacking: string[] = [];
  if (volume === null) lacking.push(`volume of ${whose}`);
  if (working === null && volumeUnit === "cuft") lacking.push(`working pressure of ${whose}`);
  if (volume === null || lacking.length > 0) return new Missing(lacking);
  return { id: name ?? "", volume, litresEach: litresEach(volumeUnit, working ?? 1.0, unit), start };
}

/** The gas, and what its analysis lacks (null: nothing). Without one nitrogen counts as in air. */
function readGas(fields: Fields, reading: Reading, diver: string, main: MainCylinder): [Mix, string | null] {
  const gas = fields.fieldsOrNull("gas");
  if (gas === null) return [new Mix(null), `gas of diver ${diver} (gas.o2_fraction and its analysis)`];
  const label = gas.numberOrNull("o2_fraction", OXYGEN[0], OXYGEN[1]);
  const labelE4 = label === null ? null : scaledNearest(label, 10_000);
  const analysis = gas.fieldsOrNull("analysis");
  gas.close();
  if (analysis === null) {
    if (labelE4 === AIR_O2_E4 && !reading.airNeedsAnalysis) return [new Mix(AIR_O2_E4), null];
    return [new Mix(labelE4), `analysis of the gas of diver ${diver}`];
  }
  const read = analysis.numberOrNull("o2_fraction", LEAST_READING, OXYGEN[1]);
  const by = analysis.textOrNull("by", 100);
  const at = analysis.textOrNull("at", 40);
  const cylinder = analysis.textOrNull("cylinder", 100);
  analysis.close();
  let lacking: string | null = null;
  if (read === null) lacking = `reading of the analysis of diver ${diver} (analysis.o2_fraction)`;
  else if (by !== diver) lacking = `analysis by diver ${diver} in person (analysis.by)`;
  else if (cylinder === null || cylinder !== main.name) {
    lacking = `analysis of the cylinder that diver ${diver} takes (analysis.cylinder)`;
  } else if (at === null) lacking = `time of the analysis of diver ${diver} (analysis.at)`;
  else if (main.filledAt !== null) {
    const analysedAfter = later(at, main.filledAt);
    if (analysedAfter === null) {
      lacking =
        `whether diver ${diver} analysed after the last fill: give date and time of both, alike with or ` +
        "without an offset (analysis.at, filled_at)";
    } else if (!analysedAfter) lacking = `analysis of the gas of diver ${diver} after the last fill`;
  }
  if (read === null || lacking !== null) return [new Mix(labelE4), lacking];
  let readE4 = scaledNearest(read, 10_000);
  if (labelE4 !== null && Math.abs(readE4 - labelE4) > LABEL_E4) {
    const message = "The analysis differs from the label by more than 1 % oxygen: the analysis is used.";
    warn(reading, "label_differs", analysis.pointer("o2_fraction"), message);
  }
  if (labelE4 === AIR_O2_E4 && Math.abs(readE4 - AIR_O2_E4) <= AIR_E4) readE4 = AIR_O2_E4;
  return [new Mix(readE4, true), null];
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
