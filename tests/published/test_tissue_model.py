"""The tissue model against independent mathematics: scipy's integration of the differential equation.

dP/dt = k (P_breathed - P) for each compartment, k = ln 2 / half-time (Haldane; Schreiner and Kelley 1971 is
its closed form for a steady change of depth). Nothing of the code under test is used on the other side but
the printed coefficients.
"""

import json
import math
from pathlib import Path
from random import Random

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from teamdive.physics import tissues
from teamdive.physics.dive import Dive, NitrogenState, Settings, after, clear_state, no_stop, wait
from teamdive.physics.known import Missing
from teamdive.physics.nitrogen import tissue_limit_s
from teamdive.physics.oxygen import AIR, Mix
from teamdive.physics.profile import breathe, profile
from teamdive.physics.units import Depth, depth, travel_s
from tests.published import make_powers

ZHL16 = json.loads((Path(tissues.__file__).parent / "data" / "zhl16.json").read_text("utf-8"))
ROWS = [ZHL16["alternative_first"]["n2"], *(c["n2"] for c in ZHL16["compartments"][1:])]
HALF_TIME_S = np.array([row["half_time_min"] * 60 for row in ROWS])
A = np.array([row["a_bar"] if isinstance(row["a_bar"], float) else row["a_bar"]["C"] for row in ROWS])
B = np.array([row["b"] for row in ROWS])
K = np.log(2) / HALF_TIME_S
SURFACE, VAPOUR, N2 = 1.01325, 0.0627, 0.7902


def integrate(start, segments, n2):
    """Integrate the differential equation through (from bar, to bar, seconds)."""
    state = np.array(start)
    for p0, p1, seconds in segments:
        if seconds == 0:
            continue

        def slope(t, y, p0=p0, p1=p1, seconds=seconds):
            ambient = p0 + (p1 - p0) * t / seconds
            return K * ((ambient - VAPOUR) * n2 - y)

        found = solve_ivp(slope, (0, seconds), state, method="DOP853", rtol=1e-12, atol=1e-13)
        state = found.y[:, -1]
    return state


def test_conventions():
    """Nitrogen 0.7902, water vapour 0.0627 bar, surface 1.01325 bar: 0.7511 bar at rest (zhl16.json)."""
    assert tissues.surface_state() == (pytest.approx(ZHL16["surface_n2_start_bar"], abs=5e-5),) * 16
    assert tissues.COUNT == 16
    assert tissues.A_BAR[0] == 1.1696  # compartment 1b in the first place


@pytest.mark.parametrize(
    ("deep", "minutes", "o2"),
    [
        (3, 200, 2100),
        (12, 60, 2100),
        (18, 41, 2100),
        (30, 14, 2100),
        (40, 8, 2100),
        (58, 4, 2100),
        (27, 25, 3200),
        (33, 20, 3600),
    ],
)
def test_profiles_against_solve_ivp(deep, minutes, o2):
    mix = Mix(o2, True)
    segments = profile(Dive(depth(deep, "m"), minutes * 60, mix), Settings())
    rest = tissues.surface_state()
    ours = breathe(rest, segments, mix.n2)
    assert np.max(np.abs(np.array(ours) - integrate(rest, segments, mix.n2))) < 1e-9


def test_a_day_of_dives_and_intervals_against_solve_ivp():
    segments = []
    for deep, bottom_s, interval_s in ((30, 840, 3600), (24, 1200, 5400), (18, 2000, 43_200)):
        segments += profile(Dive(depth(deep, "m"), bottom_s), Settings())
        segments.append((SURFACE, SURFACE, interval_s))
    rest = tissues.surface_state()
    ours = breathe(rest, tuple(segments), N2)
    assert np.max(np.abs(np.array(ours) - integrate(rest, segments, N2))) < 1e-9


def test_decay_is_the_exponential():
    for i in range(16):
        for seconds in (0, 1, 59, 60, 3600, 86_400, 1_000_000):
            assert tissues.decay(i, seconds) == pytest.approx(
                math.exp(-K[i] * seconds), rel=1e-12, abs=1e-300
            )


