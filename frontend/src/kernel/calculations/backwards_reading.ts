// What a plan is asked backwards: intervals, steps, an order of dives, flights, and who else could dive.
// The twin of calculations/backwards_reading.py.

import { isState } from "../physics/earlier.ts";
import type { Diver, TeamDive } from "../physics/diver.ts";
import type { Flight } from "../physics/flight.ts";
import type { ClubWaits } from "../physics/no_fly.ts";
import { AIR_O2_E4, Mix } from "../physics/oxygen.ts";
import { secondsDown } from "../physics/rounding.ts";
import type { Fields } from "./body.ts";
import { readTeamDiver } from "./diver_reading.ts";
import { readOneNoFly } from "./no_fly_reading.ts";
import { LONGEST_INTERVAL_MIN } from "./reading.ts";
import { type Reading, readTeamDive, warn } from "./team_reading.ts";

export const MOST_DIVERS = 12;
const MOST_ORDERED = 3;

/** The question beside the plan itself. `dives` are those of an order: `dive` is then the first of them. */
export interface Asked {
  readonly find: "surface_interval" | "order" | null;
  readonly whatIf: boolean;
  readonly overstay: boolean;
  readonly intervalSteps: boolean;
  readonly dive: TeamDive;
  readonly dives: readonly TeamDive[];
  readonly nextDive: TeamDive | null;
  readonly divers: readonly Diver[];
  readonly flights: ReadonlyMap<string, Flight>;
  readonly alternatives: readonly Diver[];
}

/** Everything below the settings of a body of `plan`. Throws Problem with every error met so far. */
export function readAsked(fields: Fields, settings: Reading): Asked {
  let reading = settings;
  const find = fields.choiceOrNull("find", ["surface_interval", "order"]);
  const whatIf = fields.flag("what_if");
  const overstay = fields.flag("overstay");
  const intervalSteps = fields.flag("interval_steps");
  const dives = readDives(fields, reading, find === "order");
  const coming = fields.fieldsOrNull("next_dive");
  const nextDive = coming === null ? null : readDive(coming, reading);
  const [toAltitudeFt, club] = readOneNoFly(fields.fieldsOrNull("no_fly"));
  const read: Diver[] = [];
  const flights = new Map<string, Flight>();
  let waterC = dives[0]?.waterC ?? null;
  if (find === "order") {
    const unknown = dives.findIndex((dive) => dive.waterC === null);
    waterC = unknown < 0 ? waterC : null;
    reading = { ...settings, waterAt: `/dives/${Math.max(unknown, 0)}/water_temp_c` };
  }
  const items = fields.listOfFields("divers", 1, MOST_DIVERS);
  const partners: (string | null)[] = [];
  for (const item of items) {
    const diver = readTeamDiver(item, reading, waterC);
    const flight = item.fieldsOrNull("flight");
    if (flight !== null) flights.set(diver.id, readFlight(flight, toAltitudeFt, club));
    partners.push(item.textOrNull("earlier_dives_of", 100));
    item.close();
    refuseTwice(item, diver, read);
    read.push(diver);
  }
  const divers = read.map((diver, i) => {
    const partner = partners[i]!;
    return partner === null ? diver : withPartner(items[i]!, diver, partner, read, reading);
  });
  const alternatives: Diver[] = [];
  for (const item of fields.listOfFieldsOrNull("alternatives", 0, MOST_DIVERS) ?? []) {
    const other = readTeamDiver(item, reading, waterC);
    item.close();
    refuseTwice(item, other, [...divers, ...alternatives]);
    alternatives.push(other);
  }
  fields.close();
  fields.errors.raiseIfAny();
  return { find, whatIf, overstay, intervalSteps, dive: dives[0]!, dives, nextDive, divers, flights, alternatives };
}

/** The dive, or for an order the two or three dives in its place. */
function readDives(fields: Fields, reading: Reading, ordered: boolean): TeamDive[] {
  if (!ordered) {
    if (fields.has("dives")) {
      fields.get("dives");
      fields.fail("dives", "not_allowed", 'Give "find": "order" with dives, or one dive as dive.');
    }
    return [readDive(fields.fields("dive"), reading)];
  }
  if (fields.has("dive")) {
    fields.get("dive");
    fields.fail("dive", "not_allowed", "For an order give the dives as dives, two or three of them.");
  }
  return fields.listOfFields("dives", 2, MOST_ORDERED).map((item) => readDive(item, reading));
}

function readDive(fields: Fields, reading: Reading): TeamDive {
  const dive = readTeamDive(fields, reading);
  fields.close();
  return dive;
}

/** Minutes from this descent to the departure, and how many days the diver has dived on by then. */
function readFlight(fields: Fields, toAltitudeFt: number, club: ClubWaits): Flight {
  const inS = secondsDown(fields.number("in_min", 0, LONGEST_INTERVAL_MIN, "minutes"));
  const days = fields.integerOrNull("days_of_diving", 1, 365);
  fields.close();
  return { inS, toAltitudeFt, days, club };
}

/** A diver whose earlier dives are not known, given those of their partner; other gas than air stays unknown. */
function withPartner(
  item: Fields,
  diver: Diver,
  partner: string,
  divers: readonly Diver[],
  reading: Reading,
): Diver {
  const mate = divers.find((d) => d.id === partner && d.id !== diver.id) ?? null;
  if (mate === null) item.fail("earlier_dives_of", "not_allowed", "Name another diver of this team.");
  if (diver.earlier !== null) {
    item.fail("earlier_dives_of", "not_allowed", "Give earlier_dives or earlier_dives_of, not both.");
  }
  if (mate === null || mate.earlier === null || diver.earlier !== null) return diver;
  const made = mate.earlier.flatMap((each) => (isState(each) ? [] : [each]));
  if (made.length < mate.earlier.length) {
    item.fail("earlier_dives_of", "not_allowed", "A state stands for one diver: give the earlier_dives of the partner.");
  }
  const message =
    `Earlier dives of diver ${diver.id} not known: those of diver ${partner} counted. Give the diver's own where ` +
    "they were deeper, longer or later.";
  warn(reading, "earlier_dives_assumed", item.pointer("earlier_dives_of"), message);
  const earlier = made.map((each) =>
    each.mix.o2E4 === AIR_O2_E4 ? each : { ...each, mix: new Mix(null) },
  );
  return { ...diver, earlier };
}

function refuseTwice(item: Fields, diver: Diver, others: readonly Diver[]): void {
  if (diver.id !== "" && others.some((other) => other.id === diver.id)) {
    item.fail("id", "duplicate", "Two divers have this id.");
  }
}
