"""Writes teamdive/physics/data/decay_powers.json and standard_atmosphere.json.

Run by hand: `python -m tests.published.make_powers`. The run-time code uses no exp, log or pow, whose
last bit differs between languages: the decay over n seconds is the product of the powers e^(-k 2^j)
for the bits j of n, and these powers are computed here, to 50 digits, and stored as the nearest double.
"""

from __future__ import annotations

import json
from decimal import Decimal, localcontext
from typing import Any

from teamdive.physics.tables import DATA, load

BITS = 22
SEA_LEVEL_PA = 101_325


def compartments(gas: str) -> list[tuple[str, float]]:
    """Compartments of `n2` or `he` with 1b in the first place: (name, half-time in minutes)."""
    data = load("zhl16")
    rows = [data["alternative_first"], *data["compartments"][1:]]
    return [(str(c["compartment"]), float(c[gas]["half_time_min"])) for c in rows]


def powers(gas: str) -> list[dict[str, Any]]:
    ln2 = Decimal(2).ln()
    rows = []
    for name, half_time_min in compartments(gas):
        half_time_s = Decimal(repr(half_time_min)) * 60
        k = ln2 / half_time_s
        rows.append(
            {
                "compartment": name,
                "half_time_min": half_time_min,
                "time_constant_s": float(half_time_s / ln2),
                "powers": [float((-k * 2**j).exp()) for j in range(BITS)],
            }
        )
    return rows


def decay_powers() -> dict[str, Any]:
    return {
        "meta": {
            "title": "Decay of 16 compartments: powers[j] = exp(-k * 2**j seconds), k = ln 2 / half-time",
            "source": "half-times of zhl16.json, to 50 digits by tests/published/make_powers.py, nearest double",
            "bits": BITS,
        },
        "rows": powers("n2"),
        "helium_rows": powers("he"),
    }


def standard_atmosphere() -> dict[str, Any]:
    """ISO 2533 pressure at whole thousands of feet, in Pa, rounded down (lower is the safe side)."""
    rows = []
    for altitude_ft in range(0, 10_001, 1000):
        height_m = Decimal(altitude_ft) * Decimal("0.3048")
        base = 1 - Decimal("0.0065") * height_m / Decimal("288.15")
        exponent = Decimal("9.80665") * Decimal("0.0289644") / (Decimal("8.31432") * Decimal("0.0065"))
        rows.append({"altitude_ft": altitude_ft, "pressure_pa": int(SEA_LEVEL_PA * base**exponent)})
    return {
        "meta": {
            "title": "Standard atmosphere: air pressure by altitude",
            "source": "ISO 2533 formula, computed by tests/published/make_powers.py, rounded down to 1 Pa",
        },
        "rows": rows,
    }


def files() -> dict[str, Any]:
    """File name -> content."""
    with localcontext() as context:
        context.prec = 50
        return {"decay_powers": decay_powers(), "standard_atmosphere": standard_atmosphere()}


def main() -> None:
    for name, data in files().items():
        (DATA / f"{name}.json").write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