def test_the_stored_powers_are_the_computed_ones():
    """To 50 digits by make_powers.py, stored as the nearest double; the platform's own exp agrees to an ulp or two."""
    for name, made in make_powers.files().items():
        assert (
            json.loads((Path(tissues.__file__).parent / "data" / f"{name}.json").read_text("utf-8")) == made
        )
    for i in range(16):
        for bit in range(16):
            assert tissues.POWERS[i][bit] == pytest.approx(math.exp(-K[i] * 2**bit), rel=1e-13, abs=1e-300)


def closed_form(state, p0, rate, n2, seconds):
    breathed, slope = (p0 - VAPOUR) * n2, rate * n2
    return breathed + slope * (seconds - 1 / K) - (breathed - state - slope / K) * np.exp(-K * seconds)


def limit_by_root(start, deep_bar, n2, gf, descent, ascent, surface=SURFACE):
    """The no-stop limit in seconds as the root of the tightest compartment's margin at the surface."""
    gauge = deep_bar - surface
    down, up = gauge * 600 / descent, gauge * 600 / ascent
    allowed = surface + gf * (A + surface / B - surface)

    def margin(seconds):
        state = closed_form(np.array(start), surface, gauge / down, n2, down)
        state = closed_form(state, deep_bar, 0.0, n2, seconds - down)
        state = closed_form(state, deep_bar, -gauge / up, n2, up)
        return np.max(state - allowed)

    return brentq(margin, down, 5_000_000, xtol=1e-9, rtol=1e-14) if margin(5_000_000) > 0 else None


@pytest.mark.parametrize("gf", [600, 700, 800, 900, 1000])
@pytest.mark.parametrize("deep", [9, 10, 12, 15, 18, 21, 24, 26, 27, 30, 33, 36, 40, 45, 50])
def test_no_stop_limit_against_brentq(deep, gf):
    settings = Settings(gf_high_pm=gf)
    ours = no_stop(clear_state(settings), depth(deep, "m"), AIR, settings).tissue_limit_s
    root = limit_by_root(tissues.surface_state(), SURFACE + deep / 10, N2, gf / 1000, 18, 9)
    if root is None:
        assert ours is None
    else:
        # A descent in whole seconds here is up to a second quicker, so is an ascent slower.
        assert root - 3 < ours <= root


def test_no_limit_is_longer_than_the_continuous_one():
    """Depths, rates and loads at random, feet and altitude included: never above the root, and within 5 s of it."""
    random = Random(4_711)
    compared = 0
    for _ in range(400):
        unit = random.choice(["m", "ft"])
        deep = Depth(random.randint(900, 5800) if unit == "m" else random.randint(2900, 19_000), unit)
        rates = random.choice([1800, 2000, 1234]), random.choice([900, 1000, 300, 1777])
        settings = Settings(
            gf_high_pm=random.randint(500, 1000),
            descent=Depth(rates[0], "m"),
            ascent=Depth(rates[1], "m"),
            altitude_ft=random.choice([0, 0, 3000, 7500]),
        )
        start = tuple(random.uniform(0.6, 1.2) for _ in range(16))
        surface = settings.surface_bar
        ours = tissue_limit_s(start, deep, AIR, settings, 0)
        # The root is compared where a compartment that is quick to fill cannot turn it into one of many days.
        if ours is None or not 60 < ours < 40_000:
            continue
        found = limit_by_root(
            start,
            surface + deep.bar,
            N2,
            settings.gf_high_pm / 1000,
            rates[0] / 100,
            rates[1] / 100,
            surface,
        )
        assert root_below(found, ours), (deep, settings, ours, found)
        compared += 1
    assert compared > 200


def root_below(root, limit_s):
    return root - 5 < limit_s <= root


