"""A cylinder's gauge: what it must show to bring two divers up, and where a team turns.

Pressures are gauge pressures in the unit of the gauge; what they are worth is `real_gas.counted`. Litres
are litres at 1 bar. Method: US Navy Diving Manual, Rev 4 Change A, 8-2.2.2 (regulator minimum added,
pressure rounded up). Turning by halves or thirds and equal litres in unequal cylinders: common practice,
no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from teamdive.physics.oxygen import AIR_O2_E4
from teamdive.physics.real_gas import Counting, cooled, counted, counting, least_gauge
from teamdive.physics.units import LITRES_PER_CUFT, PSI_PER_BAR

STEP = {"bar": 5, "psi": 50}
"""Minimum gas is rounded up to this many."""
AIR_OXYGEN = AIR_O2_E4 / 10_000.0
TURN_STEP = {"bar": 10, "psi": 100}
TURN_RULES = {"all_usable": 1.0, "halves": 1.0, "thirds": 2.0 / 3.0}
"""How much of the usable gas goes on the way out and the way back; the rest of it is a reserve for delays."""
USUAL_TURN = {"same_point": "halves", "free_ascent": "all_usable"}


@dataclass(frozen=True)
class Cylinder:
    """A diver's main cylinder: volume as typed, litres at 1 bar for one of it on one of its gauge, start.

    `start` is what the gauge shows in the water, `filled` what was read before it cooled; `working` is the
    working pressure and `full` what the gauge would show in the water after a fill to it; `fill_c` and `oxygen`
    are how warm it was filled, and the fraction it is counted with.
    """

    id: str
    volume: float
    litres_each: float
    start: float | None
    rule: Counting
    filled: float | None = None
    working: float | None = None
    full: float | None = None
    fill_c: float | None = None
    oxygen: float = AIR_OXYGEN

    @property
    def litres_per_unit(self) -> float:
        """Litres at 1 bar for each bar or psi counted."""
        return self.volume * self.litres_each


def in_water(cylinder: Cylinder, water_c: float | None, unit: str) -> Cylinder:
    """The cylinder as its gauge shows and counts in water of this temperature (None: not known, nothing cools)."""
    fill_c = cylinder.fill_c

    def shows(gauge: float | None) -> float | None:
        if gauge is None or fill_c is None or water_c is None:
            return gauge
        return cooled(gauge, unit, fill_c, water_c, cylinder.oxygen)

    rule = counting(cylinder.rule.law, unit, water_c, cylinder.oxygen)
    return replace(cylinder, start=shows(cylinder.filled), full=shows(cylinder.working), rule=rule)


def litres_each(volume_unit: str, working_pressure: float, pressure_unit: str) -> float:
    """Litres at 1 bar for each unit of volume and each bar or psi counted.

    `l` is water capacity; `cuft` is the free gas at the working pressure (needed only then), taken as that
    of an ideal gas: a rating in cubic feet, as is usual, says how large the cylinder is.
    """
    if volume_unit == "cuft":
        return LITRES_PER_CUFT / working_pressure
    return 1.0 if pressure_unit == "bar" else 1.0 / PSI_PER_BAR


def share_pressure(litres: float, cylinder_litres_per_unit: float, regulator_minimum: float) -> float:
    """The counted pressure that holds `litres` above that at which a regulator stops giving."""
    return litres / cylinder_litres_per_unit + regulator_minimum


def minimum_gas(
    shared_litres: float,
    own_litres: float,
    cylinder: Cylinder,
    regulator_minimum: float,
    surface_reserve: float,
    unit: str,
) -> int:
    """The gauge pressure that ends the dive, in whole steps of 5 bar or 50 psi, rounded up.

    The greatest of: two divers sharing to the surface, above the regulator minimum; the own ascent with the
    surface reserve left at its end; the surface reserve itself.
    """
    stops, reserve = counted(cylinder.rule, regulator_minimum), counted(cylinder.rule, surface_reserve)
    shared = share_pressure(shared_litres, cylinder.litres_per_unit, stops)
    own = own_litres / cylinder.litres_per_unit + reserve
    greatest = own if own > shared else shared
    return least_gauge(cylinder.rule, greatest if greatest > reserve else reserve, STEP[unit])


def usable_litres(cylinder: Cylinder, start: float, least: float) -> float:
    """Litres at 1 bar between two gauge pressures; below zero where the start is below the other."""
    return (counted(cylinder.rule, start) - counted(cylinder.rule, least)) * cylinder.litres_per_unit


@dataclass(frozen=True)
class Along:
    """Out and back along a current: with or against it first, and both speeds in knots."""

    first: str
    swim_kn: float
    current_kn: float


def share_out(rule: str, along: Along | None) -> float | None:
    """The share of the usable gas that the way out may take; None where no way back is reckoned.

    With a current the way that goes against it takes longer, in the measure of the speed made good; 0 where the
    current is as fast as the team swims, so that there is no way out or none back.
    """
    if rule == "all_usable":
        return None
    if along is not None and along.current_kn >= along.swim_kn:
        return 0.0
    if along is None:
        return TURN_RULES[rule] / 2.0
    slower = along.swim_kn - along.current_kn
    made_good = slower if along.first == "with" else along.swim_kn + along.current_kn
    return TURN_RULES[rule] * made_good / (2.0 * along.swim_kn)


def turn_pressure(
    share: float | None, cylinder: Cylinder, start: float, minimum: int, least_usable_litres: float, unit: str
) -> int:
    """The gauge pressure at which this diver turns the team, rounded up; never below minimum gas.

    `share` of the least usable gas of the team, the same litres for everyone, is spent on the way out;
    with None the team leaves the bottom at minimum gas, wherever it is.
    """
    if share is None:
        return minimum
    out = least_usable_litres * share if least_usable_litres > 0 else 0.0
    worth = counted(cylinder.rule, start) - out / cylinder.litres_per_unit
    turn = least_gauge(cylinder.rule, worth, TURN_STEP[unit])
    if turn > start:
        turn = int(start)
    return turn if turn > minimum else minimum
