"""What holds of every day whatever is asked, and the edges of its units: through the public `day` alone.

Limits of dives typed in feet are checked against Brent's method on the closed form (test_tissue_model.py), rows
against the definition of the fsw (US Navy Diving Manual: 1 fsw = 3,064.3 Pa, 1 msw = 10,000 Pa).
"""

from __future__ import annotations

import copy
import math
from fractions import Fraction
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.calculations.day import day
from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem
from teamdive.physics import tissues
from teamdive.physics.oxygen import Mix
from teamdive.physics.profile import breathe
from teamdive.physics.units import Depth, altitude_ft_up, depth, depth_text
from tests.parity.day_bodies import body as random_body
from tests.parity.plan_bodies import diver, earlier, feet, imperial, metric
from tests.published.test_tissue_model import N2, SURFACE, limit_by_root

AIR = {"o2_fraction": 0.21}


def allowed(body: dict[str, Any]) -> bool:
    try:
        day(copy.deepcopy(body))
    except Problem:
        return False
    return True


days = st.integers(0, 2**32).map(lambda seed: random_body(Random(seed), mistakes=False)).filter(allowed)
some = settings(max_examples=80, deadline=None)


def first(unit: str, deep: float, minutes: float = 1, **more: Any) -> dict[str, Any]:
    made: dict[str, Any] = day(
        {"depth_unit": unit, "dives": [{**AIR, "depth": deep, "bottom_time_min": minutes}], **more}
    )["dives"][0]
    return made


@pytest.mark.parametrize(
    ("unit", "deep", "row"),
    [
        ("ft", 120, 120),
        ("ft", 120.1, 130),
        ("ft", 120.001, 130),
        ("m", 36.576, 120),  # 120 international feet are 119.4 fsw
        ("m", 36.77, 120),  # 119.995
        ("m", 36.78, 130),  # 120.03
        ("m", 0.01, 10),
        ("m", 58.22, 190),
        ("ft", 190, 190),
        # Equal for a qualification, never for a table: 18 m / 60 ft, 30 m / 100 ft, 40 m / 130 ft.
        ("m", 18, 60),
        ("m", 30, 100),
        ("m", 40, 140),
        ("ft", 130, 130),
    ],
)
def test_the_row_of_a_depth_as_typed(unit: str, deep: float, row: int) -> None:
    assert first(unit, deep)["table_depth_fsw"] == row


@pytest.mark.parametrize("tenths", range(100, 1900, 37))
def test_every_foot_and_every_metre_by_the_definition(tenths: int) -> None:
    """The row is the least that is not shallower as a pressure: exact fractions, no float."""
    rows = [*range(10, 61, 5), *range(70, 191, 10)]
    typed = tenths / 10
    assert first("ft", typed)["table_depth_fsw"] == next(r for r in rows if r * 10 >= tenths)
    metres = Fraction(tenths * 3, 100)
    pascals = metres * 10_000
    found = [r for r in rows if Fraction(30_643, 10) * r >= pascals]
    if found:
        assert first("m", float(metres))["table_depth_fsw"] == found[0]


@pytest.mark.parametrize("deep", [40, 60, 80, 100, 120, 130])
def test_rates_that_are_not_given_are_18_and_9_metres_a_minute_in_either_unit(deep: int) -> None:
    shown = first("ft", deep)["tissue_no_stop_limit_min"]
    root = limit_by_root(tissues.surface_state(), SURFACE + deep * 0.030643, N2, 0.8, 18, 9)
    assert root is not None
    # Whole seconds of travel here: two or three of them, and a tenth of a minute rounded down.
    assert root / 60 - 0.2 < shown <= root / 60 + 0.05
    rates = {"descent_rate": 18, "ascent_rate": 9}
    assert first("m", 20, **rates) == first("m", 20)
    assert first("ft", deep, descent_rate=20, ascent_rate=60) != first("ft", deep)


