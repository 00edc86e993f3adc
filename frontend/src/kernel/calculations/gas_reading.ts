// A diver's cylinder and gas as the bodies of `plan` and `teams` write them.
// The twin of calculations/gas_reading.py. The reader does not close the Fields of the diver it is given.

import { AIR_OXYGEN, type Cylinder, STEP, inWater, litresEach } from "../physics/cylinder.ts";
import { said } from "../physics/diver.ts";
import { Missing, missing } from "../physics/known.ts";
import { AIR_O2_E4, Mix } from "../physics/oxygen.ts";
import { counted, counting, held } from "../physics/real_gas.ts";
import { scaledNearest } from "../physics/rounding.ts";
import type { Fields } from "./body.ts";
import { FILL_C, HIGHEST_PRESSURE, type Reading, later, warn } from "./team_reading.ts";

const LEAST_WORKING = { bar: 50.0, psi: 700.0 } as const;
const VOLUME = { l: [0.5, 40.0], cuft: [3.0, 300.0] } as const;
const OXYGEN = [0.21, 0.4] as const;
const LEAST_READING = 0.2;
/** A reading further from its label, in ten-thousandths, is warned of. */
const LABEL_E4 = 100;
/** A reading this close to 21 % of a cylinder labelled air is air. */
const AIR_E4 = 50;
const OVERFILL = 1.1;
/** Warned of where the published law counts more than a step of minimum gas too much. */
const LESS_GAS = "less_gas_than_counted";
const FILL_NOT_COUNTED = "fill_temperature_not_counted";

/** The main cylinder, its id, when and how warm it was filled, and the pointer of its start pressure. */
export interface MainCylinder {
  readonly cylinder: Cylinder | Missing;
  readonly name: string | null;
  readonly filledAt: string | null;
  readonly fillC: number | null;
  readonly at: string;
}

/** The one main cylinder; redundant ones are read and never count. */
export function readMainCylinder(fields: Fields, reading: Reading, diver: string): MainCylinder {
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
    const ownC = item.numberOrNull("fill_temp_c", FILL_C[0], FILL_C[1], "°C");
    if ((item.choiceOrNull("use", ["main", "redundant"]) ?? "main") === "main") {
      mains.push({ cylinder, name, filledAt, fillC: ownC ?? reading.fillTempC, at: item.pointer("start_pressure") });
    }
    item.close();
  }
  if (mains.length > 1) {
    const message = "Give one main cylinder; a twin set on one manifold is one cylinder with its whole volume.";
    fields.fail("cylinders", "not_allowed", message);
  }
  const none = { name: null, filledAt: null, fillC: null, at: "" };
  return mains[0] ?? { cylinder: missing(`main cylinder of diver ${diver}`), ...none };
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
  const lacking: string[] = [];
  if (volume === null) lacking.push(`volume of ${whose}`);
  if (working === null && volumeUnit === "cuft") lacking.push(`working pressure of ${whose}`);
  if (volume === null || lacking.length > 0) return new Missing(lacking);
  const rule = counting(reading.gasLaw, unit, null, AIR_OXYGEN);
  const each = litresEach(volumeUnit, working ?? 1.0, unit);
  const rest = { filled: start, working, full: working, fillC: null, oxygen: AIR_OXYGEN };
  return { id: name ?? "", volume, litresEach: each, start, rule, ...rest };
}

/**
 * The cylinder with what its gauge will show in the water, and how that is counted. A gas that is not analysed is
 * taken as air, which holds least.
 */
export function countedAs(
  main: MainCylinder,
  cylinder: Cylinder,
  mix: Mix,
  reading: Reading,
  waterC: number | null,
): Cylinder {
  const unit = reading.settings.pressureUnit;
  const oxygen = mix.analysed && mix.o2E4 !== null ? mix.o2E4 / 10_000.0 : AIR_OXYGEN;
  const shown = inWater({ ...cylinder, fillC: main.fillC, oxygen }, waterC, unit);
  const { start, rule } = shown;
  if (start === null) return shown;
  if (main.fillC !== null && waterC === null) {
    const message = "No water temperature (water_temp_c): what a fill loses in colder water is not counted.";
    once(reading, FILL_NOT_COUNTED, reading.waterAt, message);
  }
  const less = counted(rule, start) - held(rule, start);
  if (reading.gasLaw === "published" && less > STEP[unit]) {
    const message =
      `At ${said(start)} ${unit} a cylinder holds about ${said(less)} ${unit} less than is counted here; ` +
      "with gas_law real it is counted.";
    once(reading, LESS_GAS, main.at, message);
  }
  return shown;
}

/** Warn for the first cylinder of a body only: it is true of the others for the same reason. */
function once(reading: Reading, code: string, at: string, message: string): void {
  if (!reading.warnings.some((warning) => warning.code === code)) warn(reading, code, at, message);
}

/** The gas, and what its analysis lacks (null: nothing). Without one nitrogen counts as in air. */
export function readGas(fields: Fields, reading: Reading, diver: string, main: MainCylinder): [Mix, string | null] {
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
