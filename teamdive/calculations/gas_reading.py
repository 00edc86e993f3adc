"""A diver's cylinder and gas as the bodies of `plan` and `teams` write them.

The reader does not close the `Fields` of the diver it is given. What is missing becomes `Missing`, naming
what and whose.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from teamdive.calculations.body import Fields
from teamdive.calculations.team_reading import FILL_C, HIGHEST_PRESSURE, Reading, later
from teamdive.physics.cylinder import AIR_OXYGEN, STEP, Cylinder, in_water, litres_each
from teamdive.physics.diver import said
from teamdive.physics.known import Missing, missing
from teamdive.physics.oxygen import AIR_O2_E4, Mix
from teamdive.physics.real_gas import counted, counting, held
from teamdive.physics.rounding import scaled_nearest

LEAST_WORKING = {"bar": 50.0, "psi": 700.0}
VOLUME = {"l": (0.5, 40.0), "cuft": (3.0, 300.0)}
OXYGEN = (0.21, 0.40)
LEAST_READING = 0.20
LABEL_E4 = 100
"""A reading further from its label, in ten-thousandths, is warned of."""
AIR_E4 = 50
"""A reading this close to 21 % of a cylinder labelled air is air."""
OVERFILL = 1.1
LESS_GAS = "less_gas_than_counted"
"""Warned of where the published law counts more than a step of minimum gas too much."""
FILL_NOT_COUNTED = "fill_temperature_not_counted"


@dataclass(frozen=True)
class MainCylinder:
    """The main cylinder, its id, when and how warm it was filled, and the pointer of its start pressure."""

    cylinder: Cylinder | Missing
    name: str | None = None
    filled_at: str | None = None
    fill_c: float | None = None
    at: str = ""


def read_main_cylinder(fields: Fields, reading: Reading, diver: str) -> MainCylinder:
    """The one main cylinder; redundant ones are read and never count."""
    mains: list[MainCylinder] = []
    names: list[str] = []
    for item in fields.list_of_fields_or_none("cylinders", 0, 12) or []:
        name = item.text_or_none("id", 100)
        if name is not None and name in names:
            item.fail("id", "duplicate", "Two cylinders of one diver have this id.")
        names.append(name or "")
        read = _cylinder(item, reading, diver, name)
        filled_at = item.text_or_none("filled_at", 40)
        own_c = item.number_or_none("fill_temp_c", *FILL_C, "°C")
        if (item.choice_or_none("use", ("main", "redundant")) or "main") == "main":
            fill_c = reading.fill_temp_c if own_c is None else own_c
            mains.append(MainCylinder(read, name, filled_at, fill_c, item.pointer("start_pressure")))
        item.close()
    if len(mains) > 1:
        message = "Give one main cylinder; a twin set on one manifold is one cylinder with its whole volume."
        fields.fail("cylinders", "not_allowed", message)
    if not mains:
        return MainCylinder(missing(f"main cylinder of diver {diver}"))
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
    lacking = []
    if volume is None:
        lacking.append(f"volume of {whose}")
    if working is None and settings.volume_unit == "cuft":
        lacking.append(f"working pressure of {whose}")
    if volume is None or lacking:
        return Missing(tuple(lacking))
    rule = counting(reading.gas_law, unit, None, AIR_OXYGEN)
    each = litres_each(settings.volume_unit, working or 1.0, unit)
    return Cylinder(name or "", volume, each, start, rule, start, working)


def counted_as(
    main: MainCylinder, cylinder: Cylinder, mix: Mix, reading: Reading, water_c: float | None
) -> Cylinder:
    """The cylinder with what its gauge will show in the water, and how that is counted.

    A gas that is not analysed is taken as air, which holds least.
    """
    unit = reading.settings.pressure_unit
    oxygen = mix.o2_e4 / 10_000.0 if mix.analysed and mix.o2_e4 is not None else AIR_OXYGEN
    shown = in_water(replace(cylinder, fill_c=main.fill_c, oxygen=oxygen), water_c, unit)
    start = shown.start
    if start is None:
        return shown
    if main.fill_c is not None and water_c is None:
        message = "No water temperature (water_temp_c): what a fill loses in colder water is not counted."
        _once(reading, FILL_NOT_COUNTED, reading.water_at, message)
    less = counted(shown.rule, start) - held(shown.rule, start)
    if reading.gas_law == "published" and less > STEP[unit]:
        message = (
            f"At {said(start)} {unit} a cylinder holds about {said(less)} {unit} less than is counted here; "
            "with gas_law real it is counted."
        )
        _once(reading, LESS_GAS, main.at, message)
    return shown


def _once(reading: Reading, code: str, at: str, message: str) -> None:
    """Warn for the first cylinder of a body only: it is true of the others for the same reason."""
    if not any(warning["code"] == code for warning in reading.warnings):
        reading.warn(code, at, message)


def read_gas(fields: Fields, reading: Reading, diver: str, main: MainCylinder) -> tuple[Mix, str | None]:
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
    elif cylinder is None or cylinder != main.name:
        lacking = f"analysis of the cylinder that diver {diver} takes (analysis.cylinder)"
    elif at is None:
        lacking = f"time of the analysis of diver {diver} (analysis.at)"
    elif main.filled_at is not None:
        analysed_after = later(at, main.filled_at)
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
