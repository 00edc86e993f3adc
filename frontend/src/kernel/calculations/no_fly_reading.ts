// What a body asks about flying: where to, when, and the club's own waits.
// The twin of calculations/no_fly_reading.py.

import { type ClubWaits, MORE_MIN, NO_CLUB_WAITS, USUAL_CABIN_FT, type Way } from "../physics/no_fly.ts";
import { scaledDown, scaledUp } from "../physics/rounding.ts";
import type { Fields } from "./body.ts";
import { LONGEST_INTERVAL_MIN, readAltitudeFt } from "./reading.ts";

export const MOST_DESTINATIONS = 20;
export const WAYS: readonly Way[] = ["flight", "road"];

/** Where to, by which way, and the departure in whole minutes from now (null: not given). */
export interface Destination {
  readonly altitudeFt: number;
  readonly by: Way;
  readonly inMin: number | null;
}

/** What `no_fly` of a body holds. */
export interface NoFlyAsked {
  readonly destinations: readonly Destination[];
  readonly listed: boolean;
  readonly cabinAssumed: boolean;
  readonly club: ClubWaits;
  readonly symptoms: boolean;
}

const NOTHING_ASKED: NoFlyAsked = {
  destinations: [{ altitudeFt: USUAL_CABIN_FT, by: "flight", inMin: null }],
  listed: false,
  cabinAssumed: true,
  club: NO_CLUB_WAITS,
  symptoms: false,
};

/** `no_fly`; a usual cabin where no destination is given. */
export function readNoFly(fields: Fields | null): NoFlyAsked {
  if (fields === null) return NOTHING_ASKED;
  const listed = fields.listOfFieldsOrNull("to", 1, MOST_DESTINATIONS);
  const flightIn = fields.numberOrNull("flight_in_min", 0, LONGEST_INTERVAL_MIN, "minutes");
  const flightInMin = flightIn === null ? null : scaledDown(flightIn, 1);
  const by = fields.choiceOrNull("by", WAYS);
  const altitudeFt = readAltitudeFt(fields, "to_altitude");
  let destinations: Destination[] = [];
  if (listed === null || altitudeFt !== null || by !== null) {
    destinations.push(destinationOf(fields, altitudeFt, by, null));
  }
  for (const item of listed ?? []) {
    const way = item.choiceOrNull("by", WAYS);
    const leaves = item.numberOrNull("in_min", 0, LONGEST_INTERVAL_MIN, "minutes");
    const thereFt = readAltitudeFt(item, "to_altitude");
    destinations.push(destinationOf(item, thereFt, way, leaves === null ? null : scaledDown(leaves, 1)));
    item.close();
  }
  if (flightInMin !== null) {
    if (destinations.every((to) => to.by === "road")) {
      const message = "No destination here is reached by flight; give in_min with each in to.";
      fields.fail("flight_in_min", "not_allowed", message);
    }
    destinations = destinations.map((to) =>
      to.by === "flight" && to.inMin === null ? { ...to, inMin: flightInMin } : to,
    );
  }
  const asked: NoFlyAsked = {
    destinations,
    listed: listed !== null,
    cabinAssumed: listed === null && altitudeFt === null,
    club: readClubWaits(fields),
    symptoms: fields.flag("symptoms"),
  };
  fields.close();
  return asked;
}

/** `no_fly` of a plan: the altitude of the flights (a usual cabin when absent) and the club's own waits. */
export function readOneNoFly(fields: Fields | null): readonly [number, ClubWaits] {
  if (fields === null) return [USUAL_CABIN_FT, NO_CLUB_WAITS];
  const altitudeFt = readAltitudeFt(fields, "to_altitude");
  const club = readClubWaits(fields);
  fields.close();
  return [altitudeFt ?? USUAL_CABIN_FT, club];
}

function readClubWaits(fields: Fields): ClubWaits {
  return {
    alwaysMin: minutesOf(fields, "club_wait_min") ?? 0,
    beyondLimitMin: beyond18H(fields, "club_wait_beyond_limit_min"),
    otherGasMin: minutesOf(fields, "club_wait_other_gas_min"),
    symptomsMin: beyond18H(fields, "club_wait_symptoms_min"),
  };
}

function destinationOf(fields: Fields, altitudeFt: number | null, by: Way | null, inMin: number | null): Destination {
  const way: Way = by ?? "flight";
  if (altitudeFt === null && way === "road") {
    fields.required("to_altitude_ft", "Give the highest point of the road as to_altitude_ft or to_altitude_m.");
  }
  return { altitudeFt: altitudeFt ?? USUAL_CABIN_FT, by: way, inMin };
}

/** The club's own wait in whole minutes, rounded up. */
function minutesOf(fields: Fields, name: string): number | null {
  const given = fields.numberOrNull(name, 0, LONGEST_INTERVAL_MIN, "minutes");
  return given === null ? null : scaledUp(given, 1);
}

/** As `minutesOf`, above 18 h: what the consensus says is longer than that. */
function beyond18H(fields: Fields, name: string): number | null {
  const given = fields.numberOrNull(name, MORE_MIN, LONGEST_INTERVAL_MIN, "minutes", true);
  return given === null ? null : scaledUp(given, 1);
}