def test_limits_of_the_stated_conventions():
    """GF high 0.80, 18 m/min down, 9 m/min up, computed by brentq above and shown rounded down to 0.1 min."""
    settings = Settings()
    seconds = {
        m: no_stop(clear_state(settings), depth(m, "m"), AIR, settings).tissue_limit_s for m in (30, 24, 18)
    }
    assert {m: s // 6 / 10 for m, s in seconds.items()} == {30: 14.1, 24: 22.0, 18: 42.0}
    roots = {
        m: limit_by_root(tissues.surface_state(), SURFACE + m / 10, N2, 0.8, 18, 9) / 60 for m in (30, 24, 18)
    }
    assert roots == {
        30: pytest.approx(14.10, abs=0.01),
        24: pytest.approx(22.06, abs=0.01),
        18: pytest.approx(42.07, abs=0.01),
    }


def model_limit(deep, start, surface, n2, down_s, up_s, gf):
    return tissues.no_stop_limit_s(start, surface, surface + deep / 10, n2, down_s, up_s, gf)


def test_limits_with_a_surface_of_one_bar():
    """Our own arithmetic, no outside source: 1.000 bar surface, nitrogen 0.79.

    13.9, 21.8, 41.6 and 18.8 min at 30, 24, 18 and 26 m; with this project's conventions they are 0.2 to 0.5 longer.
    """
    start = tissues.surface_state(1.0, 0.79)
    found = {
        m: model_limit(m, start, 1.0, 0.79, m * 60 // 18, -(-m * 60 // 9), 0.8) / 60 for m in (30, 24, 18, 26)
    }
    assert found == {
        m: pytest.approx(x, abs=0.06) for m, x in {30: 13.9, 24: 21.8, 18: 41.6, 26: 18.8}.items()
    }


def test_raw_model_at_one_bar():
    """Our own arithmetic, no outside source: instant descent and ascent, 1 bar, nitrogen 0.79, no factors.

    20 m 45.6, 27 m 21.3, 30 m 16.3, 18 m 59.1 min (set C). At 40 m the first compartment binds: 9.0 min with row 1
    of the model, as computed there, and 8.8 with row 1b, which this project uses.
    """
    start = tissues.surface_state(1.0, 0.79)
    expected = {20: 45.6, 27: 21.3, 30: 16.3, 40: 8.76, 18: 59.1}
    allowed = tissues.allowed_bar(1.0, 1.0)
    for deep, minutes in expected.items():
        early = tissues.constant(start, 1.0 + deep / 10, 0.79, round((minutes - 0.1) * 60))
        late = tissues.constant(start, 1.0 + deep / 10, 0.79, round((minutes + 0.1) * 60))
        assert tissues.within(early, allowed)
        assert not tissues.within(late, allowed)
    row_1 = ZHL16["compartments"][0]["n2"]
    rest, breathed = (1.0 - VAPOUR) * 0.79, (5.0 - VAPOUR) * 0.79
    m_value = row_1["a_bar"]["C"] + 1.0 / row_1["b"]
    share_left = (breathed - m_value) / (breathed - rest)
    assert -row_1["half_time_min"] * math.log2(share_left) == pytest.approx(9.0, abs=0.05)


def test_surfacing_limits_of_set_a():
    """Baker, Understanding M-values, 1998: surfacing limits in msw at 1 bar, set A, rows 1 to 16."""
    printed = [32.4, 25.4, 22.5, 20.3, 19.0, 17.8, 16.8, 15.9, 15.2, 14.6, 14.2, 13.9, 13.5, 13.2, 12.9, 12.7]
    for row, msw in zip(ZHL16["compartments"], printed, strict=True):
        m_value_bar = row["n2"]["a_bar"]["A"] + 1.0 / row["n2"]["b"]
        assert m_value_bar * 10 == pytest.approx(msw, abs=0.05)


def test_set_a_follows_its_generating_rule():
    """a = 2 h^(-1/3) bar, b = 1.005 - h^(-1/2) (Buhlmann 1983/84, from memory); row 4 is printed as 0.7825."""
    for row in ZHL16["compartments"]:
        h = row["n2"]["half_time_min"]
        assert row["n2"]["a_bar"]["A"] == pytest.approx(2 * h ** (-1 / 3), abs=1.1e-4)
        if row["compartment"] != "4":
            assert row["n2"]["b"] == pytest.approx(1.005 - h**-0.5, abs=1.1e-4)
        assert row["n2"]["a_bar"]["C"] <= row["n2"]["a_bar"]["A"]


def test_the_ceiling_formula_at_factor_one_is_the_plain_one():
    """Baker 1998 (from memory): (P - a GF) / (GF / b - GF + 1) is (P - a) b at GF 1."""
    state = tuple(2.0 + i / 20 for i in range(16))
    assert tissues.ceiling_bar(state, 1.0) == pytest.approx(np.max((np.array(state) - A) * B), rel=1e-12)
    on_the_limit = tissues.allowed_bar(1.7, 0.8)
    assert tissues.ceiling_bar(on_the_limit, 0.8) == pytest.approx(1.7, rel=1e-12)


@pytest.mark.parametrize("rate", [3, 6, 9, 18])
@pytest.mark.parametrize("deep", [9, 12, 18, 30, 40, 58])
def test_a_straight_ascent_at_the_limit_meets_no_ceiling(deep, rate):
    """Followed second by second, at the slowest ascent allowed and faster."""
    settings = Settings(ascent=Depth(rate * 100, "m"))
    limit_s = no_stop(clear_state(settings), depth(deep, "m"), AIR, settings).tissue_limit_s
    if limit_s == 0:
        assert (deep, rate) == (58, 3)  # this slow an ascent leaves no time there
        return
    segments = profile(Dive(depth(deep, "m"), limit_s), settings)
    state = breathe(tissues.surface_state(), segments[:2], N2)
    p0, p1, seconds = segments[2]
    for second in range(0, seconds, 5):
        now = p0 + (p1 - p0) * second / seconds
        on_the_way = state if second == 0 else tissues.linear(state, p0, now, N2, second)
        assert tissues.within(on_the_way, tissues.allowed_bar(now, 0.8))
    longer = profile(Dive(depth(deep, "m"), limit_s + 1), settings)
    assert tissues.within(
        breathe(tissues.surface_state(), segments, N2), tissues.allowed_bar(SURFACE, 0.8 + 1e-12)
    )
    assert not tissues.within(
        breathe(tissues.surface_state(), longer, N2), tissues.allowed_bar(SURFACE, 0.8 - 1e-12)
    )


LEAST_INTERVALS = {
    # first dive: least interval in minutes before 18 m 30, 18 m 35, 15 m 40, 12 m 50: (table, tissue at 1 bar and 0.79)
    (30, 13): ((10, 19), (53, 34), (10, 10), (10, 10)),
    (27, 17): ((10, 23), (53, 38), (10, 15), (10, 10)),
    (24, 21): ((53, 24), (105, 40), (10, 18), (10, 10)),
    (21, 29): ((105, 31), (158, 47), (10, 24), (10, 10)),
    (18, 40): ((158, 35), (210, 51), (53, 28), (10, 10)),
}
SECOND = ((18, 30), (18, 35), (15, 40), (12, 50))


@pytest.mark.parametrize("first", LEAST_INTERVALS, ids=str)
def test_least_surface_intervals(first):
    """Our own arithmetic, no outside source; the table's follow from its cells by hand."""
    settings = Settings()
    _, state = after(clear_state(settings), Dive(depth(first[0], "m"), first[1] * 60), settings)
    for (deep, bottom), (by_table, by_tissue) in zip(SECOND, LEAST_INTERVALS[first], strict=True):

        def fits(minutes, deep=deep, bottom=bottom):
            limits = no_stop(wait(state, minutes * 60), depth(deep, "m"), AIR, settings)
            return limits.adjusted_no_stop_limit_min >= bottom

        assert next(m for m in range(10, 400) if fits(m)) == by_table
        assert least_tissue_interval(first, deep, bottom, 1.0, 0.79) == by_tissue
        assert 0 <= by_tissue - least_tissue_interval(first, deep, bottom, SURFACE, N2) <= 2


def least_tissue_interval(first, deep, bottom, surface, n2):
    def dive(state, m, minutes):
        down, up = m * 60 // 18, -(-m * 60 // 9)
        bottom_bar = surface + m / 10
        state = tissues.linear(state, surface, bottom_bar, n2, down)
        state = tissues.constant(state, bottom_bar, n2, minutes * 60 - down)
        return tissues.linear(state, bottom_bar, surface, n2, up)

    state = dive(tissues.surface_state(surface, n2), *first)
    for minutes in range(10, 400):
        rested = tissues.constant(state, surface, n2, minutes * 60)
        if tissues.within(dive(rested, deep, bottom), tissues.allowed_bar(surface, 0.8)):
            return minutes
    return None


def test_unknown_tissues_stay_unknown():
    state = NitrogenState(None, Missing(("earlier_dives",)))
    assert no_stop(state, depth(18, "m"), AIR, Settings()).tissue_limit_s == Missing(("earlier_dives",))
    assert travel_s(depth(18, "m"), Depth(900, "m"), up=True) == 120
