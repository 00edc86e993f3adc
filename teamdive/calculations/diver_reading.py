"""A diver as the bodies of `plan` and `teams` write one: qualification, breathing, cylinder, gas, earlier dives.

The reader does not close the `Fields` it is given: whoever calls may read more fields from the same object.
What is missing about a person or their gas becomes `Missing`, naming what and whose.
"""

from __future__ import annotations

from dataclasses import replace

from teamdive.calculations.body import Fields
from teamdive.calculations.reading import (
    read_bottom_time_s,
    read_caution,
    read_depth,
    read_interval_s,
    read_mix,
)
from teamdive.calculations.state_body import read_state_before
from teamdive.calculations.team_reading import HIGHEST_PRESSURE, Reading, later, read_date
from teamdive.physics.diver import Diver, Rmv, said
from teamdive.physics.earlier import Earlier, EarlierDive, EarlierState, overlapping
from teamdive.physics.gas import Cylinder, litres_each
from teamdive.physics.known import Missing, missing
from teamdive.physics.oxygen import AIR_O2_E4, Mix
from teamdive.physics.rounding import scaled_nearest
from teamdive.physics.units import PSI_PER_BAR, DepthUnit, depth

LEAST_WORKING = {"bar": 50.0, "psi": 700.0}
VOLUME = {"l": (0.5, 40.0), "cuft": (3.0, 300.0)}
OXYGEN = (0.21, 0.40)
LEAST_READING = 0.20
LABEL_E4 = 100
"""A reading further from its label, in ten-thousandths, is warned of."""
AIR_E4 = 50
"""A reading this close to 21 % of a cylinder labelled air is air."""
REAL_GAS_BAR = 230.0
OVERFILL = 1.1
ADULT_TEAM_MATE_YEARS = 15
MOST_EARLIER = 50


def read_team_diver(fields: Fields, reading: Reading) -> Diver:
    """One diver. A junior (under 15 on the date, or said so) or supervised diver never counts as the one who shares."""
    diver = fields.text("id", 100)
    certified = fields.number_or_none("certified_depth", 0, 1000, reading.unit, above=True)
    margin = fields.number_or_none("gas_margin_percent", 0, 200, "percent")
    rmv = Rmv(
        fields.number_or_none("rmv_l_min", 4, 120, "L/min"),
        fields.number_or_none("rmv_sd_l_min", 0, 60, "L/min"),
        reading.gas_margin_percent if margin is None else margin,
    )
    cylinder, main, filled_at = _main_cylinder(fields, reading, diver)
    mix, not_analysed = _gas(fields, reading, diver, main, filled_at)
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


def read_gear(fields: Fields, reading: Reading, diver: Diver) -> Diver:
    """The same diver with the cylinders and the gas of another dive, as `cylinders` and `gas` write them."""
    cylinder, main, filled_at = _main_cylinder(fields, reading, diver.id)
    mix, not_analysed = _gas(fields, reading, diver.id, main, filled_at)
    return replace(diver, cylinder=cylinder, mix=mix, not_analysed=not_analysed)


def age_on(born: str, on: str) -> int:
    """Whole years from a date of birth to a date."""
    years = int(on[:4]) - int(born[:4])
    return years if on[5:] >= born[5:] else years - 1


def _main_cylinder(
    fields: Fields, reading: Reading, diver: str
) -> tuple[Cylinder | Missing, str | None, str | None]:
    """The one main cylinder, its id and when it was filled; redundant ones are read and never count."""
    mains: list[tuple[Cylinder | Missing, str | None, str | None]] = []
    names: list[str] = []
    for item in fields.list_of_fields_or_none("cylinders", 0, 12) or []:
        name = item.text_or_none("id", 100)
        if name is not None and name in names:
            item.fail("id", "duplicate", "Two cylinders of one diver have this id.")
        names.append(name or "")
        read = _cylinder(item, reading, diver, name)
        filled_at = item.text_or_none("filled_at", 40)
        if (item.choice_or_none("use", ("main", "redundant")) or "main") == "main":
            mains.append((read, name, filled_at))
        item.close()
    if len(mains) > 1:
        message = "Give one main cylinder; a twin set on one manifold is one cylinder with its whole volume."
        fields.fail("cylinders", "not_allowed", message)
    if not mains:
        return missing(f"main cylinder of diver {diver}"), None, None
    return mains[0]


