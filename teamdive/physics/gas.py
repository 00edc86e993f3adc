"""Gas: what a dive uses, what two divers need to come up together, and how long a cylinder lasts.

Pressures in a cylinder are gauge pressures in the unit of its gauge; what it holds is counted in
litres at 1 bar, by the ideal gas law (which overstates the content above about 200 bar). Depths are
msw; `depth_per_bar` is 10, and 33 with feet of sea water and atmospheres where a published example
counts so. Times are minutes where gas is summed, and whole seconds where a limit comes out.
Method: US Navy Diving Manual, Rev 4 Change A, 7-4.1 and 8-2.2.2 (consumption = ambient pressure x RMV;
an ascent at its mean depth; regulator minimum added; time and pressure rounded up).
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from teamdive.physics.chance import UPPER_95, exponential, first_of, natural_log, share_later
from teamdive.physics.units import LITRES_PER_CUFT, PSI_PER_BAR

STEP = {"bar": 5, "psi": 50}
"""Minimum gas is rounded up to this many."""
TURN_STEP = {"bar": 10, "psi": 100}

BREATHING: dict[str, Any] = json.loads(
    Path(__file__).with_name("data").joinpath("breathing.json").read_text("utf-8")
)

Segment = tuple[float, float]
"""Minutes, and the mean depth over them."""


def ambient(depth: float, depth_per_bar: float = 10.0) -> float:
    """Ambient pressure at a depth: bar from msw, atmospheres from fsw with 33."""
    return (depth + depth_per_bar) / depth_per_bar


def consumption(rmv: float, depth: float, depth_per_bar: float = 10.0) -> float:
    """Surface volume breathed per minute at a depth, in the volume unit of `rmv`."""
    return ambient(depth, depth_per_bar) * rmv


def pressure_minutes(segments: Sequence[Segment], depth_per_bar: float = 10.0) -> float:
    """The sum of minutes x ambient pressure: multiplied by an RMV it is the gas breathed."""
    total = 0.0
    for minutes, mean_depth in segments:
        total = total + minutes * ambient(mean_depth, depth_per_bar)
    return total


def descent_and_bottom(depth: float, minutes: float, descent_rate: float) -> tuple[Segment, ...]:
    """From leaving the surface to leaving the bottom; `minutes` is the bottom time, descent included."""
    down = depth / descent_rate
    if minutes < down:
        return ((minutes, minutes * descent_rate / 2.0),)
    return ((down, depth / 2.0), (minutes - down, depth))


def ascent(depth: float, ascent_rate: float, stop_depth: float, stop_minutes: float) -> tuple[Segment, ...]:
    """From leaving the bottom to the surface, with one stop (at the deepest point if that is shallower)."""
    stop = stop_depth if stop_depth < depth else depth
    return (
        ((depth - stop) / ascent_rate, (depth + stop) / 2.0),
        (stop_minutes, stop),
        (stop / ascent_rate, stop / 2.0),
    )


def gas_limit_s(litres: float, rate_l_min: float, depth: float, descent_rate: float) -> int:
    """The longest bottom time in whole seconds that uses no more than `litres`; 0 if they do not last to the bottom."""
    down = depth / descent_rate
    left = litres / rate_l_min - down * ambient(depth / 2.0)
    if left < 0:
        return 0
    return int((down + left / ambient(depth)) * 60.0 + 1e-6)


# --- breathing rates ---------------------------------------------------------------------------------------


def work_multiplier(work: str) -> float:
    """What hard work does to a diver's ordinary working mean."""
    high, low = BREATHING["work"][work]
    return float(high / low)


def current_multiplier(current_kn: float) -> float | None:
    """What swimming at this speed does to a diver's ordinary working mean; None past the last figure known."""
    rows = BREATHING["swimming"]
    slowest, base = rows[0]
    if current_kn <= slowest:
        return 1.0
    for (kn_0, rate_0), (kn_1, rate_1) in pairwise(rows):
        if current_kn <= kn_1:
            rate = rate_0 + (rate_1 - rate_0) * (current_kn - kn_0) / (kn_1 - kn_0)
            return float(rate / base)
    return None


