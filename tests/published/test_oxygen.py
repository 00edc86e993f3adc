"""Oxygen limits, MOD and equivalent air depth against the NOAA and US Navy manuals."""

import json
from pathlib import Path

import numpy as np
import pytest

from teamdive.calculations.day import day
from teamdive.physics import oxygen
from teamdive.physics.known import Missing
from teamdive.physics.oxygen import (
    AIR,
    Mix,
    deepest_whole,
    equivalent_air_depth,
    exposure_share,
    mod,
    table_depth,
)
from teamdive.physics.units import Depth, depth

# NOAA Diving Manual, oxygen exposure table, one exposure (0.6 to 1.1 atm: one source or memory).
NOAA = {
    0.6: 720,
    0.7: 570,
    0.8: 450,
    0.9: 360,
    1.0: 300,
    1.1: 240,
    1.2: 210,
    1.3: 180,
    1.4: 150,
    1.5: 120,
    1.6: 45,
}
ATM = 1.01325


def test_every_row_of_the_exposure_table():
    assert dict(oxygen.ROWS) == NOAA
    day_limits = json.loads(
        (Path(oxygen.__file__).parent / "data" / "oxygen_limits.json").read_text("utf-8")
    )["rows"]
    assert [row["day_min"] for row in day_limits] == [720, 570, 450, 360, 300, 270, 240, 210, 180, 180, 150]


@pytest.mark.parametrize(("ppo2", "limit"), NOAA.items())
def test_the_whole_limit_is_all_of_it(ppo2, limit):
    just_under = (ppo2 - 1e-6) * ATM / 0.5
    assert exposure_share([(just_under, just_under, limit * 60)], 5000) == pytest.approx(1.0, rel=1e-9)
    over = exposure_share([((ppo2 + 1e-6) * ATM / 0.5,) * 2 + (limit * 60,)], 5000)
    assert isinstance(over, Missing) if ppo2 == 1.6 else over > 1.0


def test_a_steady_descent_against_a_fine_sum():
    """A ramp is split where it crosses a row: the same as summing t / limit over very short steps."""
    steps = np.linspace(1.0, 6.0, 200_001)
    middle = (steps[1:] + steps[:-1]) / 2 * 0.25 / ATM
    rows = np.array(sorted(NOAA))
    limits = np.array([NOAA[r] for r in rows])
    summed = np.sum(600 / 200_000 / 60 / limits[np.searchsorted(rows, middle)])
    assert exposure_share([(1.0, 6.0, 600)], 2500) == pytest.approx(summed, rel=1e-4)
    assert exposure_share([(6.0, 1.0, 600)], 2500) == pytest.approx(summed, rel=1e-4)


def test_published_mod():
    """A cave-training formula page: 32 % at 1.4 is 111 ft (NOAA Diving Manual formula, rounded down)."""
    assert deepest_whole(3200, 140, "ft") == 111


@pytest.mark.parametrize(
    ("o2_e4", "at_14", "at_16"),
    [(3200, 111.4, 132.0), (3600, 95.3, 113.7), (4000, 82.5, 99.0), (2100, 187.0, 218.4)],
)
def test_mod_by_formula_is_rounded_down(o2_e4, at_14, at_16):
    """(Pmax / FO2 - 1) x 33 fsw, NOAA Diving Manual; the decimals are our arithmetic on that formula."""
    assert deepest_whole(o2_e4, 140, "ft") == int(at_14)
    assert deepest_whole(o2_e4, 160, "ft") == int(at_16)


def test_mod_keeps_a_margin_except_for_air():
    assert mod(Mix(3200, True), 1.4, "m") == Depth(3200, "m")  # 33 %: 32.4 m
    assert mod(AIR, 1.4, "m") == Depth(5600, "m")
    assert mod(Mix(3200, False), 1.4, "m") == Missing(("analysis",))
    assert mod(Mix(None), 1.4, "m") == Missing(("o2_fraction",))
    # 28 % at 1.4 is exactly 40 m: no rounding error may take a metre away.
    assert deepest_whole(2800, 140, "m") == 40


