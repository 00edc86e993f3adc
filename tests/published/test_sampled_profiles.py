"""A profile as recorded: scipy's integration of it, agreement with the square one, and every edge of it."""

import itertools
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from teamdive.calculations.day import day
from teamdive.calculations.problem import Problem
from teamdive.physics import tissues
from teamdive.physics.dive import Dive, Settings
from teamdive.physics.profile import breathe, profile
from teamdive.physics.units import depth
from tests.published.test_tissue_model import N2, SURFACE, VAPOUR, K

E9 = 10**9


def asked(samples, **more):
    return {"depth_unit": "m", "dives": [{"samples": samples, "o2_fraction": 0.21}], **more}


def tensions(samples):
    return np.array(day(asked(samples))["state"]["tensions_e9"]) / E9


def test_a_jagged_profile_of_two_thousand_points_against_solve_ivp():
    """Depth up and down at random every ten seconds or so; the equation is integrated from point to point."""
    random = Random(2_000)
    minute, deep, samples = 0, 0.0, [[0, 0]]
    for _ in range(1999):
        minute += random.choice([5, 10, 10, 15])
        deep = min(40.0, max(0.5, round(deep + random.uniform(-3, 3.3), 1)))
        samples.append([minute / 60, deep])
    state = np.full(16, (SURFACE - VAPOUR) * N2)
    points = [(round(m * 60), d) for m, d in samples]
    ends = points[-1][0] + -(-round(points[-1][1] * 100) * 60 // 900)
    for (t0, d0), (t1, d1) in zip(points, [*points[1:], (ends, 0.0)], strict=True):
        found = solve_ivp(
            lambda t, y, t0=t0, d0=d0, d1=d1, t1=t1: (
                K * ((SURFACE + (d0 + (d1 - d0) * (t - t0) / (t1 - t0)) / 10 - VAPOUR) * N2 - y)
            ),
            (t0, t1),
            state,
            method="DOP853",
            rtol=1e-11,
            atol=1e-13,
        )
        state = found.y[:, -1]
    assert np.max(np.abs(tensions(samples) - state)) < 3e-9  # of which one is the rounding up


@given(st.integers(60, 500), st.integers(4, 60))
@settings(max_examples=40, deadline=None)
def test_a_square_dive_recorded_is_the_square_dive(decimetres, bottom_min):
    """The same tensions, and within the tissue limit exactly when the square dive is."""
    deep = decimetres / 10
    dive = Dive(depth(deep, "m"), bottom_min * 60)
    (_, _, down_s), _, (_, _, up_s) = profile(dive, Settings())
    samples = [[0, 0], [down_s / 60, deep], [bottom_min, deep], [bottom_min + up_s / 60, 0]]
    square = day(
        {"depth_unit": "m", "dives": [{"depth": deep, "bottom_time_min": bottom_min, "o2_fraction": 0.21}]}
    )
    recorded = day(asked(samples))
    one, two = (np.array(answer["state"]["tensions_e9"]) for answer in (square, recorded))
    assert np.max(np.abs(one - two)) <= 1
    limit = square["dives"][0]["tissue_no_stop_limit_min"]
    if limit is None or abs(limit - bottom_min) > 0.2:
        assert square["dives"][0]["tissue_within_limit"] == recorded["dives"][0]["tissue_within_limit"]
    # The table takes the whole time of a recorded dive: its ascent is in it.
    assert recorded["dives"][0]["table_entry_time_min"] is None or (
        recorded["dives"][0]["equivalent_single_dive_time_min"] == -(-(bottom_min * 60 + up_s) // 60)
    )


points = st.lists(st.tuples(st.integers(10, 300), st.integers(1, 400)), min_size=2, max_size=12)


@given(points, st.data())
@settings(max_examples=60, deadline=None)
def test_points_put_between_change_nothing(made, data):
    """A sample on the line between two others, to the whole second and hundredth, leaves every tension."""
    samples, second = [(0, 0)], 0
    for gap, decimetres in made:
        second += gap * 4
        samples.append((second, decimetres * 40))
    finer = []
    for (t0, d0), (t1, d1) in itertools.pairwise(samples):
        finer.append((t0, d0))
        for quarter in sorted(data.draw(st.sets(st.sampled_from([1, 2, 3])))):
            finer.append((t0 + (t1 - t0) * quarter // 4, d0 + (d1 - d0) * quarter // 4))
    finer.append(samples[-1])
    rest = tissues.surface_state()

    def swum(items):
        bars = [(s, SURFACE + d / 10_000) for s, d in items]
        segments = tuple((p0, p1, t1 - t0) for (t0, p0), (t1, p1) in itertools.pairwise(bars))
        return breathe(rest, segments, N2)

    assert swum(samples) == pytest.approx(swum(finer), abs=1e-11)


def test_what_is_recorded_at_the_surface_afterwards_is_no_dive():
    dive = [[0, 0], [1, 18], [30, 18], [32, 0]]
    ended, ran_on = day(asked(dive)), day(asked([*dive, [33, 0], [95.5, 0]]))
    assert ended["dives"] == ran_on["dives"] and ended["state"] == ran_on["state"]
    again = day(asked([*dive, [36, 0], [37, 9], [40, 0]]))
    assert again["dives"][0]["equivalent_single_dive_time_min"] == 40


def test_a_profile_that_does_not_come_up_gets_its_ascent():
    left = day(asked([[0, 0], [1, 18], [30, 18]]))
    up = day(asked([[0, 0], [1, 18], [30, 18], [32, 0]]))
    assert left["state"]["tensions_e9"] == up["state"]["tensions_e9"]


def test_a_profile_above_its_ceiling_on_the_way_is_beyond_though_it_surfaces_within():
    """40 m for 25 min, then 3 m too soon, then long at 6 m: the surface is met within, the way was not."""
    soon = [[0, 0], [2, 40], [25, 40], [29, 2], [30, 2], [31, 6], [120, 6], [121, 0]]
    kept = [[0, 0], [2, 40], [25, 40], [28, 15], [30, 12], [36, 9], [46, 6], [80, 6], [160, 3], [161, 0]]
    assert [day(asked(s, method="tissue"))["dives"][0]["tissue_within_limit"] for s in (soon, kept)] == [
        False,
        True,
    ]


@pytest.mark.parametrize(
    ("samples", "at", "code"),
    [
        ([], "", "out_of_range"),
        ([[0, 0]], "", "out_of_range"),
        ([[1, 0], [2, 5]], "/0/0", "out_of_order"),
        ([[0, 0], [2, 5], [2, 6]], "/2/0", "out_of_order"),
        ([[0, 0], [2, 5], [1, 6]], "/2/0", "out_of_order"),
        ([[0, 0], [2, 5], [2.001, 6], [2.002, 7]], "/3/0", "out_of_order"),
        ([[0, 0], [2, -5]], "/1/1", "out_of_range"),
        ([[0, 0], [2, 58.23]], "/1/1", "out_of_range"),
        ([[0, 0], [1441, 5]], "/1/0", "out_of_range"),
        ([[0, 0], [2, 5, 1]], "/1", "wrong_type"),
        ([[0, 0], [2, None]], "/1/1", "wrong_type"),
        ([[0, 0], [2, True]], "/1/1", "wrong_type"),
        ([[0, 0], [2, 0]], "", "out_of_range"),
        ([[0, 0]] + [[n / 60, 5] for n in range(1, 20_001)], "", "out_of_range"),
    ],
)
def test_a_profile_that_cannot_be_is_refused_where_it_is_wrong(samples, at, code):
    with pytest.raises(Problem) as refused:
        day(asked(samples))
    assert (f"/dives/0/samples{at}", code) in {(e.pointer, e.code) for e in refused.value.errors}


def test_the_longest_profile_is_answered():
    samples = [[n / 60, 0 if n == 0 else 10 + n % 3] for n in range(20_000)]
    assert day(asked(samples))["dives"][0]["tissue_within_limit"] in (True, False)
