import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { goInstead, useServer, Waiting, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { useSystem } from "../parts/use_system.tsx";
import { clubsOf, type Club, type Trip, type TripDive } from "../words/answers.ts";
import type { System } from "../words/units.ts";

export interface TripHere {
  readonly trip: Trip;
  readonly club: Club | undefined;
  readonly system: System;
  readonly nameOf: (person: string) => string;
  readonly again: () => void;
}

/** Reads the trip of this address and hands it on with names, units and a way to read it again. */
export function WithTrip(props: ScreenProps & { readonly children: (here: TripHere) => ComponentChildren }) {
  const { answer, again } = useServer<Trip>(`/api/trips/${props.params["trip"] ?? ""}`);
  const clubs = clubsOf(props.session?.me);
  const club = answer.state === "here" ? clubs.find((one) => one.id === answer.data.club) : clubs[0];
  const system = useSystem(club?.units.depth);
  return (
    <Loaded answer={answer} again={again} alone={{ title: "Trip", back: "/organise" }}>
      {(trip) => (trip.may.plan ? props.children({ trip: byName(trip), club, system, nameOf: nameIn(trip), again }) : <NotYours trip={trip.id} />)}
    </Loaded>
  );
}

/** People in the order in which one looks for a name. */
function byName(trip: Trip): Trip {
  return { ...trip, bookings: [...trip.bookings].sort((a, b) => a.name.localeCompare(b.name)) };
}

/** Someone who dives on the trip but does not plan it belongs on their own page of it. */
function NotYours(props: { readonly trip: string }) {
  useEffect(() => goInstead(`/me/trips/${props.trip}`), [props.trip]);
  return <Waiting />;
}

/** A person's name by the id of the booking; first names alone would mix up two of one name. */
export function nameIn(trip: Trip): (person: string) => string {
  const names = new Map(trip.bookings.map((booking) => [booking.id, booking.name]));
  return (person) => names.get(person) ?? "someone no longer on the trip";
}

export function diveOf(trip: Trip, id: string | undefined): TripDive | undefined {
  return trip.dives_planned.find((dive) => dive.id === id);
}

export function diveTitle(dive: TripDive): string {
  return `Dive ${dive.number}${dive.site === null ? "" : `: ${dive.site.name}`}`;
}
