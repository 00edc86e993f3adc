"""What a plan is asked backwards: intervals, steps, an order of dives, flights, and who else could dive."""

from __future__ import annotations

from dataclasses import dataclass, replace

from teamdive.calculations.body import Fields
from teamdive.calculations.diver_reading import read_team_diver
from teamdive.calculations.no_fly_reading import read_one_no_fly
from teamdive.calculations.reading import LONGEST_INTERVAL_MIN
from teamdive.calculations.team_reading import Reading, read_team_dive
from teamdive.physics.diver import Diver, TeamDive
from teamdive.physics.earlier import EarlierDive
from teamdive.physics.flight import Flight
from teamdive.physics.no_fly import ClubWaits
from teamdive.physics.oxygen import AIR_O2_E4, Mix
from teamdive.physics.rounding import seconds_down

MOST_DIVERS = 12
MOST_ORDERED = 3


@dataclass(frozen=True)
class Asked:
    """The question beside the plan itself. `dives` are those of an order: `dive` is then the first of them."""

    find: str | None
    what_if: bool
    overstay: bool
    interval_steps: bool
    dive: TeamDive
    dives: tuple[TeamDive, ...]
    next_dive: TeamDive | None
    divers: tuple[Diver, ...]
    flights: dict[str, Flight]
    alternatives: tuple[Diver, ...]


def read_asked(fields: Fields, reading: Reading) -> Asked:
    """Everything below the settings of a body of `plan`. Raises `Problem` with every error met so far."""
    find = fields.choice_or_none("find", ("surface_interval", "order"))
    what_if, overstay = fields.flag("what_if"), fields.flag("overstay")
    steps = fields.flag("interval_steps")
    dives = _dives(fields, reading, ordered=find == "order")
    coming = fields.fields_or_none("next_dive")
    next_dive = None if coming is None else _dive(coming, reading)
    to_altitude_ft, club = read_one_no_fly(fields.fields_or_none("no_fly"))
    divers: list[Diver] = []
    flights: dict[str, Flight] = {}
    water_c = dives[0].water_c if dives else None
    if find == "order":
        unknown = [i for i, dive in enumerate(dives) if dive.water_c is None]
        water_c = None if unknown else water_c
        reading = replace(reading, water_at=f"/dives/{unknown[0] if unknown else 0}/water_temp_c")
    items, partners = fields.list_of_fields("divers", 1, MOST_DIVERS), []
    for item in items:
        diver = read_team_diver(item, reading, water_c)
        flight = item.fields_or_none("flight")
        if flight is not None:
            flights[diver.id] = _flight(flight, to_altitude_ft, club)
        partners.append(item.text_or_none("earlier_dives_of", 100))
        item.close()
        _refuse_twice(item, diver, divers)
        divers.append(diver)
    divers = [
        diver if partner is None else _with_partner(item, diver, partner, divers, reading)
        for item, diver, partner in zip(items, divers, partners, strict=True)
    ]
    others: list[Diver] = []
    for item in fields.list_of_fields_or_none("alternatives", 0, MOST_DIVERS) or []:
        other = read_team_diver(item, reading, water_c)
        item.close()
        _refuse_twice(item, other, [*divers, *others])
        others.append(other)
    fields.close()
    fields.errors.raise_if_any()
    return Asked(
        find, what_if, overstay, steps, dives[0], dives, next_dive, tuple(divers), flights, tuple(others)
    )


def _dives(fields: Fields, reading: Reading, ordered: bool) -> tuple[TeamDive, ...]:
    """The dive, or for an order the two or three dives in its place."""
    if not ordered:
        if fields.has("dives"):
            fields.get("dives")
            fields.fail("dives", "not_allowed", 'Give "find": "order" with dives, or one dive as dive.')
        return (_dive(fields.fields("dive"), reading),)
    if fields.has("dive"):
        fields.get("dive")
        fields.fail("dive", "not_allowed", "For an order give the dives as dives, two or three of them.")
    items = fields.list_of_fields("dives", 2, MOST_ORDERED)
    return tuple(_dive(item, reading) for item in items)


def _dive(fields: Fields, reading: Reading) -> TeamDive:
    dive = read_team_dive(fields, reading)
    fields.close()
    return dive


def _flight(fields: Fields, to_altitude_ft: int, club: ClubWaits) -> Flight:
    """Minutes from this descent to the departure, and how many days the diver has dived on by then."""
    in_s = seconds_down(fields.number("in_min", 0, LONGEST_INTERVAL_MIN, "minutes"))
    days = fields.integer_or_none("days_of_diving", 1, 365)
    fields.close()
    return Flight(in_s, to_altitude_ft, days, club)


def _with_partner(item: Fields, diver: Diver, partner: str, divers: list[Diver], reading: Reading) -> Diver:
    """A diver whose earlier dives are not known, given those of their partner; other gas than air stays unknown."""
    mate = next((d for d in divers if d.id == partner and d.id != diver.id), None)
    if mate is None:
        item.fail("earlier_dives_of", "not_allowed", "Name another diver of this team.")
    if diver.earlier is not None:
        item.fail("earlier_dives_of", "not_allowed", "Give earlier_dives or earlier_dives_of, not both.")
    if mate is None or mate.earlier is None or diver.earlier is not None:
        return diver
    made = [each for each in mate.earlier if isinstance(each, EarlierDive)]
    if len(made) < len(mate.earlier):
        item.fail(
            "earlier_dives_of",
            "not_allowed",
            "A state stands for one diver: give the earlier_dives of the partner.",
        )
    message = (
        f"Earlier dives of diver {diver.id} not known: those of diver {partner} counted. Give the diver's own where "
        "they were deeper, longer or later."
    )
    reading.warn("earlier_dives_assumed", item.pointer("earlier_dives_of"), message)
    return replace(
        diver,
        earlier=tuple(each if each.mix.o2_e4 == AIR_O2_E4 else replace(each, mix=Mix(None)) for each in made),
    )


def _refuse_twice(item: Fields, diver: Diver, others: list[Diver]) -> None:
    if diver.id != "" and any(other.id == diver.id for other in others):
        item.fail("id", "duplicate", "Two divers have this id.")