def test_the_answer_has_every_field_of_an_ordinary_day() -> None:
    asked = {
        "depth_unit": "ft",
        "gf": [0.40, 0.80],
        "method": "shorter",
        "dives": [
            {"depth": 90, "bottom_time_min": 12, "o2_fraction": 0.21},
            {"surface_interval_min": 75, "depth": 50, "bottom_time_min": 30, "o2_fraction": 0.21},
        ],
        "minutes_since_surfacing": 0,
        "days_of_diving": 1,
        "no_fly": {"to_altitude_ft": 8000},
    }
    answer = day(asked)
    assert set(answer) >= {"dives", "now", "no_fly", "sources", "warnings"}
    for item in answer["dives"]:
        assert set(item) >= {
            "table_depth_fsw",
            "group_before",
            "residual_nitrogen_time_min",
            "equivalent_single_dive_time_min",
            "no_stop_limit_min",
            "adjusted_no_stop_limit_min",
            "table_within_limit",
            "group_after",
            "tissue_no_stop_limit_min",
            "tissue_within_limit",
            "within_limits",
            "limit_min",
            "limited_by",
            "oxygen_limit_used_percent",
        }
    assert set(answer["now"]) == {"group", "table_not_repetitive_after_min"}
    assert set(answer["no_fly"]) >= {"wait_min", "rule", "consensus_wait_min", "table_wait_min"}


def answered(item: dict[str, Any]) -> bool:
    return "refused" not in item and "limit_min" in item


def number(value: Any) -> float | None:
    """Minutes; infinity where there is no limit; None where not known."""
    return None if isinstance(value, dict) else math.inf if value is None else value


@some
@given(days)
def test_the_shorter_of_the_two_methods_governs_and_both_are_given(body: dict[str, Any]) -> None:
    by = {
        method: day({**copy.deepcopy(body), "method": method})["dives"]
        for method in ("shorter", "table", "tissue")
    }
    for items in zip(*by.values(), strict=True):
        shorter, table, tissue = items
        if not answered(shorter):
            continue
        limits = [number(shorter[n]) for n in ("adjusted_no_stop_limit_min", "tissue_no_stop_limit_min")]
        found = number(shorter["limit_min"])
        if None in limits:
            assert found is None and "not_known" in shorter["limited_by"]
        else:
            assert found == min(limits)  # type: ignore[type-var]
        within = [shorter["table_within_limit"], shorter["tissue_within_limit"]]
        if False in within:
            assert shorter["within_limits"] is False
        elif True in within and not any(isinstance(w, dict) for w in within):
            assert shorter["within_limits"] is True
        else:
            assert "not_known" in shorter["within_limits"]
        for governed, name in ((table, "adjusted_no_stop_limit_min"), (tissue, "tissue_no_stop_limit_min")):
            if answered(governed):
                assert governed["limit_min"] == governed[name]


@some
@given(days, st.sampled_from(["analysed", "o2_fraction", "hours_at_altitude", "days_of_diving"]))
def test_what_is_not_known_never_makes_a_dive_longer(body: dict[str, Any], name: str) -> None:
    lacking = copy.deepcopy(body)
    for place in (lacking, *lacking["dives"]):
        place.pop(name, None)
    before, after = day(copy.deepcopy(body)), day(lacking)
    for full, less in zip(before["dives"], after["dives"], strict=True):
        if answered(full) and answered(less):
            for limit in ("adjusted_no_stop_limit_min", "tissue_no_stop_limit_min", "limit_min"):
                a, b = number(full[limit]), number(less[limit])
                assert a is None or b is None or b <= a
    waits = [answer["no_fly"]["consensus_wait_min"] for answer in (before, after)]
    assert any(isinstance(w, dict) for w in waits) or waits[1] >= waits[0]


@some
@given(st.integers(600, 5000), st.integers(210, 390), st.integers(5, 400), st.integers(60, 40_000))
def test_richer_in_nitrogen_is_never_longer(cm: int, o2: int, more: int, rest_s: int) -> None:
    """Of two analysed gases the one with less oxygen, and air or a gas not analysed, never has the longer limit."""

    def limits(item: dict[str, Any]) -> list[float]:
        asked = {"depth": cm / 100, "bottom_time_min": 10, **item}
        made = day({"depth_unit": "m", "method": "table", "dives": [asked]})["dives"][0]
        return [number(made[n]) or 0 for n in ("adjusted_no_stop_limit_min", "tissue_no_stop_limit_min")]

    lean = limits({"o2_fraction": (o2 + 20) / 1000, "analysed": True})
    rich = limits({"o2_fraction": min(1.0, (o2 + 20 + more) / 1000), "analysed": True})
    unread = limits({"o2_fraction": (o2 + 20) / 1000})
    assert all(a <= b for a, b in zip(lean, rich, strict=True))
    assert all(a <= b for a, b in zip(unread, lean, strict=True))