def upper_rate(mean: float, sd: float) -> float:
    """The RMV that a diver stays under nineteen times in twenty (log-normal, median `mean`)."""
    return mean * exponential(UPPER_95 * (sd / mean))


# --- cylinders ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Cylinder:
    """A diver's main cylinder: volume as typed, litres at 1 bar for one of it on one of its gauge, start."""

    id: str
    volume: float
    litres_each: float
    start: float | None

    @property
    def litres_per_unit(self) -> float:
        """Litres at 1 bar for each bar or psi on the gauge."""
        return self.volume * self.litres_each


def litres_each(volume_unit: str, working_pressure: float, pressure_unit: str) -> float:
    """Litres at 1 bar for each unit of volume and each bar or psi on the gauge.

    `l` is water capacity; `cuft` is the free gas at the working pressure (needed only then).
    """
    if volume_unit == "cuft":
        return LITRES_PER_CUFT / working_pressure
    return 1.0 if pressure_unit == "bar" else 1.0 / PSI_PER_BAR


def share_pressure(litres: float, cylinder_litres_per_unit: float, regulator_minimum: float) -> float:
    """The gauge pressure that holds `litres` above the pressure at which a regulator stops giving."""
    return litres / cylinder_litres_per_unit + regulator_minimum


def step_up(value: float, step: int) -> int:
    """The least multiple of `step` that is not below `value`; a billionth of a unit is the noise of a division."""
    steps = int(value / step)
    return (steps if steps * step >= value - 1e-9 else steps + 1) * step


def step_down(value: float, step: int) -> int:
    """The greatest multiple of `step` not above `value` (>= 0)."""
    return int((value + 1e-9) / step) * step


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
    shared = share_pressure(shared_litres, cylinder.litres_per_unit, regulator_minimum)
    own = own_litres / cylinder.litres_per_unit + surface_reserve
    greatest = own if own > shared else shared
    return step_up(greatest if greatest > surface_reserve else surface_reserve, STEP[unit])


def turn_pressure(
    way: str, start: float, minimum: int, litres_per_unit: float, least_usable_litres: float, unit: str
) -> int:
    """The gauge pressure at which this diver turns the team, rounded up; never below minimum gas.

    `same_point`: half of the least usable gas of the team, the same litres for everyone, spent on the way out.
    `free_ascent`: the boat follows, so the team leaves the bottom at minimum gas.
    """
    if way == "free_ascent":
        return minimum
    half = least_usable_litres / 2.0 if least_usable_litres > 0 else 0.0
    turn = step_up(start - half / litres_per_unit, TURN_STEP[unit])
    if turn > start:
        turn = int(start)
    return turn if turn > minimum else minimum


# --- who turns first, and how long nineteen times in twenty ------------------------------------------------


@dataclass(frozen=True)
class Supply:
    """What a diver may use before minimum gas, and how that diver breathes: mean RMV and its spread over the mean."""

    litres: float
    rmv: float
    spread: float


def turns_first(supplies: Sequence[Supply]) -> tuple[float, ...]:
    """The probability of each diver to reach minimum gas first (log-normal RMV; a shared work factor cancels)."""
    return first_of([natural_log(s.litres / s.rmv) for s in supplies], [s.spread for s in supplies])


def time_met_s(supplies: Sequence[Supply], share: float, depth: float, descent_rate: float) -> int:
    """The bottom time in whole seconds that the gas of all of them lasts with probability `share`, floored."""
    low, high = 0, 86_400
    while high - low > 1:
        middle = (low + high) // 2
        used = pressure_minutes(descent_and_bottom(depth, middle / 60.0, descent_rate))
        log_used = natural_log(used)
        lasting = 1.0
        for s in supplies:
            lasting = lasting * share_later(log_used, natural_log(s.litres / s.rmv), s.spread)
        if lasting >= share:
            low = middle
        else:
            high = middle
    return low
