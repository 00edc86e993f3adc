"""Writes to a trip that is still being planned: boats, sites, trips, bookings, dives and gas.

Once a trip is ready its snapshot is at sea, and only entries in the boat log change it: every function here
refuses then, and says so.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from teamdive.people.models import Club, Diver
from teamdive.web.problems import Unable

from .models import Boat, Booking, Dive, Site, Trip


class UnableToChangeTrip(Unable):
    code = "unable_to_change_trip"


class UnableToKeepTrip(UnableToChangeTrip):
    """A value that cannot be kept; names each field."""

    code = "invalid"
    status = 400


def open_trip(trip: Trip) -> Trip:
    """The trip, locked for a change; raises UnableToChangeTrip once it has been made ready."""
    locked = Trip.objects.select_for_update().select_related("club").get(pk=trip.pk)
    if locked.state == Trip.State.READY:
        raise UnableToChangeTrip(
            "This trip is ready for the boat: its plan is on the phones. Change it on the deck page, "
            "where every change is an entry in the boat log.",
            code="trip_is_ready",
        )
    return locked


def keep(row: Any) -> Any:
    """Save the row; raises UnableToKeepTrip naming every field that cannot be."""
    try:
        row.full_clean(validate_constraints=True)
    except ValidationError as refused:
        errors = [
            {
                "pointer": "" if field == "__all__" else f"/{POINTERS.get(field, field)}",
                "code": "invalid",
                "message": message,
            }
            for field, messages in refused.message_dict.items()
            for message in messages
        ]
        raise UnableToKeepTrip(errors[0]["message"], errors=errors) from refused
    row.save()
    return row


POINTERS = {
    "depth_hundredths": "depth/hundredths",
    "depth_unit": "depth/unit",
    "return_to": "return",
    "swim_kn": "along_current/swim_kn",
}


@transaction.atomic
def add_boat(*, club: Club, name: str, most_persons: int | None = None) -> Boat:
    return keep(Boat(club=club, name=name, most_persons=most_persons))


@transaction.atomic
def change_boat(*, boat: Boat, most_persons: int | None) -> Boat:
    """Say how many persons a boat may carry; None: not known."""
    boat.most_persons = most_persons
    return keep(boat)


@transaction.atomic
def add_site(*, club: Club, name: str, water: str = "salt", altitude_m: int = 0) -> Site:
    return keep(Site(club=club, name=name, water=water, altitude_m=altitude_m))


@transaction.atomic
def add_trip(*, club: Club, name: str, starts_at: datetime, boat: Boat | None = None) -> Trip:
    """A trip of the club; the boat must be the club's."""
    _of_club(boat, club, "boat")
    return keep(Trip(club=club, name=name, starts_at=starts_at, boat=boat))


@transaction.atomic
def change_trip(*, trip: Trip, **fields: Any) -> Trip:
    """Change `name`, `starts_at` or `boat`."""
    trip = open_trip(trip)
    _of_club(fields.get("boat"), trip.club, "boat")
    for name in ("name", "starts_at", "boat"):
        if name in fields:
            setattr(trip, name, fields[name])
    return keep(trip)


def _of_club(thing: Any, club: Club, name: str) -> None:
    if thing is not None and thing.club_id != club.pk:
        raise UnableToKeepTrip(f"That {name} is another club's.", code="other_club", pointer=f"/{name}")


@transaction.atomic
def add_booking(
    *,
    trip: Trip,
    diver: Diver | None = None,
    name: str = "",
    role: str = Booking.Role.DIVER,
    dives: bool | None = None,
    earlier_dives: list[dict[str, Any]] | None = None,
    flies_at: datetime | None = None,
    boat: Boat | None = None,
) -> Booking:
    """Put a person on the trip: a diver of the club, or crew or a guest by name. Someone taken off before comes
    back under the same id."""
    trip = open_trip(trip)
    _of_club(diver, trip.club, "diver")
    booking = Booking.objects.filter(trip=trip, diver=diver).first() if diver else None
    if booking is not None and booking.cancelled_at is None:
        raise UnableToChangeTrip(
            f"{booking.display_name} is on this trip already.", code="booked_already", pointer="/diver"
        )
    booking = booking or Booking(trip=trip, diver=diver)
    booking.name, booking.role, booking.cancelled_at = name, role, None
    booking.dives = diver is not None and role not in {"crew", "guest"} if dives is None else dives
    booking.earlier_dives, booking.flies_at, booking.boat = earlier_dives, flies_at, boat
    if diver is None and not name.strip():
        raise UnableToKeepTrip("Say who it is.", code="name_missing", pointer="/name")
    if booking.dives and diver is None:
        raise UnableToKeepTrip(
            "Whoever dives needs a diver's record in the club. Add the record first.",
            code="diver_missing",
            pointer="/diver",
        )
    return keep(booking)


