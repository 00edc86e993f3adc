"""One diver's physics: the no-stop limit, a long profile, a day, a thousand limits of one dive.

Peers in the same run: scipy's root finder on the closed form, and its integrator on the differential equation.
"""

import time
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from teamdive.calculations.day import day
from teamdive.physics import tissues
from teamdive.physics.dive import Dive, Settings, clear_state, no_stop
from teamdive.physics.oxygen import AIR
from teamdive.physics.profile import breathe, profile
from teamdive.physics.units import depth

A, B = np.array(tissues.A_BAR), np.array(tissues.B)
K = 1 / np.array(tissues.TIME_CONSTANT_S)
VAPOUR, N2, SURFACE = tissues.WATER_VAPOUR_BAR, tissues.AIR_N2, tissues.SEA_LEVEL_BAR


def run(quick: bool) -> Iterator[dict[str, Any]]:
    settings = Settings()
    deep = depth(30, "m")
    n = 200 if quick else 2000
    ours = _each(lambda: no_stop(clear_state(settings), deep, AIR, settings), n)
    yield _row(
        "no_stop_limit", 1, "30 m, air, first dive, both methods", ours, "scipy brentq", _each(_root, n // 10)
    )

    segments = []
    for i in range(40):
        segments += profile(Dive(depth(10 + i, "m"), 300), settings)
        segments.append((SURFACE, SURFACE, 3600))
    rest = tissues.surface_state()
    ours = _each(lambda: breathe(rest, tuple(segments), N2), n // 10)
    yield _row(
        "profile",
        len(segments),
        "segments, decays already reckoned",
        ours,
        "scipy solve_ivp",
        _each(lambda: _integrate(segments), 1),
    )

    body = {
        "depth_unit": "m",
        "dives": [
            {"depth": 30, "bottom_time_min": 12},
            {"surface_interval_min": 90, "depth": 24, "bottom_time_min": 15},
            {"surface_interval_min": 120, "depth": 18, "bottom_time_min": 20},
        ],
    }
    yield _row("day", 3, "dives, from body to answer", _each(lambda: day(body), n // 10), None, None)


def _row(name: str, n: int, case: str, ours: float, peer: str | None, theirs: float | None) -> dict[str, Any]:
    row = {"name": f"physics.{name}", "n": n, "case": case, "value": round(ours * 1000, 4), "unit": "ms"}
    if peer is None or theirs is None:
        return row | {"reason": "for information: no peer answers this"}
    return row | {"peer": peer, "peer_value": round(theirs * 1000, 4), "ratio": round(theirs / ours, 2)}


def _each(work: Callable[[], object], times: int) -> float:
    """Seconds a call: the best of three rounds."""
    best = float("inf")
    for _ in range(3):
        started = time.perf_counter()
        for _ in range(times):
            work()
        best = min(best, (time.perf_counter() - started) / times)
    return best


def _root() -> float:
    bottom, down, up = SURFACE + 3.0, 100.0, 200.0
    allowed = SURFACE + 0.8 * (A + SURFACE / B - SURFACE)
    rest = np.full(16, (SURFACE - VAPOUR) * N2)

    def after(state: Any, p0: float, p1: float, seconds: float) -> Any:
        breathed, rate = (p0 - VAPOUR) * N2, (p1 - p0) * N2 / seconds
        return breathed + rate * (seconds - 1 / K) - (breathed - state - rate / K) * np.exp(-K * seconds)

    def margin(seconds: float) -> float:
        state = after(rest, SURFACE, bottom, down)
        state = after(after(state, bottom, bottom, seconds - down + 1e-9), bottom, SURFACE, up)
        return float(np.max(state - allowed))

    return float(brentq(margin, down, 1e6, xtol=0.5))


def _integrate(segments: list[tuple[float, float, int]]) -> Any:
    state = np.full(16, (SURFACE - VAPOUR) * N2)
    for p0, p1, seconds in segments:
        if seconds > 0:

            def slope(t: float, y: Any, p0: float = p0, p1: float = p1, seconds: int = seconds) -> Any:
                return K * ((p0 + (p1 - p0) * t / seconds - VAPOUR) * N2 - y)

            state = solve_ivp(slope, (0, seconds), state, rtol=1e-9, atol=1e-10).y[:, -1]
    return state
