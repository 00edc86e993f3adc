"""Many divers at once: scipy's integration of dP/dt = k (P_breathed - P), and the bits of one diver's kernel.

The differential equation is that of test_tissue_model.py (Haldane; Schreiner and Kelley 1971), integrated here for
every diver of a block in one system; nothing of the code under test is used there but the printed half-times.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from teamdive.physics import tissues
from teamdive.physics.dive import Dive, Settings, day, no_stop
from teamdive.physics.nitrogen import wait
from teamdive.physics.oxygen import AIR, Mix
from teamdive.physics.units import Depth, exact_travel_s, travel_s
from teamdive.scale import rosters
from teamdive.scale import tissues as many
from tests.published.test_tissue_model import SURFACE, VAPOUR, K


def random_profiles(rng, divers, segments, *, longest_s=9000):
    """Own times and depths, at no more than 60 m a minute, air and nitrox, some at rest, some at one depth."""
    knots = SURFACE + rng.random((segments + 1, divers)) * 5
    stays = rng.random((segments, divers)) < 0.3
    start, end = knots[:-1], np.where(stays, knots[:-1], knots[1:])
    least = np.ceil(np.abs(end - start) * 10).astype(np.int64) + 1
    seconds = np.maximum(rng.integers(1, longest_s, (segments, divers)), least)
    return start, end, rng.choice([0.7902, 0.69, 0.61], (segments, divers)), seconds


def one_by_one(start, end, n2, seconds):
    state = tissues.surface_state()
    for p0, p1, share, s in zip(start, end, n2, seconds, strict=True):
        if s == 0:
            continue
        p0, p1, share, s = float(p0), float(p1), float(share), int(s)
        state = tissues.constant(state, p0, share, s) if p0 == p1 else tissues.linear(state, p0, p1, share, s)
    return state


def integrate(states, start, end, n2, seconds):
    """Every diver's segment stretched over one unit of time, so that all are one system."""
    for p0, p1, share, s in zip(start, end, n2, seconds, strict=True):

        def slope(u, y, p0=p0, p1=p1, share=share, s=s):
            breathed = ((p0 + (p1 - p0) * u - VAPOUR) * share)[:, None]
            return (K * s[:, None] * (breathed - y.reshape(-1, 16))).ravel()

        found = solve_ivp(slope, (0, 1), states.ravel(), method="DOP853", rtol=1e-11, atol=1e-12)
        states = found.y[:, -1].reshape(-1, 16)
    return states


def test_against_solve_ivp():
    rng = np.random.default_rng(8)
    made = random_profiles(rng, 40, 6, longest_s=3000)
    states = many.surface_states(40)
    assert np.max(np.abs(many.breathe(states, *made) - integrate(states, *made))) < 1e-9
    together = np.repeat(made[3].max(axis=1)[:, None], 40, axis=1)
    reference = integrate(states, *made[:3], together)
    assert np.max(np.abs(many.breathe_together(states, *made[:3], together[:, 0]) - reference)) < 1e-9


@pytest.mark.parametrize("divers", [1, 300, many.BLOCK + 7])
def test_bit_for_bit_the_kernel_of_one_diver(divers):
    rng = np.random.default_rng(divers)
    start, end, n2, seconds = random_profiles(rng, divers, 8)
    seconds[rng.random(seconds.shape) < 0.1] = 0
    seconds[-1] = rng.integers(0, 2**23, divers)  # weeks of rest: past the stored powers too
    start[-1] = end[-1] = SURFACE
    found = many.breathe(many.surface_states(divers), start, end, n2, seconds)
    for i in rng.choice(divers, min(divers, 60), replace=False):
        assert tuple(found[i]) == one_by_one(start[:, i], end[:, i], n2[:, i], seconds[:, i])


def test_times_shared_by_all_within_1e_12_bar():
    rng = np.random.default_rng(4)
    start, end, n2, _ = random_profiles(rng, 500, 6)
    seconds = np.array([300, 1500, 420, 5400, 900, 30_000])
    found = many.breathe_together(many.surface_states(500), start, end, n2, seconds)
    own = many.breathe(many.surface_states(500), start, end, n2, np.repeat(seconds[:, None], 500, axis=1))
    assert np.max(np.abs(found - own)) < 1e-12


@given(
    st.integers(1, 60),
    st.lists(st.integers(1, 4000), min_size=2, max_size=6),
    st.floats(1, 6.8),
    st.floats(1, 6.8),
)
@settings(max_examples=60, deadline=None)
def test_splitting_a_segment_changes_nothing(divers, parts, p0, p1):
    """One steady change, or the same one in pieces: equal within 1e-12 bar, by either way of reckoning.

    The times here are long enough for a change of 60 m a minute at most: faster, the closed form itself loses digits.
    """
    parts = [part + 300 for part in parts]
    whole = sum(parts)
    knots = [p0 + (p1 - p0) * sum(parts[:i]) / whole for i in range(len(parts))] + [p1]
    columns = [np.array(x)[:, None] for x in (knots[:-1], knots[1:])]
    states = many.surface_states(divers)
    for reckon in (many.breathe, many.breathe_together):
        pieces = np.array(parts)[:, None] if reckon is many.breathe else parts
        at_once = reckon(states, p0, p1, 0.7902, [whole])
        assert np.max(np.abs(reckon(states, *columns, 0.7902, pieces) - at_once)) < 1e-12


