"""A diver as the bodies of `plan` and `teams` write one: qualification, breathing, cylinder, gas, earlier dives.

The reader does not close the `Fields` it is given: whoever calls may read more fields from the same object.
What is missing about a person or their gas becomes `Missing`, naming what and whose.
"""

from __future__ import annotations

from dataclasses import replace

from teamdive.calculations.body import Fields
from teamdive.calculations.breathing_reading import read_rmv
from teamdive.calculations.gas_reading import counted_as, read_gas, read_main_cylinder
from teamdive.calculations.reading import (
    read_bottom_time_s,
    read_caution,
    read_depth,
    read_interval_s,
    read_mix,
)
from teamdive.calculations.state_body import read_state_before
from teamdive.calculations.team_reading import Reading, read_date
from teamdive.physics.cylinder import Cylinder
from teamdive.physics.diver import Diver
from teamdive.physics.earlier import Earlier, EarlierDive, EarlierState, overlapping
from teamdive.physics.known import Missing
from teamdive.physics.oxygen import Mix
from teamdive.physics.units import DepthUnit, depth

ADULT_TEAM_MATE_YEARS = 15
MOST_EARLIER = 50


def read_team_diver(fields: Fields, reading: Reading, water_c: float | None) -> Diver:
    """One diver. A junior (under 15 on the date, or said so) or supervised diver never counts as the one who shares.

    `water_c` is the temperature of the water, as far as it is known.
    """
    diver = fields.text("id", 100)
    certified = fields.number_or_none("certified_depth", 0, 1000, reading.unit, above=True)
    rmv = read_rmv(fields, reading.breathing)
    cylinder, mix, not_analysed = _breathes(fields, reading, diver, water_c)
    supervised, junior = fields.flag("supervised"), fields.flag("junior")
    born = read_date(fields, "born")
    if born is not None and reading.on is None:
        fields.errors.add("/on", "required", "Give the date of the dive: an age is reckoned on it.")
    elif born is not None and reading.on is not None:
        if born > reading.on:
            fields.fail("born", "out_of_order", "This date is after the day of the dive.")
        junior = junior or age_on(born, reading.on) < ADULT_TEAM_MATE_YEARS
    return Diver(
        id=diver,
        certified_depth=None if certified is None else depth(certified, reading.unit),
        rmv=rmv,
        cylinder=cylinder,
        mix=mix,
        not_analysed=not_analysed,
        earlier=_earlier(fields, reading.unit),
        caution=read_caution(fields) or 0,
        can_share=not supervised and not junior,
        stretched=fields.flag("stretched"),
    )


def read_gear(fields: Fields, reading: Reading, diver: Diver, water_c: float | None) -> Diver:
    """The same diver with the cylinders and the gas of another dive, as `cylinders` and `gas` write them."""
    cylinder, mix, not_analysed = _breathes(fields, reading, diver.id, water_c)
    return replace(diver, cylinder=cylinder, mix=mix, not_analysed=not_analysed)


def _breathes(
    fields: Fields, reading: Reading, diver: str, water_c: float | None
) -> tuple[Cylinder | Missing, Mix, str | None]:
    """The main cylinder as it counts, its gas, and what the analysis lacks (None: nothing)."""
    main = read_main_cylinder(fields, reading, diver)
    mix, not_analysed = read_gas(fields, reading, diver, main)
    if isinstance(main.cylinder, Missing):
        return main.cylinder, mix, not_analysed
    return counted_as(main, main.cylinder, mix, reading, water_c), mix, not_analysed


def age_on(born: str, on: str) -> int:
    """Whole years from a date of birth to a date."""
    years = int(on[:4]) - int(born[:4])
    return years if on[5:] >= born[5:] else years - 1


def _earlier(fields: Fields, unit: DepthUnit) -> tuple[Earlier, ...] | None:
    """`earlier_dives`: [] means none in the table's reach, absent means not known; or the state that `day` answered."""
    items = fields.list_of_fields_or_none("earlier_dives", 0, MOST_EARLIER)
    state = read_state_before(fields.fields_or_none("state_before"))
    if state is not None:
        if items is not None:
            fields.fail("state_before", "not_allowed", "Give earlier_dives or state_before, not both.")
        return (EarlierState(*state),)
    if items is None:
        return None
    made = []
    for item in items:
        deepest, bottom_time_s = read_depth(item, "depth", unit), read_bottom_time_s(item)
        mix, surfaced_s = read_mix(item), read_interval_s(item, "surfaced_min_before_descent")
        item.close()
        made.append(EarlierDive(deepest, bottom_time_s, mix, surfaced_s))
    wrong = overlapping(tuple(made)) if not fields.errors.found else None
    if wrong is not None:
        items[wrong].fail(
            "surfaced_min_before_descent",
            "out_of_order",
            "This dive began before the one before it had surfaced.",
        )
    return tuple(made)
