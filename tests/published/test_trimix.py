"""Helium beside nitrogen: the worked number of the model, scipy's integration, and limits by an own simulation."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from teamdive.calculations.day import day
from teamdive.calculations.problem import Problem
from teamdive.physics import tissues, trimix
from teamdive.physics.dive import Dive, Settings
from teamdive.physics.nitrogen import tissue_limit_s
from teamdive.physics.oxygen import AIR, Mix
from teamdive.physics.profile import breathe, profile
from teamdive.physics.units import Depth, depth

ZHL16 = json.loads((Path(tissues.__file__).parent / "data" / "zhl16.json").read_text("utf-8"))
ROWS = [ZHL16["alternative_first"], *ZHL16["compartments"][1:]]
K = {gas: np.log(2) / np.array([row[gas]["half_time_min"] * 60 for row in ROWS]) for gas in ("n2", "he")}
B = {gas: np.array([row[gas]["b"] for row in ROWS]) for gas in ("n2", "he")}
A = {
    "n2": np.array([x if isinstance(x := row["n2"]["a_bar"], float) else x["C"] for row in ROWS]),
    "he": np.array([row["he"]["a_bar"] for row in ROWS]),
}
SURFACE, VAPOUR = 1.01325, 0.0627
MIXES = [Mix(1800, True, 5000), Mix(2100, True, 3500), Mix(3000, True, 3000), Mix(1600, True, 8400)]


def test_the_worked_number_of_the_model():
    """Row 1 on 18 % oxygen, 50 % helium, 32 % nitrogen: half-time 2.48 min, a 1.5541 bar, b 0.4559.

    The encyclopedia's article on the model, whose weighting is by the gas breathed; the weights here are the shares
    of the tension, and half-times stay each gas's own.
    """
    row, share = ZHL16["compartments"][0], 0.50 / 0.82
    h = tissues.weighted(row["n2"]["half_time_min"], row["he"]["half_time_min"], share)
    a = tissues.weighted(row["n2"]["a_bar"]["C"], row["he"]["a_bar"], share)
    b = tissues.weighted(row["n2"]["b"], row["he"]["b"], share)
    assert (h, a, b) == (
        pytest.approx(2.48, abs=5e-3),
        pytest.approx(1.5541, abs=5e-5),
        pytest.approx(0.4559, abs=5e-5),
    )


def integrate(start, segments, n2, he):
    """Both gases through (from bar, to bar, seconds) by scipy: 32 independent equations."""
    rates = np.concatenate([K["n2"], K["he"]])
    fractions = np.array([n2] * 16 + [he] * 16)
    state = np.array(start)
    for p0, p1, seconds in segments:
        if seconds:
            found = solve_ivp(
                lambda t, y, p0=p0, p1=p1, s=seconds: (
                    rates * ((p0 + (p1 - p0) * t / s - VAPOUR) * fractions - y)
                ),
                (0, seconds),
                state,
                method="DOP853",
                rtol=1e-12,
                atol=1e-13,
            )
            state = found.y[:, -1]
    return state


@pytest.mark.parametrize("mix", MIXES, ids=str)
@pytest.mark.parametrize(("deep", "minutes"), [(12, 60), (30, 14), (45, 8), (58, 4)])
def test_both_gases_against_solve_ivp(mix, deep, minutes):
    segments = profile(Dive(depth(deep, "m"), minutes * 60), Settings())
    rest = tissues.surface_state()
    ours = breathe(rest, segments, mix.n2, mix.he)
    theirs = integrate((*rest, *[0.0] * 16), segments, mix.n2, mix.he)
    assert np.max(np.abs(np.array(ours) - theirs)) < 1e-9
    later = tissues.constant(ours, SURFACE, tissues.AIR_N2, 7200)
    theirs = integrate(theirs, [(SURFACE, SURFACE, 7200)], tissues.AIR_N2, 0.0)
    assert np.max(np.abs(np.array(later) - theirs)) < 1e-9


def over(state, ambient, gf):
    """How far the worst compartment is above what is allowed: total tension, a and b by share (numpy)."""
    n2, he = np.array(state[:16]), np.array(state[16:])
    a = (A["n2"] * n2 + A["he"] * he) / (n2 + he)
    b = (B["n2"] * n2 + B["he"] * he) / (n2 + he)
    return np.max(n2 + he - (ambient + gf * (a + ambient / b - ambient)))


@pytest.mark.parametrize("mix", MIXES, ids=str)
@pytest.mark.parametrize("deep", [12, 18, 24, 30, 39, 45, 57])
def test_the_limit_is_the_last_second_before_the_first_that_is_beyond(mix, deep):
    settings = Settings()
    limit_s = tissue_limit_s(tissues.surface_state(), depth(deep, "m"), mix, settings, 0)
    rest = (*tissues.surface_state(), *[0.0] * 16)

    def surfaced(bottom_s):
        return over(
            integrate(rest, profile(Dive(depth(deep, "m"), bottom_s), settings), mix.n2, mix.he), SURFACE, 0.8
        )

    if limit_s == 0:
        assert surfaced(deep * 60 // 18) > 0
        return
    assert surfaced(limit_s) <= 1e-10
    assert surfaced(limit_s + 1) > -1e-10
    for part in range(1, 20):
        assert surfaced(max(deep * 60 // 18, limit_s * part // 20)) <= 1e-10


@pytest.mark.parametrize("rate", [3, 9, 18])
@pytest.mark.parametrize("mix", MIXES, ids=str)
@pytest.mark.parametrize("deep", [18, 30, 45, 58])
def test_a_straight_ascent_at_the_limit_meets_no_ceiling(mix, deep, rate):
    settings = Settings(ascent=Depth(rate * 100, "m"))
    limit_s = tissue_limit_s(tissues.surface_state(), depth(deep, "m"), mix, settings, 0)
    if limit_s == 0:
        return
    segments = profile(Dive(depth(deep, "m"), limit_s), settings)
    state = breathe(tissues.surface_state(), segments[:2], mix.n2, mix.he)
    p0, p1, seconds = segments[2]
    for second in range(1, seconds, 3):
        now = p0 + (p1 - p0) * second / seconds
        assert over(tissues.linear(state, p0, now, mix.n2, second, mix.he), now, 0.8) <= 1e-12


@given(st.integers(900, 5800), st.integers(1, 3600), st.integers(500, 1000))
def test_without_helium_nothing_changes(deep, seconds, gf_pm):
    """The bits of nitrogen are those of nitrogen alone, and both searches find the same limit."""
    bar, rest = SURFACE + deep / 1000, tissues.surface_state()
    zeros = (*rest, *[0.0] * 16)
    assert tissues.constant(zeros, bar, 0.7902, seconds) == (
        *tissues.constant(rest, bar, 0.7902, seconds),
        *zeros[16:],
    )
    one, two = (tissues.linear(x, SURFACE, bar, 0.7902, seconds) for x in (rest, zeros))
    assert one == two[:16]
    args = (SURFACE, bar, 0.7902)
    alone = tissues.no_stop_limit_s(rest, *args, 60, 240, gf_pm / 1000)
    both = trimix.no_stop_limit_s(zeros, *args, 0.0, 60, 240, gf_pm / 1000)
    assert alone == both or min(x for x in (alone, both) if x is not None) > 80_000


@given(st.integers(0, 20_000), st.integers(0, 20_000), st.floats(0.0, 0.8))
def test_splitting_time_changes_nothing(first, second, he):
    rest = tissues.surface_state()
    once = tissues.constant(rest, 3.0, 0.82 - he, first + second, he)
    twice = tissues.constant(tissues.constant(rest, 3.0, 0.82 - he, first, he), 3.0, 0.82 - he, second, he)
    assert once == pytest.approx(twice, abs=1e-12)


def asked(*dives, **more):
    return day({"depth_unit": "m", "method": "tissue", "trimix_enabled": True, "dives": list(dives), **more})


TRIMIX = {"depth": 45, "bottom_time_min": 4, "o2_fraction": 0.18, "he_fraction": 0.5, "analysed": True}


def test_tissues_answer_and_no_table_does():
    found = asked(
        TRIMIX, {"surface_interval_min": 180, "depth": 12, "bottom_time_min": 20, "o2_fraction": 0.21}
    )
    first, second = found["dives"]
    no_table = {"not_known": ["a table for a gas with helium"]}
    assert first["tissue_no_stop_limit_min"] == 4.6 and first["within_limits"] is True
    assert first["no_stop_limit_min"] == first["group_after"] == first["table_depth_fsw"] == no_table
    assert first["mod"] == 63 and "equivalent_air_depth" not in first  # (1.4 / 0.19 - 1) x 10
    assert second["group_before"] == no_table and second["tissue_no_stop_limit_min"] > 60
    # No figure is published: what is missing is the club's own.
    assert "club_wait_other_gas_min" in found["no_fly"]["wait_min"]["not_known"][0]
    assert {"gas_with_helium", "no_fly_after_helium"} <= {w["code"] for w in found["warnings"]}


def test_a_gas_with_helium_that_nobody_analysed_is_not_known():
    first = asked({**TRIMIX, "analysed": False})["dives"][0]
    assert first["tissue_no_stop_limit_min"] == {"not_known": ["analysis"]}


def test_helium_is_refused_unless_asked_for():
    with pytest.raises(Problem) as refused:
        asked(TRIMIX, trimix_enabled=False)
    (error,) = refused.value.errors
    assert (error.pointer, error.code) == ("/dives/0/he_fraction", "not_allowed")
    assert "trimix_enabled" in error.message


def test_one_dive_on_two_gases_is_not_known():
    found = asked(TRIMIX, {"surface_interval_min": 5, "depth": 9, "bottom_time_min": 5, "o2_fraction": 0.21})
    assert found["dives"][1]["tissue_within_limit"] == {
        "not_known": ["one dive on two gases, one of them with helium"]
    }


def test_the_air_limit_is_that_of_nitrogen_after_helium_has_left():
    rest = tissues.surface_state()
    held = breathe(rest, profile(Dive(depth(30, "m"), 600), Settings()), 0.33, 0.5)
    week = tissues.constant(held, SURFACE, tissues.AIR_N2, 30 * 86_400)
    assert tissue_limit_s(week, depth(30, "m"), AIR, Settings(), 0) == tissue_limit_s(
        rest, depth(30, "m"), AIR, Settings(), 0
    )
