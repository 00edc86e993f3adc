"""What `bench_physics` measures against: the same equations as plain Python and by scipy."""

import math
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from teamdive.physics import tissues

A, B = np.array(tissues.A_BAR), np.array(tissues.B)
TIMES = tissues.TIME_CONSTANT_S[: tissues.COUNT]
RATES = [1 / tau for tau in TIMES]
K = np.array(RATES)
VAPOUR, N2, SURFACE = tissues.WATER_VAPOUR_BAR, tissues.AIR_N2, tissues.SEA_LEVEL_BAR


def plain_loop(states: Any, start: Any, end: Any, n2: float, seconds: Any) -> list[list[float]]:
    """Lists in, lists out: diver after diver, segment after segment, `math.exp` for each compartment."""
    exp = math.exp
    after = []
    for i, state in enumerate(states):
        for s in range(len(start)):
            p0, p1, t = start[s][i], end[s][i], seconds[s][i]
            breathed = (p0 - VAPOUR) * n2
            if p0 == p1:
                state = [breathed + (p - breathed) * exp(-k * t) for p, k in zip(state, RATES, strict=False)]
            else:
                rate = (p1 - p0) * n2 / t
                last = breathed + rate * t
                state = [
                    last - rate * tau - (breathed - rate * tau - p) * exp(-k * t)
                    for p, tau, k in zip(state, TIMES, RATES, strict=False)
                ]
        after.append(state)
    return after


def plain_loop_together(states: Any, start: Any, end: Any, n2: float, seconds: Any) -> list[list[float]]:
    """The same where everybody has the first diver's times, so that the decays are reckoned once."""
    decays = [[math.exp(-k * times[0]) for k in RATES] for times in seconds]
    after = []
    for i, state in enumerate(states):
        for s in range(len(start)):
            p0, p1, t = start[s][i], end[s][i], seconds[s][0]
            breathed = (p0 - VAPOUR) * n2
            if p0 == p1:
                state = [breathed + (p - breathed) * f for p, f in zip(state, decays[s], strict=False)]
            else:
                rate = (p1 - p0) * n2 / t
                last = breathed + rate * t
                state = [
                    last - rate * tau - (breathed - rate * tau - p) * f
                    for p, tau, f in zip(state, TIMES, decays[s], strict=False)
                ]
        after.append(state)
    return after


def integrate(states: Any, start: Any, end: Any, seconds: Any) -> Any:
    """scipy's integrator to 1e-9: every diver in one system, each segment stretched over one unit of time."""
    for p0, p1, t in zip(start, end, seconds, strict=True):

        def slope(u: float, y: Any, p0: Any = p0, p1: Any = p1, t: Any = t) -> Any:
            breathed = ((p0 + (p1 - p0) * u - VAPOUR) * N2)[:, None]
            return (K * t[:, None] * (breathed - y.reshape(-1, len(K)))).ravel()

        found = solve_ivp(slope, (0, 1), states.ravel(), method="DOP853", rtol=1e-9, atol=1e-10)
        states = found.y[:, -1].reshape(-1, len(K))
    return states


def limit_by_root(gauge: float, down: float, up: float, gf: float = 0.8) -> float:
    """Seconds of the no-stop limit of a first dive, by Brent's method on the closed form."""
    bottom = SURFACE + gauge
    allowed = SURFACE + gf * (A + SURFACE / B - SURFACE)

    def after(state: Any, p0: float, p1: float, t: float) -> Any:
        breathed, rate = (p0 - VAPOUR) * N2, (p1 - p0) * N2 / t
        return breathed + rate * (t - 1 / K) - (breathed - state - rate / K) * np.exp(-K * t)

    def margin(t: float) -> float:
        state = after(np.full(len(K), (SURFACE - VAPOUR) * N2), SURFACE, bottom, down)
        state = after(after(state, bottom, bottom, t - down + 1e-9), bottom, SURFACE, up)
        return float(np.max(state - allowed))

    return float(brentq(margin, down, 1e6, xtol=0.5))
