"""Writes teamdive/physics/data/real_gas.json: how far compressed air and nitrox are from an ideal gas.

Run by hand: `python -m tests.published.make_real_gas`. CoolProp's mixture model (GERG-2008 kind, of nitrogen, oxygen
and argon) gives the compressibility Z on a grid of pressure, temperature and oxygen; a polynomial is fitted to it so
that the run-time code needs + - x / only. Its coefficients are whole thousand-millionths.
"""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import CoolProp.CoolProp as coolprop
import numpy as np
from numpy.typing import NDArray

from teamdive.physics.tables import DATA

SCALE = 1_000_000_000
POWERS = 4
PRESSURES_BAR = range(10, 361, 10)
TEMPERATURES_C = range(-5, 61, 5)
OXYGEN = (0.21, 0.25, 0.30, 0.35, 0.40)
ARGON_IN_REST = 0.0093 / 0.7902
"""Argon in what is not oxygen: nitrogen 0.7809 and argon 0.0093 of air, as meteorology gives them."""


def compressibility(bar: float, celsius: float, oxygen: float) -> float:
    """Z of the mixture by CoolProp."""
    state = mixture(oxygen)
    state.update(coolprop.PT_INPUTS, bar * 1e5, celsius + 273.15)
    return float(state.compressibility_factor())


@cache
def mixture(oxygen: float) -> Any:
    """CoolProp's state of a nitrox, to be updated."""
    state = coolprop.AbstractState("HEOS", "Nitrogen&Oxygen&Argon")
    argon = (1.0 - oxygen) * ARGON_IN_REST
    state.set_mole_fractions([1.0 - oxygen - argon, oxygen, argon])
    state.specify_phase(coolprop.iphase_supercritical_gas)
    return state


def design(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """The terms of the polynomial at each point (bar, Celsius, oxygen), in the order in which they are stored."""
    q, t, y = points[:, 0] / 100.0, (points[:, 1] - 20.0) / 10.0, points[:, 2] - 0.21
    forms = (np.ones_like(t), t, t * t, y, y * t)
    return np.array([q**n * form for n in range(1, POWERS + 1) for form in forms]).T


def coefficients() -> list[list[int]]:
    """Least squares of the relative error of Z; a row for each power of pressure."""
    points = np.array([(p, t, x) for p in PRESSURES_BAR for t in TEMPERATURES_C for x in OXYGEN], dtype=float)
    z = np.array([compressibility(*point) for point in points])
    found, *_ = np.linalg.lstsq(design(points) / z[:, None], (z - 1.0) / z, rcond=None)
    whole = [round(float(one) * SCALE) for one in found]
    return [whole[i : i + 5] for i in range(0, len(whole), 5)]


def files() -> dict[str, Any]:
    """File name -> content."""
    return {
        "real_gas": {
            "meta": {
                "title": "Compressibility of air and nitrox",
                "source": "fitted by tests/published/make_real_gas.py to the mixture model of CoolProp, within 0.2 % "
                "from 0 to 350 bar, -5 to 60 C, 21 to 40 % oxygen",
                "semantics": "Z = 1 + sum over n = 1..4 of q^n x (row n) . (1, t, t^2, y, y t) / scale, with "
                "q = bar absolute / 100, t = (C - 20) / 10, y = oxygen fraction - 0.21",
            },
            "scale": SCALE,
            "highest_bar": 350,
            "rows": coefficients(),
        }
    }


def main() -> None:
    for name, data in files().items():
        (DATA / f"{name}.json").write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
