"""The deck's sums about people in the water, in whole numbers.

Ranges at which a head, a raised arm and a flag are seen: 250 yd, 750 yd and 1.2 mi in calm daylight, much less in
waves (trial for the UK Health and Safety Executive, as reported by others). The radius of the drift is our own
choice: rescue services have leeway tables of their own and are given the inputs.
"""

from collections.abc import Mapping
from typing import Any

from teamdive.physics.rounding import ceil_div

SIGHT_CM = {"head": 22_860, "arm": 68_580, "flag": 193_121}
CM_OF_TENTH_KN_HOUR = 18_520
# 0.1 of a nautical mile, and three tenths of the run.
LEAST_RADIUS_M = 185
# Longer than any search; it keeps the products within what both languages hold exactly.
LONGEST_S = 7 * 86_400


def visible_for_s(current_tenths_kn: int) -> dict[str, int | None]:
    """How long a diver adrift can be seen from a boat that stays, in whole seconds, the shorter; null: no current."""
    if current_tenths_kn == 0:
        return dict.fromkeys(SIGHT_CM)
    speed = current_tenths_kn * CM_OF_TENTH_KN_HOUR
    return {word: cm * 3600 // speed for word, cm in SIGHT_CM.items()}


def drift(current_tenths_kn: int, elapsed_s: int) -> dict[str, int]:
    """Metres from the place last seen to the middle of the area, and its radius, both rounded up."""
    run_m = ceil_div(current_tenths_kn * CM_OF_TENTH_KN_HOUR * min(elapsed_s, LONGEST_S), 360_000)
    return {"run_m": run_m, "radius_m": LEAST_RADIUS_M + ceil_div(run_m * 3, 10)}


def gas_ends_at(from_ms: int, cylinder_dl: int, pressure_mbar: int, rmv_low_dl_min: int) -> int:
    """When (ms) the gas must be gone even at the surface stop of 5 m (1.5 bar) with little breathing: the latest.

    Never a reason to wait: it says whether one looks for a swimmer or also below. From the moment of the pressure
    (mbar), the cylinder's volume and the least breathing rate (tenths of a litre, a minute).
    """
    return from_ms + ceil_div(cylinder_dl * pressure_mbar * 40, rmv_low_dl_min)


def pressure_mbar(pressure: Mapping[str, Any]) -> int:
    """A gauge pressure as read in mbar, the higher; 1 psi = 68.9476 mbar."""
    value: int = pressure["value"]
    return value * 1000 if pressure["unit"] == "bar" else ceil_div(value * 689_476, 10_000)
