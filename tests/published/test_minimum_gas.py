"""Minimum gas in the answer of a plan, clause by clause, by sums anyone can redo on the back of a slate.

Arithmetic: US Navy Diving Manual, Rev 4 Change A, 8-2.2.2 (an ascent at its mean depth, the regulator minimum added,
the pressure rounded up); two divers on one cylinder: common practice, no source.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from teamdive.calculations.plan import plan
from tests.parity.plan_bodies import diver, feet, gas, imperial, metric

# 30 m: a minute there at 4 bar, 25 m up at 9 m a minute at 2.75 bar, 3 min at 1.5 bar, 5 m up at 1.25 bar.
UP = 25 / 9 * 2.75 + 3 * 1.5 + 5 / 9 * 1.25
SHARED = 4.0 + UP


def sharing(**changes: float) -> dict[str, Any]:
    usual = {
        "stressed_rmv_l_min": 40,
        "delay_at_depth_min": 1,
        "surface_reserve": 50,
        "regulator_minimum": 10,
    }
    return {"sharing": {**usual, **changes}}


def steady(name: str, rmv: float, **more: Any) -> dict[str, Any]:
    return diver(name, rmv_l_min=rmv, rmv_sd_l_min=0, **more)


def least(divers: list[dict[str, Any]], **changes: float) -> list[int]:
    body = metric(divers, sharing(**changes), depth=30, bottom_time_min=10)
    return [each["minimum_gas"] for each in plan(body)["divers"]]


def up_to(bar: float, step: int = 5) -> int:
    return math.ceil(bar / step - 1e-9) * step


def test_two_at_the_stressed_rate() -> None:
    assert least([steady("a", 15), steady("b", 20)]) == [up_to(80 * SHARED / 12 + 10)] * 2 == [125, 125]


def test_a_sharer_who_breathes_more_is_counted_with_their_own_rate() -> None:
    assert least([steady("a", 15), steady("b", 50)]) == [up_to(90 * SHARED / 12 + 10)] * 2 == [140, 140]


def test_the_two_heaviest_of_three() -> None:
    three = [steady("a", 15), steady("b", 50), steady("c", 60)]
    assert least(three) == [up_to(110 * SHARED / 12 + 10)] * 3


def test_the_delay_and_the_regulator_minimum_are_the_stated_ones() -> None:
    pair = [steady("a", 15), steady("b", 20)]
    assert least(pair, delay_at_depth_min=3) == [up_to(80 * (SHARED + 8) / 12 + 10)] * 2
    assert least(pair, regulator_minimum=20) == [up_to(80 * SHARED / 12 + 20)] * 2


def test_the_own_ascent_and_the_surface_reserve_where_they_are_more() -> None:
    found = least([steady("a", 18), steady("b", 24)], surface_reserve=150)
    assert found == [up_to(18 * UP / 12 + 150), up_to(24 * UP / 12 + 150)] == [170, 180]


def test_each_in_their_own_gauge() -> None:
    found = least([steady("a", 15, volume=15), steady("b", 20, volume=10)])
    assert found == [up_to(80 * SHARED / 15 + 10), up_to(80 * SHARED / 10 + 10)]


def test_in_feet_psi_and_cubic_feet() -> None:
    """1 fsw = 0.30643 msw; 1 cu ft = 28.3168 L; the ascent is 9 m a minute whatever the unit."""
    pair = [feet(name, rmv_l_min=18, rmv_sd_l_min=0) for name in "ab"]
    stated = sharing(surface_reserve=500, regulator_minimum=150)
    answer = plan(imperial(pair, stated, depth=100, safety_stop={"depth": 15, "min": 3}))
    deep, stop = 30.643, 15 * 0.30643
    shared = (
        1
        + deep / 10
        + (deep - stop) / 9 * (1 + (deep + stop) / 20)
        + 3 * (1 + stop / 10)
        + stop / 9 * (1 + stop / 20)
    )
    litres_per_psi = 80 * 28.316846592 / 3000
    assert [d["minimum_gas"] for d in answer["divers"]] == [up_to(80 * shared / litres_per_psi + 150, 50)] * 2


@pytest.mark.parametrize(
    "analysis",
    [{"cylinder": "c2"}, {"by": "b"}, {"at": None}, {"o2_fraction": None}, {"cylinder": None}],
)
def test_an_analysis_belongs_to_one_cylinder_and_to_its_diver(analysis: dict[str, Any]) -> None:
    mix = gas("a", 0.32)
    mix["analysis"] = {
        name: value for name, value in (mix["analysis"] | analysis).items() if value is not None
    }
    own = plan(metric([diver("a", gas=mix), diver("b")]))["divers"][0]
    assert "diver a" in own["limits"]["oxygen"]["min"]["not_known"][0]
    assert own["mod"]["not_known"] == own["limits"]["oxygen"]["min"]["not_known"]
    # Nitrogen counts as in air until the gas is known: the same no-stop limits.
    air = plan(metric([diver("a"), diver("b")]))["divers"][0]["limits"]
    label = own["limits"]["tissue_no_stop"]["min"], own["limits"]["table_no_stop"]["min"]
    assert label == (air["tissue_no_stop"]["min"], air["table_no_stop"]["min"])


def test_every_plan_says_what_it_yields_to() -> None:
    assert (
        "shorter of itself and any team-mate's computer"
        in plan(metric([diver("a"), diver("b")]))["sources"]["yields"]
    )