@transaction.atomic
def change_booking(*, booking: Booking, **fields: Any) -> Booking:
    """Change `role`, `dives`, `name`, `earlier_dives`, `flies_at` or `boat` (of several, the one they go on)."""
    open_trip(booking.trip)
    for name in ("role", "dives", "name", "earlier_dives", "flies_at", "boat"):
        if name in fields:
            setattr(booking, name, fields[name])
    if booking.dives and booking.diver_id is None:
        raise UnableToKeepTrip(
            "Whoever dives needs a diver's record in the club.", code="diver_missing", pointer="/dives"
        )
    if not booking.dives or "earlier_dives" in fields:
        withdraw_with(booking)
    return keep(booking)


@transaction.atomic
def cancel_booking(*, booking: Booking, now: datetime) -> Booking:
    """Take a person off the trip; the teams they were in, and what rests on them, are withdrawn."""
    open_trip(booking.trip)
    withdraw_with(booking)
    booking.cancelled_at = booking.cancelled_at or now
    return keep(booking)


def withdraw_with(booking: Booking) -> None:
    """Take back the first dive that has this person in a team, and the dives after it."""
    member = booking.team_members.select_related("dive").order_by("dive__number").first()
    if member is not None:
        withdraw(booking.trip, member.dive.number)


DIVE_FIELDS = (
    "site",
    "planned_at",
    "depth_hundredths",
    "depth_unit",
    "bottom_time_s",
    "work",
    "return_to",
    "turn_rule",
    "along_current",
    "swim_kn",
    "task_unit_min",
    "current_kn",
    "visibility_m",
    "water_temp_c",
    "night",
    "site_kind",
    "task_kind",
    "task_level",
)


@transaction.atomic
def add_dive(
    *, trip: Trip, number: int | None = None, left_out: Collection[UUID] = (), **fields: Any
) -> Dive:
    """A dive of the trip, the next number unless one is given; fields as in DIVE_FIELDS."""
    trip = open_trip(trip)
    last = trip.dives.aggregate(last=Max("number"))["last"] or 0
    dive = Dive(trip=trip, number=number or last + 1)
    return _write_dive(dive, fields, left_out)


@transaction.atomic
def change_dive(*, dive: Dive, left_out: Collection[UUID] | None = None, **fields: Any) -> Dive:
    """Change a dive. What was announced for it, and for the dives after it, was worked out from what is now
    changed: those teams are withdrawn, and have to be announced again."""
    dive.trip = trip = open_trip(dive.trip)
    changed = [name for name in DIVE_FIELDS if name in fields and getattr(dive, name) != fields[name]]
    dive = _write_dive(dive, fields, left_out)
    if set(changed) - {"site"}:
        withdraw(trip, dive.number)
    return dive


def withdraw(trip: Trip, from_number: int) -> None:
    """Take back what was announced for a dive and those after it."""
    for later in trip.dives.filter(number__gte=from_number):
        later.team_members.all().delete()
        later.teams.all().delete()


def _write_dive(dive: Dive, fields: dict[str, Any], left_out: Collection[UUID] | None) -> Dive:
    _of_club(fields.get("site"), dive.trip.club, "site")
    for name in DIVE_FIELDS:
        if name in fields:
            setattr(dive, name, fields[name])
    limit = 4000 if dive.depth_unit == "m" else 13_000
    if (dive.depth_hundredths or 0) > limit and not dive.trip.club.beyond_40_m_enabled:
        raise UnableToKeepTrip(
            "Deeper than 40 m / 130 ft is not planned here unless the club's keeper has enabled it.",
            code="beyond_40_m",
            pointer="/depth",
        )
    keep(dive)
    if left_out is not None:
        out = Booking.objects.filter(trip=dive.trip, pk__in=left_out)
        if out.count() != len(set(left_out)):
            raise UnableToKeepTrip(
                "There is no such person on this trip.", code="person_not_known", pointer="/left_out"
            )
        dive.left_out.set(out)
        if dive.team_members.filter(booking__in=out).exists():
            withdraw(dive.trip, dive.number)
    return dive
