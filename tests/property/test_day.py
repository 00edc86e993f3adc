"""What must hold of every day, asked as a body: higher, lower GF, colder, later and richer all move one way."""

from __future__ import annotations

import copy
import math
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.calculations.day import day

Body = dict[str, Any]
LIMITS = ("adjusted_no_stop_limit_min", "tissue_no_stop_limit_min", "limit_min")
some = settings(max_examples=60, deadline=None)


@st.composite
def question(draw: st.DrawFn, dives: int = 2) -> Body:
    """A day of short dives in either unit, mostly within the limits."""
    unit = draw(st.sampled_from(["m", "ft"]))
    made = []
    for position in range(draw(st.integers(1, dives))):
        feet = draw(st.integers(15, 130))
        dive: Body = {
            "depth": feet if unit == "ft" else round(feet * 0.3, 1),
            "bottom_time_min": draw(st.integers(2, 12)),
            "o2_fraction": draw(st.sampled_from([0.21, 0.21, 0.28, 0.32])),
            "analysed": draw(st.booleans()),
        }
        if position > 0:
            dive["surface_interval_min"] = draw(st.integers(10, 400))
        made.append(dive)
    return {
        "depth_unit": unit,
        "gf": [0.3, draw(st.integers(30, 100)) / 100],
        "method": draw(st.sampled_from(["shorter", "table", "tissue"])),
        "site_altitude_ft": draw(st.sampled_from([0, 0, 900, 3000, 6500])),
        "hours_at_altitude": draw(st.integers(0, 60)),
        "days_of_diving": draw(st.integers(1, 3)),
        "dives": made,
    }


def number(value: Any) -> float | None:
    return None if isinstance(value, dict) else math.inf if value is None else value


def changed(body: Body, **top: Any) -> Body:
    return day({**copy.deepcopy(body), **top})


def never_longer(before: Body, after: Body) -> None:
    """No limit that both know is longer after, up to the first dive that either refuses or finds beyond."""
    for full, less in zip(before["dives"], after["dives"], strict=True):
        if "limit_min" not in full or "limit_min" not in less:
            return
        for name in LIMITS:
            a, b = number(full[name]), number(less[name])
            assert a is None or b is None or b <= a, name


@some
@given(question(), st.integers(1, 50))
def test_a_lower_gradient_factor_is_never_longer(body: Body, lower: int) -> None:
    high = body["gf"][1]
    never_longer(day(copy.deepcopy(body)), changed(body, gf=[0.1, max(0.1, high - lower / 100)]))


@some
@given(question(), st.integers(1, 6000))
def test_higher_above_the_sea_is_never_longer(body: Body, more: int) -> None:
    """The lower pressure at the surface, the depth's sea level equivalent and the group on arrival all shorten."""
    never_longer(
        day(copy.deepcopy(body)),
        changed(body, site_altitude_ft=min(10_000, body["site_altitude_ft"] + more)),
    )


@some
@given(question(), st.integers(0, 60), st.integers(0, 60))
def test_more_time_at_altitude_is_never_shorter(body: Body, one: int, other: int) -> None:
    early, late = sorted((one, other))
    never_longer(changed(body, hours_at_altitude=late), changed(body, hours_at_altitude=early))


@some
@given(question(dives=1), st.integers(1, 10))
def test_deeper_is_never_longer_in_either_unit(body: Body, more: int) -> None:
    """The tissue limit counts the descent too: deeper by a metre it may be the few seconds of that longer."""
    deeper = copy.deepcopy(body)
    deeper["dives"][0]["depth"] += more
    before, after = (day(copy.deepcopy(b))["dives"][0] for b in (body, deeper))
    a, b = (number(x["adjusted_no_stop_limit_min"]) for x in (before, after))
    assert a is None or b is None or b <= a
    metres = more if body["depth_unit"] == "m" else more * 0.30643
    a, b = (number(x["tissue_no_stop_limit_min"]) for x in (before, after))
    assert a is None or b is None or b <= a + metres / 18 + 0.1


@some
@given(question(), st.integers(1, 200))
def test_sooner_is_never_longer(body: Body, less: int) -> None:
    sooner = copy.deepcopy(body)
    for dive in sooner["dives"][1:]:
        dive["surface_interval_min"] = max(10, dive["surface_interval_min"] - less)
    never_longer(day(copy.deepcopy(body)), day(sooner))


@some
@given(question(), st.integers(1, 8))
def test_a_longer_dive_before_is_never_longer_after(body: Body, more: int) -> None:
    longer = copy.deepcopy(body)
    longer["dives"][0]["bottom_time_min"] += more
    never_longer(day(copy.deepcopy(body)), day(longer))


@some
@given(question(), st.integers(0, 2), st.booleans())
def test_caution_and_cold_never_lengthen(body: Body, caution: int, cold: bool) -> None:
    careful = copy.deepcopy(body)
    for dive in careful["dives"]:
        dive |= {"caution": caution, "cold_or_hard": cold}
    never_longer(day(copy.deepcopy(body)), day(careful))


@some
@given(question(), st.integers(0, 10_000), st.integers(0, 10_000), st.integers(0, 3000))
def test_going_higher_never_waits_less_and_waiting_never_adds(
    body: Body, one: int, other: int, since: int
) -> None:
    low, high = sorted((one, other))
    waits = [changed(body, no_fly={"to_altitude_ft": ft})["no_fly"] for ft in (low, high)]
    for name in ("table_wait_min", "consensus_wait_min", "wait_min"):
        a, b = (w[name] for w in waits)
        if not isinstance(a, dict) and not isinstance(b, dict):
            assert a <= b
    now = changed(body, no_fly={"to_altitude_ft": high}, minutes_since_surfacing=since)["no_fly"]
    assert now["wait_min"] == waits[1]["wait_min"]
    if not isinstance(now["wait_min"], dict):
        assert now["remaining_min"] == max(0, now["wait_min"] - since)
        assert now["wait_min"] == max(now["table_wait_min"], now["consensus_wait_min"], now["club_wait_min"])


@some
@given(question(dives=1), st.integers(1, 20), st.integers(1, 10))
def test_oxygen_used_grows_with_time_and_depth(body: Body, minutes: int, deeper: int) -> None:
    used = []
    for change in ({}, {"bottom_time_min": minutes}, {"depth": deeper}):
        asked = copy.deepcopy(body)
        for name, more in change.items():
            asked["dives"][0][name] += more
        used.append(day(asked)["dives"][0]["oxygen_limit_used_percent"])
    if not any(isinstance(x, dict) for x in used):
        assert used[0] <= used[1]
        assert used[0] <= used[2] + 0.1


@some
@given(question())
def test_the_same_day_asked_twice_is_the_same_answer(body: Body) -> None:
    asked = copy.deepcopy(body)
    assert day(asked) == day(asked)
    assert asked == body
