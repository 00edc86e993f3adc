"""The no-stop limit on a gas with helium: for trained divers, as a calculation only."""

from __future__ import annotations

from teamdive.physics import tissues
from teamdive.physics.tissues import Tissues

STEPS_S = (60,) * 120 + (600,) * 132
"""A day in steps of a minute, from two hours on of ten."""


def no_stop_limit_s(
    state: Tissues,
    surface_bar: float,
    bottom_bar: float,
    n2: float,
    he: float,
    descent_s: int,
    ascent_s: int,
    gf: float,
    exact_ascent_s: float | None = None,
) -> int | None:
    """Longest bottom time in whole seconds, as `tissues.no_stop_limit_s`, for two gases.

    Helium may enter faster than nitrogen leaves, so a tension can rise above where it comes to rest, and times
    within the limit may have a gap. The day is walked in steps and the first one that leads beyond is bisected.
    None where a day and rest at depth are within; a limit is never longer than about a day.
    """

    def surfaces(at: Tissues) -> bool:
        up = tissues.linear(at, bottom_bar, surface_bar, n2, ascent_s, he)
        if not tissues.tolerates(up, surface_bar, gf):
            return False
        if exact_ascent_s is None:
            return True
        up = tissues.linear(at, bottom_bar, surface_bar, n2, exact_ascent_s, he)
        return tissues.tolerates(up, surface_bar, gf)

    state = tissues.linear(state, surface_bar, bottom_bar, n2, descent_s, he)
    if not surfaces(state):
        return 0
    stay_s = 0
    for step_s in STEPS_S:
        later = tissues.constant(state, bottom_bar, n2, step_s, he)
        if surfaces(later):
            state = later
            stay_s += step_s
            continue
        low, high = 0, step_s
        while high - low > 1:
            middle = (low + high) // 2
            if surfaces(tissues.constant(state, bottom_bar, n2, middle, he)):
                low = middle
            else:
                high = middle
        return descent_s + stay_s + low
    rest = tissues.constant(state, bottom_bar, n2, tissues.LONGEST_S, he)
    return None if surfaces(rest) else descent_s + stay_s