def _cylinder(item: Fields, reading: Reading, diver: str, name: str | None) -> Cylinder | Missing:
    settings = reading.settings
    unit, most = settings.pressure_unit, HIGHEST_PRESSURE[settings.pressure_unit]
    least_volume, most_volume = VOLUME[settings.volume_unit]
    volume = item.number_or_none("volume", least_volume, most_volume, settings.volume_unit)
    working = item.number_or_none("working_pressure", LEAST_WORKING[unit], most, unit)
    start = item.number_or_none("start_pressure", 0, most, unit)
    whose = f"cylinder {name or ''} of diver {diver}".replace("  ", " ")
    if start is not None and working is not None and start > working * OVERFILL:
        message = (
            f"{said(start)} {unit} is more than a tenth above the working pressure, {said(working)} {unit}."
        )
        reading.warn("over_working_pressure", item.pointer("start_pressure"), message)
    per_bar = 1.0 if unit == "bar" else PSI_PER_BAR
    if start is not None and start > REAL_GAS_BAR * per_bar:
        message = (
            "Above 230 bar a cylinder holds less than counted here: about 6 % less at 250, 10 % at 300 bar."
        )
        reading.warn("ideal_gas", item.pointer("start_pressure"), message)
    lacking = []
    if volume is None:
        lacking.append(f"volume of {whose}")
    if working is None and settings.volume_unit == "cuft":
        lacking.append(f"working pressure of {whose}")
    if volume is None or lacking:
        return Missing(tuple(lacking))
    return Cylinder(name or "", volume, litres_each(settings.volume_unit, working or 1.0, unit), start)


def _gas(
    fields: Fields, reading: Reading, diver: str, main: str | None, filled_at: str | None
) -> tuple[Mix, str | None]:
    """The gas, and what its analysis lacks (None: nothing). Without one nitrogen counts as in air."""
    gas = fields.fields_or_none("gas")
    if gas is None:
        return Mix(None), f"gas of diver {diver} (gas.o2_fraction and its analysis)"
    label = gas.number_or_none("o2_fraction", *OXYGEN)
    label_e4 = None if label is None else scaled_nearest(label, 10_000)
    analysis = gas.fields_or_none("analysis")
    gas.close()
    if analysis is None:
        if label_e4 == AIR_O2_E4 and not reading.air_needs_analysis:
            return Mix(AIR_O2_E4), None
        return Mix(label_e4), f"analysis of the gas of diver {diver}"
    read = analysis.number_or_none("o2_fraction", LEAST_READING, OXYGEN[1])
    by, at = analysis.text_or_none("by", 100), analysis.text_or_none("at", 40)
    cylinder = analysis.text_or_none("cylinder", 100)
    analysis.close()
    lacking = None
    if read is None:
        lacking = f"reading of the analysis of diver {diver} (analysis.o2_fraction)"
    elif by != diver:
        lacking = f"analysis by diver {diver} in person (analysis.by)"
    elif cylinder is None or cylinder != main:
        lacking = f"analysis of the cylinder that diver {diver} takes (analysis.cylinder)"
    elif at is None:
        lacking = f"time of the analysis of diver {diver} (analysis.at)"
    elif filled_at is not None:
        analysed_after = later(at, filled_at)
        if analysed_after is None:
            lacking = (
                f"whether diver {diver} analysed after the last fill: give date and time of both, alike with or "
                "without an offset (analysis.at, filled_at)"
            )
        elif not analysed_after:
            lacking = f"analysis of the gas of diver {diver} after the last fill"
    if read is None or lacking is not None:
        return Mix(label_e4), lacking
    read_e4 = scaled_nearest(read, 10_000)
    if label_e4 is not None and abs(read_e4 - label_e4) > LABEL_E4:
        message = "The analysis differs from the label by more than 1 % oxygen: the analysis is used."
        reading.warn("label_differs", analysis.pointer("o2_fraction"), message)
    if label_e4 == AIR_O2_E4 and abs(read_e4 - AIR_O2_E4) <= AIR_E4:
        read_e4 = AIR_O2_E4
    return Mix(read_e4, True), None


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