@some
@given(
    st.lists(st.tuples(st.integers(1, 900), st.integers(0, 5000)), min_size=2, max_size=6),
    st.integers(0, 5),
    st.integers(1, 99),
)
def test_splitting_a_segment_changes_nothing(turns: list[tuple[int, int]], where: int, percent: int) -> None:
    """A sample more on the line between two others: the compartments are the same within 1e-12 bar.

    Where a line of some seconds is steep the closed form loses digits (its lag is the rate times up to 15 h), so the
    lines here are no steeper than 60 m a minute.
    """
    segments, at, bar = [], 0, SURFACE
    for seconds, cm in turns:
        to = SURFACE + cm / 1000
        seconds = max(seconds, math.ceil(abs(to - bar) * 10) + 2)
        segments.append((bar, to, seconds))
        at, bar = at + seconds, to
    i = where % len(segments)
    p0, p1, seconds = segments[i]
    cut = max(1, min(seconds - 1, seconds * percent // 100))
    middle = p0 + (p1 - p0) * cut / seconds
    pieces = [*segments[:i], (p0, middle, cut), (middle, p1, seconds - cut), *segments[i + 1 :]]
    n2 = Mix(3200, True).n2
    whole = breathe(tissues.surface_state(), tuple(segments), n2)
    parts = breathe(tissues.surface_state(), tuple(pieces), n2)
    assert max(abs(a - b) for a, b in zip(whole, parts, strict=True)) < 1e-12


def test_units_round_trip() -> None:
    """What was typed is kept and shown again; a height in metres is the height in feet it came from."""
    for hundredths in range(1, 20_000, 7):
        for unit in ("m", "ft"):
            typed = hundredths / 100
            assert depth(typed, unit) == Depth(hundredths, unit)
            assert depth(typed, unit).number == typed
            assert depth_text(depth(typed, unit)) == f"{typed:g} {unit}"
    for ft in range(0, 10_001):
        assert altitude_ft_up(round(ft * 0.3048, 4)) in (ft, ft + 1)
        if ft % 25 == 0:  # a whole number of hundredths of a metre
            assert altitude_ft_up(ft * 0.3048) == ft


def test_a_plan_enters_the_table_by_its_own_unit_too() -> None:
    """40 m is 130.5 fsw, the row of 140 (10 min, Table 9-7); 130 ft its own (12 min); both may be planned."""
    in_metres = plan(metric([diver("a"), diver("b")], depth=40))["team"]["limits"]
    in_feet = plan(imperial([feet("a"), feet("b")], depth=130))["team"]["limits"]
    assert [x["table_no_stop"]["min"] for x in (in_metres, in_feet)] == [10, 12]
    assert [x["certified_depth"]["min"] for x in (in_metres, in_feet)] == [None, None]


def test_shown_limits_are_rounded_down_and_shown_oxygen_up() -> None:
    """16.7 min are shown of the 1,005 to 1,007 s that the model allows at 90 fsw; 3.1 % of 3.02."""
    made = first("ft", 90, 12)
    seconds = made["tissue_no_stop_limit_min"] * 60
    root = limit_by_root(tissues.surface_state(), SURFACE + 90 * 0.030643, N2, 0.8, 18, 9)
    assert root is not None and seconds <= root + 3 and seconds > root - 10
    for minutes, within in ((made["tissue_no_stop_limit_min"], True), (17, False)):
        assert first("ft", 90, minutes)["tissue_within_limit"] is within


@pytest.mark.parametrize(
    ("ago", "group"), [(52, "H"), (52.99, "H"), (53, "G"), (104, "G"), (105, "F"), (532, "A"), (533, None)]
)
def test_an_interval_ends_at_the_start_of_this_dive(ago: float, group: str | None) -> None:
    """Table 9-8, row H, for a plan: 60 fsw for 45 min is H; the minutes run from surfacing to this descent."""
    made = earlier(60, 45, ago)
    answer = plan(imperial([feet("a", earlier_dives=made), feet("b")], {"method": "table"}, depth=50))
    assert answer["divers"][0]["group_before"] == group
    assert answer["divers"][1]["group_before"] is None


def test_a_descent_within_ten_minutes_goes_on_with_the_dive_before() -> None:
    """Table 9-7, 60 fsw: 63 min, of which 20 are spent; ten minutes later it is a dive of its own (D: 24 min)."""
    limits = [
        plan(imperial([feet("a", earlier_dives=earlier(60, 20, ago)), feet("b")], depth=60))["divers"][0][
            "limits"
        ]["table_no_stop"]["min"]
        for ago in (0, 5, 9.99, 10)
    ]
    residual = 63 - 24  # Table 9-8: group D (20 min at 60 fsw), 60 fsw, 24 min
    assert limits == [43, 43, 43, residual]
