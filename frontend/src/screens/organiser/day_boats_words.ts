/** The boats of a day: which go, who is on each without a team, who covers the surface there. */
import type { Trip } from "../words/answers.ts";
import type { CoverRole, DayTeamsAnswer } from "../words/answers_teams.ts";

export interface ClubBoat {
  readonly id: string;
  readonly name: string;
  readonly most_persons: number | null;
}

export interface DayBoat {
  readonly boat: string;
  readonly aboard: readonly string[];
  readonly surface_cover: readonly CoverRole[];
}

/** The boats that people were seated on when the teams were last announced. */
export function boatsKept(trip: Trip): DayBoat[] {
  const seated = trip.bookings.filter((one) => typeof one.boat === "string");
  const inTeams = new Set(trip.dives_planned.flatMap((dive) => dive.teams.flatMap((team) => team.members)));
  return [...new Set(seated.map((one) => one.boat as string))].map((boat) => ({
    boat,
    aboard: seated.filter((one) => one.boat === boat && !inTeams.has(one.id)).map((one) => one.id),
    surface_cover: [],
  }));
}

export function goes(chosen: readonly DayBoat[], boat: string): DayBoat[] {
  return [...chosen, { boat, aboard: [], surface_cover: [] }];
}

export function goesWithout(chosen: readonly DayBoat[], boat: string): DayBoat[] {
  return chosen.filter((one) => one.boat !== boat);
}

/** Puts a person on a boat and off every other; "" for none. */
export function seat(chosen: readonly DayBoat[], person: string, boat: string): DayBoat[] {
  return chosen.map((one) => {
    const others = one.aboard.filter((each) => each !== person);
    return { ...one, aboard: one.boat === boat ? [...others, person] : others };
  });
}

/** Names who has a role at the surface of one boat; "" takes the name back. */
export function nameRole(chosen: readonly DayBoat[], boat: string, role: CoverRole["role"], person: string): DayBoat[] {
  return chosen.map((one) => {
    if (one.boat !== boat) return one;
    const others = one.surface_cover.filter((each) => each.role !== role);
    return { ...one, surface_cover: person === "" ? others : [...others, { role, person }] };
  });
}

/** Who needs a seat by name: whoever does not dive, and whoever the teams found leave without one. */
export function toSeat(trip: Trip, chosen: readonly DayBoat[], found: DayTeamsAnswer | null): string[] {
  const left = new Set((found?.warnings ?? []).filter((one) => one.code === "person_on_no_boat").flatMap((one) => one.divers ?? []));
  const covering = new Set(chosen.flatMap((one) => one.surface_cover.map((each) => each.person)));
  const seated = new Set(chosen.flatMap((one) => one.aboard));
  return trip.bookings.filter((one) => !covering.has(one.id) && (!one.dives || left.has(one.id) || seated.has(one.id))).map((one) => one.id);
}

/** The boats as the day's question and its announcement take them: none unless several go. */
export function boatsBody(chosen: readonly DayBoat[]): { readonly boats?: readonly DayBoat[] } {
  return chosen.length < 2 ? {} : { boats: chosen };
}

export function seatsWords(boat: NonNullable<DayTeamsAnswer["boats"]>[number]): string {
  const most = boat.takes.persons ?? boat.takes.divers ?? 0;
  return `${most - boat.seats_left} of ${most} seats taken`;
}
