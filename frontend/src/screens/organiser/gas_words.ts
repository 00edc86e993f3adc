/** A diver's cylinder for one dive as typed, what is wrong with it, and the body that is sent. */
import type { Club, Cylinder, GasCheck, Trip, TripDive } from "../words/answers.ts";
import { percentOxygen } from "../words/format.ts";
import { hundredths, number, whole } from "../words/units.ts";

export interface TypedGas {
  readonly cylinder: string;
  readonly volume: string;
  readonly volumeUnit: "l" | "cuft";
  readonly workingPressure: string;
  readonly pressureUnit: "bar" | "psi";
  readonly startPressure: string;
  readonly mix: "air" | "nitrox";
  readonly oxygen: string;
  readonly analysed: string;
}

export function typedGas(gas: GasCheck | null, units: Club["units"] | undefined): TypedGas {
  return {
    cylinder: gas?.cylinder ?? "",
    volume: gas === null ? "" : String(Number(gas.volume)),
    volumeUnit: gas?.volume_unit ?? units?.volume ?? "l",
    workingPressure: text(gas?.working_pressure),
    pressureUnit: gas?.pressure_unit ?? units?.pressure ?? "bar",
    startPressure: text(gas?.start_pressure),
    mix: gas === null || gas.o2_pm === 210 ? "air" : "nitrox",
    oxygen: gas === null || gas.o2_pm === 210 ? "" : String(gas.o2_pm / 10),
    analysed: gas?.analysed_o2_pm == null ? "" : String(gas.analysed_o2_pm / 10),
  };
}

/** The cylinder the person took on the latest earlier dive of the trip; its pressure and its analysis are not those of this dive. */
export function earlierGas(trip: Trip, dive: TripDive, person: string): GasCheck | null {
  const earlier = trip.dives_planned.filter((one) => one.number < dive.number).sort((a, b) => b.number - a.number);
  for (const one of earlier) {
    const gas = one.gas?.find((check) => check.person === person);
    if (gas !== undefined) return { ...gas, start_pressure: null, analysed_o2_pm: null, analysed_by: null };
  }
  return null;
}

/** The main cylinder of a diver's record, not filled and not analysed yet. */
export function ownCylinder(cylinders: readonly Cylinder[], person: string): GasCheck | null {
  const own = cylinders.find((cylinder) => !cylinder.redundant);
  if (own === undefined || own.working_pressure === null) return null;
  return {
    person,
    cylinder: own.label === "" ? "own" : own.label,
    volume: own.volume,
    volume_unit: own.volume_unit,
    working_pressure: own.working_pressure,
    pressure_unit: own.pressure_unit,
    start_pressure: null,
    o2_pm: 210,
    analysed_o2_pm: null,
    analysed_by: null,
  };
}

export type GasMistakes = Partial<Record<keyof TypedGas, string>>;

export function gasMistakes(typed: TypedGas): GasMistakes {
  const mistakes: GasMistakes = {};
  if (typed.cylinder.trim() === "") mistakes.cylinder = "Say which cylinder, so that a swap is noticed.";
  if (!((number(typed.volume) ?? 0) > 0)) mistakes.volume = typed.volumeUnit === "l" ? "Give the size in litres, such as 12." : "Give the size in cubic feet, such as 80.";
  if (!((whole(typed.workingPressure) ?? 0) > 0)) mistakes.workingPressure = `Give whole ${typed.pressureUnit}, such as ${typed.pressureUnit === "bar" ? "232" : "3000"}.`;
  if (typed.startPressure.trim() !== "" && whole(typed.startPressure) === null) mistakes.startPressure = `Whole ${typed.pressureUnit}, or leave it empty.`;
  if (typed.mix === "nitrox" && !isOxygen(typed.oxygen, 210)) mistakes.oxygen = "Give the percentage on the label, from 21 to 40, such as 32.";
  if (typed.analysed.trim() !== "" && !isOxygen(typed.analysed, 200)) mistakes.analysed = "Give the percentage that was read, from 20 to 40, such as 31.6, or leave it empty.";
  return mistakes;
}

/** The body of PUT; call it only when `gasMistakes` finds none. */
export function gasBody(typed: TypedGas, person: string): Readonly<Record<string, unknown>> {
  const analysed = typed.analysed.trim() === "" ? null : perMille(typed.analysed);
  return {
    cylinder: typed.cylinder.trim(),
    volume: typed.volume.trim().replace(",", "."),
    volume_unit: typed.volumeUnit,
    working_pressure: whole(typed.workingPressure),
    pressure_unit: typed.pressureUnit,
    start_pressure: whole(typed.startPressure),
    o2_pm: typed.mix === "air" ? 210 : perMille(typed.oxygen),
    analysed_o2_pm: analysed,
    analysed_by: analysed === null ? null : person,
  };
}

/** A line that says what is here and what is missing. */
export function gasLine(gas: GasCheck | null): string {
  if (gas === null) return "No cylinder yet: gas limit not known.";
  const cylinder = `${Number(gas.volume)} ${gas.volume_unit}, ${gas.working_pressure} ${gas.pressure_unit} (${gas.cylinder})`;
  const start = gas.start_pressure === null ? "start pressure not known" : `start ${gas.start_pressure} ${gas.pressure_unit}`;
  const mix = gas.analysed_o2_pm === null ? `${percentOxygen(gas.o2_pm)}, not analysed` : `${percentOxygen(gas.o2_pm)}, analysed ${gas.analysed_o2_pm / 10} %`;
  return `${cylinder} · ${start} · ${mix}`;
}

/** An analyser may read a little under 21 % in air. */
function isOxygen(typed: string, least: number): boolean {
  const value = perMille(typed);
  return value !== null && value >= least && value <= 400;
}

/** 31.6 % is 316; hundredths of a percent round down, so that no reading grows on its way. */
function perMille(typed: string): number | null {
  const value = hundredths(typed);
  return value === null ? null : Math.floor(value / 10);
}

function text(value: number | null | undefined): string {
  return value === null || value === undefined ? "" : String(value);
}