def test_limits_are_the_whole_seconds_of_the_kernel():
    rng = np.random.default_rng(5)
    divers = 400
    made = random_profiles(rng, divers, 3)
    states = rosters.at_rest(
        many.breathe(many.surface_states(divers), *made), Settings(), rng.integers(600, 90_000, divers)
    )
    deep = [Depth(int(h), "m") for h in rng.integers(300, 5800, divers)]
    bottom = np.array([SURFACE + d.bar for d in deep])
    down = np.array([travel_s(d, Settings.descent, up=False) for d in deep])
    up = np.array([travel_s(d, Settings.ascent, up=True) for d in deep])
    exact = np.array([exact_travel_s(d, Settings.ascent) for d in deep])
    gf, n2 = rng.choice([0.7, 0.75, 0.8, 1.0], divers), rng.choice([0.7902, 0.69], divers)
    for way_up in (None, exact):
        found = many.no_stop_limits_s(states, SURFACE, bottom, n2, down, up, gf, way_up)
        for i in range(divers):
            one = tissues.no_stop_limit_s(
                tuple(states[i].tolist()),
                SURFACE,
                float(bottom[i]),
                float(n2[i]),
                int(down[i]),
                int(up[i]),
                float(gf[i]),
                None if way_up is None else float(way_up[i]),
            )
            assert found[i] == (many.NO_LIMIT if one is None else one)
        assert {0, many.NO_LIMIT} < set(found.tolist())


def test_helium_bit_for_bit_too():
    rng = np.random.default_rng(9)
    start, end, n2, seconds = random_profiles(rng, 50, 5)
    he = rng.choice([0.0, 0.2, 0.35], seconds.shape)
    nitrogen = many.breathe(many.surface_states(50), start, end, n2, seconds)
    helium = many.breathe(np.zeros((50, 16)), start, end, he, seconds, many.HELIUM)
    for i in range(50):
        state = tissues.surface_state() + (0.0,) * 16
        for p0, p1, share, light, s in zip(
            *(x[:, i].tolist() for x in (start, end, n2, he, seconds)), strict=True
        ):
            state = (
                tissues.constant(state, p0, share, s, light)
                if p0 == p1
                else tissues.linear(state, p0, p1, share, s, light)
            )
        assert (*nitrogen[i], *helium[i]) == state


@pytest.mark.parametrize(
    "rules", [Settings(), Settings(altitude_ft=4000, at_altitude_s=7200)], ids=["sea", "altitude"]
)
def test_a_roster_after_many_days_is_each_diver_alone(rules):
    """As one diver's days leave it: state, and after a night the limit of the next dive."""
    rng = np.random.default_rng(6)

    def dives():
        return tuple(
            Dive(
                Depth(int(rng.integers(500, 4000)), "m"),
                int(rng.integers(120, 1500)),
                Mix(3200, True) if rng.random() < 0.3 else AIR,
                int(rng.integers(600, 60_000)),
            )
            for _ in range(rng.integers(1, 20))
        )

    team = [dives() for _ in range(80)]
    states = rosters.after_dives(team, rules)
    rested = rosters.at_rest(states, rules, 40_000)
    deep = Depth(2200, "m")
    limits = many.no_stop_limits_s(
        rested,
        rules.surface_bar,
        rules.surface_bar + deep.bar,
        tissues.AIR_N2,
        travel_s(deep, rules.descent, up=False),
        travel_s(deep, rules.ascent, up=True),
        0.8,
        exact_travel_s(deep, rules.ascent),
    )
    alone = [day(made, rules).state for made in team]
    assert [tuple(row) for row in states] == [state.surfaced_tissues for state in alone]
    for state, limit in zip(alone, limits.tolist(), strict=True):
        unbarred = wait(state, 40_000)
        one = no_stop(unbarred, deep, AIR, rules).tissue_limit_s
        assert one == limit or unbarred.barred


def test_what_is_asked_wrongly_is_refused():
    states = many.surface_states(2)
    with pytest.raises(ValueError, match="0 or more"):
        many.breathe(states, 2.0, 3.0, 0.79, [-1])
    with pytest.raises(ValueError, match="above 0"):
        many.breathe_together(states, 2.0, 3.0, 0.79, [60, 0])
    joined = [(Dive(Depth(1800, "m"), 600), Dive(Depth(1800, "m"), 600, interval_s=599))]
    with pytest.raises(ValueError, match="one dive"):
        rosters.after_dives(joined, Settings())
    with pytest.raises(ValueError, match="helium"):
        rosters.after_dives([(Dive(Depth(1800, "m"), 600, Mix(2100, True, 3500)),)], Settings())
    with pytest.raises(ValueError, match="at_altitude_s"):
        rosters.after_dives([()], Settings(altitude_ft=1000))
    assert rosters.after_dives([(), ()], Settings()).shape == (2, 16)
