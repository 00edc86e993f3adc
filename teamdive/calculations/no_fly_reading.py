"""What a body asks about flying: where to, when, and the club's own waits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from teamdive.calculations.body import Fields
from teamdive.calculations.reading import LONGEST_INTERVAL_MIN, read_altitude_ft
from teamdive.physics.no_fly import MORE_MIN, USUAL_CABIN_FT, ClubWaits, Way
from teamdive.physics.rounding import scaled_down, scaled_up

MOST_DESTINATIONS = 20
WAYS = ("flight", "road")
NO_CLUB_WAITS = ClubWaits()


@dataclass(frozen=True)
class Destination:
    """Where to, by which way, and the departure in whole minutes from now (None: not given)."""

    altitude_ft: int
    by: Way = "flight"
    in_min: int | None = None


@dataclass(frozen=True)
class NoFlyAsked:
    """What `no_fly` of a body holds."""

    destinations: tuple[Destination, ...] = (Destination(USUAL_CABIN_FT),)
    listed: bool = False
    cabin_assumed: bool = True
    club: ClubWaits = NO_CLUB_WAITS
    symptoms: bool = False


def read_no_fly(fields: Fields | None) -> NoFlyAsked:
    """`no_fly`; a usual cabin where no destination is given."""
    if fields is None:
        return NoFlyAsked()
    listed = fields.list_of_fields_or_none("to", 1, MOST_DESTINATIONS)
    flight_in = fields.number_or_none("flight_in_min", 0, LONGEST_INTERVAL_MIN, "minutes")
    flight_in_min = None if flight_in is None else scaled_down(flight_in, 1)
    by = cast("Way | None", fields.choice_or_none("by", WAYS))
    altitude_ft = read_altitude_ft(fields, "to_altitude")
    destinations: list[Destination] = []
    if listed is None or altitude_ft is not None or by is not None:
        destinations.append(_destination(fields, altitude_ft, by, None))
    for item in listed or ():
        way = cast("Way | None", item.choice_or_none("by", WAYS))
        leaves = item.number_or_none("in_min", 0, LONGEST_INTERVAL_MIN, "minutes")
        there_ft = read_altitude_ft(item, "to_altitude")
        destinations.append(
            _destination(item, there_ft, way, None if leaves is None else scaled_down(leaves, 1))
        )
        item.close()
    if flight_in_min is not None:
        if all(to.by == "road" for to in destinations):
            message = "No destination here is reached by flight; give in_min with each in to."
            fields.fail("flight_in_min", "not_allowed", message)
        destinations = [
            Destination(to.altitude_ft, to.by, flight_in_min)
            if to.by == "flight" and to.in_min is None
            else to
            for to in destinations
        ]
    asked = NoFlyAsked(
        tuple(destinations),
        listed is not None,
        listed is None and altitude_ft is None,
        _read_club_waits(fields),
        fields.flag("symptoms"),
    )
    fields.close()
    return asked


def read_one_no_fly(fields: Fields | None) -> tuple[int, ClubWaits]:
    """`no_fly` of a plan: the altitude of the flights (a usual cabin when absent) and the club's own waits."""
    if fields is None:
        return USUAL_CABIN_FT, NO_CLUB_WAITS
    altitude_ft = read_altitude_ft(fields, "to_altitude")
    club = _read_club_waits(fields)
    fields.close()
    return USUAL_CABIN_FT if altitude_ft is None else altitude_ft, club


def _read_club_waits(fields: Fields) -> ClubWaits:
    return ClubWaits(
        _minutes(fields, "club_wait_min") or 0,
        _beyond_18_h(fields, "club_wait_beyond_limit_min"),
        _minutes(fields, "club_wait_other_gas_min"),
        _beyond_18_h(fields, "club_wait_symptoms_min"),
    )


def _destination(fields: Fields, altitude_ft: int | None, by: Way | None, in_min: int | None) -> Destination:
    way: Way = "flight" if by is None else by
    if altitude_ft is None and way == "road":
        fields.required(
            "to_altitude_ft", "Give the highest point of the road as to_altitude_ft or to_altitude_m."
        )
    return Destination(USUAL_CABIN_FT if altitude_ft is None else altitude_ft, way, in_min)


def _minutes(fields: Fields, name: str) -> int | None:
    """The club's own wait in whole minutes, rounded up."""
    given = fields.number_or_none(name, 0, LONGEST_INTERVAL_MIN, "minutes")
    return None if given is None else scaled_up(given, 1)


def _beyond_18_h(fields: Fields, name: str) -> int | None:
    """As `_minutes`, above 18 h: what the consensus says is longer than that."""
    given = fields.number_or_none(name, MORE_MIN, LONGEST_INTERVAL_MIN, "minutes", above=True)
    return None if given is None else scaled_up(given, 1)
