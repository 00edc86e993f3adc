"""What every dive leader would check by heart. Common practice, no source, all of it."""

from __future__ import annotations

from typing import Any

import pytest

from teamdive.calculations.day import day
from teamdive.calculations.plan import plan
from teamdive.physics import tissues
from teamdive.physics.dive import Settings, clear_state, no_stop
from teamdive.physics.oxygen import AIR
from teamdive.physics.profile import breathe
from teamdive.physics.units import depth, travel_s
from tests.parity.plan_bodies import diver, metric

ON_AIR = {"o2_fraction": 0.21}


def test_120_feet_then_an_hour_then_40_feet() -> None:
    """Air at 120 ft as a first dive: a cautious limit under ten minutes. An hour later 40 ft with ample time."""
    answer = day(
        {
            "depth_unit": "ft",
            "dives": [
                {**ON_AIR, "depth": 120, "bottom_time_min": 8},
                {**ON_AIR, "surface_interval_min": 60, "depth": 40, "bottom_time_min": 60},
            ],
        }
    )
    first, second = answer["dives"]
    assert 5 < first["limit_min"] < 10
    assert first["no_stop_limit_min"] == 15  # the table alone gives half as much again
    assert second["within_limits"] is True
    assert second["limit_min"] > 60


@pytest.mark.parametrize(("hardest", "first"), [("a", "a"), ("b", "b")])
def test_the_diver_who_works_harder_turns_first(hardest: str, first: str) -> None:
    divers = [diver(n, rmv_l_min=22 if n == hardest else 16, rmv_sd_l_min=3) for n in "ab"]
    team = plan(metric(divers, bottom_time_min=60))["team"]
    assert team["first_to_turn"]["diver"] == first
    assert team["first_to_turn"]["probability"] > 0.8
    assert (team["limited_by"], team["limiting_diver"]) in (("gas", first), ("tissue_no_stop", None))
    assert team["limits"]["gas"]["diver"] == first


def test_the_diver_who_is_newer_to_the_depth_turns_first() -> None:
    """Newer to it: the same breathing at the mean, less sure of it; the gas limit is that of the wider spread."""
    divers = [diver("old", rmv_l_min=18, rmv_sd_l_min=1.5), diver("new", rmv_l_min=18, rmv_sd_l_min=6)]
    team = plan(metric(divers, bottom_time_min=60))["team"]
    assert team["limits"]["gas"]["diver"] == "new"


@pytest.mark.parametrize("metres", [18, 21, 24, 27, 30, 33, 36, 39])
def test_five_minutes_left_are_the_moment_to_leave_the_bottom(metres: int) -> None:
    """Leaving then surfaces at GF 0.75 or less; five minutes past the limit is over it, at depth past the raw model."""
    settings = Settings()
    deep = depth(metres, "m")
    limit_s = no_stop(clear_state(settings), deep, AIR, settings).tissue_limit_s
    assert isinstance(limit_s, int)
    surface, bottom = settings.surface_bar, settings.surface_bar + deep.bar
    down_s, up_s = (
        travel_s(deep, rate, up=up) for rate, up in ((settings.descent, False), (settings.ascent, True))
    )

    def within(left_s: int, gf: float) -> bool:
        segments = ((surface, bottom, down_s), (bottom, bottom, left_s - down_s), (bottom, surface, up_s))
        state = breathe(tissues.surface_state(), segments, AIR.n2)
        return tissues.within(state, tissues.allowed_bar(surface, gf))

    assert within(limit_s - 300, 0.75)
    assert not within(limit_s + 300, 0.8)
    assert within(limit_s + 300, 1.0) is (metres < 36)


@pytest.mark.parametrize("feet_deep", [60, 80, 100])
def test_deep_first_then_shallow_leaves_more_than_the_other_way_round(feet_deep: int) -> None:
    def second(one: float, other: float) -> Any:
        dives = [
            {**ON_AIR, "depth": one, "bottom_time_min": 10},
            {**ON_AIR, "surface_interval_min": 60, "depth": other, "bottom_time_min": 5},
        ]
        return day({"depth_unit": "ft", "dives": dives})["dives"][1]["limit_min"]

    shallow_second, deep_second = second(feet_deep, 40), second(40, feet_deep)
    assert shallow_second > deep_second