EAD = [
    (3200, 63, "ft", 49.6, "US Navy Diving Manual, ch. 10, 10-2: nitrogen 2.0 ata, as air at 50 fsw"),
    (4000, 70, "ft", 45.2, "US Navy Diving Manual, ch. 10 (inputs; result by its formula)"),
    (3600, 27, "m", 19.97, "encyclopedia, equivalent air depth: 20 m"),
    (3600, 90, "ft", 66.6, "formula page: 67 ft"),
    (3200, 100, "ft", 81.5, "formula page: 81 ft"),
]


@pytest.mark.parametrize(("o2_e4", "deep", "unit", "ead", "source"), EAD)
def test_equivalent_air_depth(o2_e4, deep, unit, ead, source):
    found = equivalent_air_depth(depth(deep, unit), 10_000 - o2_e4).number
    assert found == pytest.approx(ead, abs=0.06), source
    exact = (1 - o2_e4 / 10_000) * (deep + (33 if unit == "ft" else 10)) / 0.79 - (33 if unit == "ft" else 10)
    assert exact <= found < exact + 0.0101  # rounded up to a hundredth


def test_gas_enters_the_table_with_a_margin():
    """Nitrogen 1 - (o2 - 0.01); without an analysis, and for air, the depth itself."""
    assert table_depth(depth(100, "ft"), Mix(3200, True)) == equivalent_air_depth(depth(100, "ft"), 6900)
    assert table_depth(depth(100, "ft"), Mix(3200, False)) == depth(100, "ft")
    assert table_depth(depth(100, "ft"), AIR) == depth(100, "ft")


def test_a_day_on_nitrox():
    dive = {"depth": 100, "bottom_time_min": 20, "o2_fraction": 0.32}
    analysed, guessed, air, unknown = (
        day({"depth_unit": "ft", "days_of_diving": 1, "dives": [d]})
        for d in (
            {**dive, "analysed": True},
            dive,
            {**dive, "o2_fraction": 0.21},
            {"depth": 100, "bottom_time_min": 20},
        )
    )
    first = analysed["dives"][0]
    assert first["equivalent_air_depth"] == 83.17  # 0.69 x 133 / 0.79 - 33 = 83.16...
    assert first["table_depth_fsw"] == 90
    assert first["mod"] == 107  # 33 %: 107.0
    for answer, lacking in ((guessed, "analysis"), (unknown, "o2_fraction")):
        made = answer["dives"][0]
        assert made["table_depth_fsw"] == 100
        assert made["tissue_no_stop_limit_min"] == air["dives"][0]["tissue_no_stop_limit_min"]
        assert made["oxygen_limit_used_percent"] == made["mod"] == {"not_known": [lacking]}
    assert first["tissue_no_stop_limit_min"] > air["dives"][0]["tissue_no_stop_limit_min"]
    assert "not_analysed" in [w["code"] for w in guessed["warnings"]]


def test_exposure_of_a_square_dive():
    """90 fsw of air for 12 min, 18 m/min down and 9 m/min up: rows 0.6, 0.7 and 0.8 by hand, 3.1 % shown."""
    answer = day({"depth_unit": "ft", "dives": [{"depth": 90, "bottom_time_min": 12, "o2_fraction": 0.21}]})
    bottom = ATM + 90 * 0.030643
    at_depth, moving_min = 0.21 * bottom / ATM, (91 + 184) / 60
    span = at_depth - 0.21
    share = (12 - 91 / 60) / 450 + moving_min * (0.39 / 720 + 0.1 / 570 + (at_depth - 0.7) / 450) / span
    assert answer["dives"][0]["oxygen_limit_used_percent"] == np.ceil(share * 1000) / 10 == 3.1
