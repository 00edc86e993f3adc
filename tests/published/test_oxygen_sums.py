"""Both NOAA limits over dives and days, pulmonary units and equivalent narcotic depth, against their sources.

NOAA Diving Manual (limits for a single exposure and for 24 hours); Hamilton, REPEX, 1988 (pulmonary units, whole-body
doses; days 2 to 10 from memory); Baker 2000 (the ramp, from memory). numpy and scipy check the power and the integral.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from teamdive.calculations.day import day
from teamdive.calculations.problem import Problem
from teamdive.physics import oxygen, pulmonary
from teamdive.physics.known import Missing
from teamdive.physics.oxygen import AIR, ATM_BAR, Mix, equivalent_narcotic_depth, exposure_share
from teamdive.physics.units import Depth, depth

NITROX = {"o2_fraction": 0.32, "analysed": True}


def metres(*dives, **more):
    return day({"depth_unit": "m", "dives": list(dives), **more})


def made(deep, minutes, interval=None, **gas):
    one = {"depth": deep, "bottom_time_min": minutes, **(gas or NITROX)}
    return one if interval is None else {"surface_interval_min": interval, **one}


# OTU a minute at each row of the NOAA table, exponent 5/6, to three digits.
PER_MINUTE = {
    0.6: 0.262,
    0.7: 0.466,
    0.8: 0.653,
    0.9: 0.830,
    1.0: 1.000,
    1.1: 1.164,
    1.2: 1.324,
    1.3: 1.479,
    1.4: 1.632,
    1.5: 1.782,
    1.6: 1.929,
}


@pytest.mark.parametrize(("atm", "per_minute"), PER_MINUTE.items())
def test_units_of_a_minute(atm, per_minute):
    bar = atm * ATM_BAR / 0.5
    assert round(pulmonary.units([(bar, bar, 60)], 5000), 3) == per_minute


def test_no_units_up_to_half_an_atmosphere():
    bar = 0.5 * ATM_BAR / 0.5
    assert pulmonary.units([(bar, bar, 6000), (0.9, bar, 600)], 5000) == 0.0


@given(st.floats(1e-6, 40), st.sampled_from([(5, 6), (11, 6)]))
def test_the_power_against_numpy(x, exponent):
    assert pulmonary.power(x, *exponent) == pytest.approx(
        np.float64(x) ** (exponent[0] / exponent[1]), rel=1e-12
    )


@given(st.floats(1.0, 7.0), st.floats(1.0, 7.0), st.integers(1, 5000), st.integers(2100, 10_000))
def test_a_steady_change_against_the_integral(from_bar, to_bar, seconds, o2_e4):
    def rate(t):
        p = (from_bar + (to_bar - from_bar) * t) * o2_e4 / 10_000 / ATM_BAR
        return ((p - 0.5) / 0.5) ** (5 / 6) if p > 0.5 else 0.0

    crossing = (
        (0.5 * ATM_BAR * 10_000 / o2_e4 - from_bar) / (to_bar - from_bar) if to_bar != from_bar else 0.5
    )
    points = [crossing] if 0 < crossing < 1 else None
    expected = quad(rate, 0, 1, points=points, limit=200)[0] * seconds / 60
    assert pulmonary.units([(from_bar, to_bar, seconds)], o2_e4) == pytest.approx(
        expected, rel=1e-5, abs=1e-6
    )


@given(st.floats(1.0, 7.0), st.floats(1.0, 7.0), st.integers(2, 5000), st.floats(0.1, 0.9))
def test_splitting_a_segment_changes_nothing(from_bar, to_bar, seconds, share):
    cut = max(1, min(seconds - 1, round(seconds * share)))
    middle = from_bar + (to_bar - from_bar) * cut / seconds
    halves = [(from_bar, middle, cut), (middle, to_bar, seconds - cut)]
    whole = pulmonary.units([(from_bar, to_bar, seconds)], 4000)
    assert pulmonary.units(halves, 4000) == pytest.approx(whole, rel=1e-6, abs=1e-6)


NOAA_24_H = {
    0.6: 720,
    0.7: 570,
    0.8: 450,
    0.9: 360,
    1.0: 300,
    1.1: 270,
    1.2: 240,
    1.3: 210,
    1.4: 180,
    1.5: 180,
    1.6: 150,
}


@pytest.mark.parametrize(("atm", "limit"), NOAA_24_H.items())
def test_the_whole_24_hour_limit_is_all_of_it(atm, limit):
    bar = (atm - 1e-6) * ATM_BAR / 0.5
    assert exposure_share([(bar, bar, limit * 60)], 5000, oxygen.DAY_ROWS) == pytest.approx(1.0, rel=1e-9)


@given(st.floats(1.0, 6.5), st.floats(1.0, 6.5), st.integers(1, 40_000))
def test_the_24_hour_share_is_never_the_larger(from_bar, to_bar, seconds):
    """Which is why, with nothing taken back, the single limit governs a plan."""
    segment = [(from_bar, to_bar, seconds)]
    single, daily = exposure_share(segment, 2400), exposure_share(segment, 2400, oxygen.DAY_ROWS)
    assert isinstance(single, Missing) == isinstance(daily, Missing)
    if not isinstance(single, Missing) and not isinstance(daily, Missing):
        assert daily <= single * (1 + 1e-12)


def test_both_limits_of_a_square_dive_by_hand():
    """34 m on 31 %, counted as 32 %: 1.41 bar is 1.39 atm, the row of 1.4: 150 and 180 minutes."""
    found = metres(made(34, 60, o2_fraction=0.31, analysed=True))["dives"][0]["oxygen"]
    bottom_min = 60 - 113 / 60
    assert found["ppo2_bar"] == 1.42  # 4.41325 x 0.32 = 1.4123, rounded up
    assert bottom_min / 150 * 100 < found["single_limit_used_percent"] < bottom_min / 150 * 100 + 2.5
    assert bottom_min / 180 * 100 < found["day_limit_used_percent"] < bottom_min / 180 * 100 + 2.5
    assert bottom_min * PER_MINUTE[1.3] < found["otu"] < 60 * PER_MINUTE[1.4] + 6


def test_sums_over_24_hours_take_nothing_back():
    answer = metres(made(25, 30), made(20, 30, 120), made(20, 30, 1440))
    first, second, third = (d["oxygen"] for d in answer["dives"])
    for limit in ("single", "day"):
        used, together = f"{limit}_limit_used_percent", f"{limit}_limit_with_earlier_percent"
        assert first[together] == first[used]
        assert second[together] == pytest.approx(first[used] + second[used], abs=0.11)
        # The first ended more than 24 h before the third began, the second exactly 24 h before: neither counts.
        assert third[together] == third[used]
    within = metres(made(25, 30), made(20, 30, 1439))["dives"][1]["oxygen"]
    assert within["day_limit_with_earlier_percent"] > within["day_limit_used_percent"]


def test_recovery_only_with_a_stated_half_time_and_only_of_the_single_limit():
    """90 minutes halve what was used: a convention, not in the NOAA table."""
    dives = (made(20, 30), made(20, 30, 90))
    plain, halved = metres(*dives), metres(*dives, oxygen_recovery_half_time_min=90)
    assert plain["oxygen"]["recovery_half_time_min"] is None
    assert halved["oxygen"]["recovery_half_time_min"] == 90
    used = plain["dives"][0]["oxygen"]["single_limit_used_percent"]
    a, b = (x["dives"][1]["oxygen"] for x in (plain, halved))
    assert a["single_limit_with_earlier_percent"] == pytest.approx(2 * used, abs=0.2)
    assert b["single_limit_with_earlier_percent"] == pytest.approx(1.5 * used, abs=0.2)
    assert a["day_limit_with_earlier_percent"] == b["day_limit_with_earlier_percent"]


def test_passing_a_limit_is_said():
    both = metres(made(30, 100), made(30, 100, 60), oxygen_recovery_half_time_min=1)
    codes = [(w["code"], w["pointer"]) for w in both["warnings"] if w["code"].startswith("oxygen")]
    # 1.33 atm: 100 of 150 minutes each, and 100 of 180: together past the 24 hours only.
    assert codes == [("oxygen_day_limit_passed", "/dives/1")]
    plain = [w["code"] for w in metres(made(30, 100), made(30, 100, 60))["warnings"]]
    assert "oxygen_limit_passed" in plain and "oxygen_day_limit_passed" in plain


def test_whole_body_doses_over_days():
    """REPEX: 850 on the first day, 1,400 by the second, 1,860, ..., 3,100 by the tenth; then about 300 a day."""
    totals = [850, 1400, 1860, 2100, 2300, 2520, 2660, 2800, 2970, 3100, 3300, 3600]
    assert [pulmonary.most_by_day(n) for n in range(1, 13)] == totals
    answer = metres(made(20, 30), made(20, 30, 300), made(20, 30, 3000))
    days = answer["oxygen"]["otu_by_day"]
    assert [d["day"] for d in days] == [1, 2, 3]
    each = [d["oxygen"]["otu"] for d in answer["dives"]]
    assert days[0]["otu"] == pytest.approx(each[0] + each[1], abs=0.11)
    assert (days[1]["otu"], days[1]["total_otu"]) == (0, days[0]["otu"])
    assert days[2]["total_otu"] == pytest.approx(sum(each), abs=0.21)
    assert (days[2]["limit_otu"], days[2]["total_limit_otu"]) == (850, 1860)
    past = metres(made(30, 330), made(30, 330, 60))
    assert "oxygen_dose_passed" in [w["code"] for w in past["warnings"]]
    assert "oxygen_dose_passed" not in [w["code"] for w in answer["warnings"]]


def test_one_dive_of_two_descents_counts_together():
    parted, joined = metres(made(20, 15), made(20, 15, 10)), metres(made(20, 15), made(20, 15, 9))
    assert joined["dives"][1]["oxygen"]["otu"] == pytest.approx(
        sum(d["oxygen"]["otu"] for d in parted["dives"]), abs=0.11
    )
    assert "oxygen" not in joined["dives"][0]


def test_a_refused_dive_counts_too():
    """It may be made all the same."""
    answer = metres(made(30, 60), made(20, 30, 60), made(10, 20, 1440))
    assert "refused" in answer["dives"][1]
    assert answer["oxygen"]["otu_by_day"][0]["otu"] > metres(made(30, 60))["oxygen"]["otu_by_day"][0]["otu"]


def test_what_is_not_known_of_the_gas_or_of_dives_before():
    unknown = metres({"depth": 20, "bottom_time_min": 20}, made(10, 20, 60))
    assert unknown["dives"][0]["oxygen"]["otu"] == {"not_known": ["o2_fraction"]}
    assert unknown["dives"][1]["oxygen"]["day_limit_with_earlier_percent"] == {"not_known": ["o2_fraction"]}
    assert unknown["oxygen"]["otu_by_day"][0]["otu"] == {"not_known": ["o2_fraction"]}
    state = metres(made(20, 20))["state"]
    del state["oxygen"]  # as a state from before it held the exposures
    soon, later = (
        metres(made(10, 20), state_before={**state, "minutes_before_descent": n}) for n in (1439, 1440)
    )
    assert "not_known" in soon["dives"][0]["oxygen"]["single_limit_with_earlier_percent"]
    assert "not_known" in soon["oxygen"]["otu_by_day"][0]["total_otu"]
    assert later["dives"][0]["oxygen"]["single_limit_with_earlier_percent"] > 0


END = [
    # (1 - FHe) (D + 10) - 10 and nitrogen / 0.79 (D + 10) - 10 by hand; nitrogen with its margin of 0.01.
    (Mix(1800, True, 4500), "m", 60, 28.5, (1 - 0.17 - 0.45) / 0.79 * 70 - 10),
    (Mix(2100, True, 3500), "m", 40, 22.5, (1 - 0.20 - 0.35) / 0.79 * 50 - 10),
    (Mix(1800, True, 5000), "ft", 200, 83.5, (1 - 0.17 - 0.50) / 0.79 * 233 - 33),
    (Mix(3200, True, 0), "m", 30, 30.0, (1 - 0.31) / 0.79 * 40 - 10),
    (Mix(2000, True, 8000), "m", 10, 0.0, 0.0),
]


@pytest.mark.parametrize(("mix", "unit", "deep", "with_oxygen", "without"), END)
def test_equivalent_narcotic_depth_by_both_conventions(mix, unit, deep, with_oxygen, without):
    for narcotic, expected in ((True, with_oxygen), (False, without)):
        found = equivalent_narcotic_depth(depth(deep, unit), mix, narcotic)
        assert isinstance(found, Depth)
        assert expected - 1e-9 <= found.number < expected + 0.0101


def test_air_is_as_narcotic_as_air():
    for narcotic in (True, False):
        assert equivalent_narcotic_depth(depth(33.3, "m"), AIR, narcotic) == depth(33.3, "m")
    assert equivalent_narcotic_depth(depth(30, "m"), Mix(2100, False, 3500), True) == Missing(("analysis",))


def test_the_choice_of_convention_is_stated_and_both_are_answered():
    found = [
        metres(made(30, 10), **more)["dives"][0]["equivalent_narcotic_depth"]
        for more in ({}, {"oxygen_narcotic": True}, {"oxygen_narcotic": False})
    ]
    both = {"counting_oxygen": 30, "without_oxygen": 24.94}
    assert found[0] == found[1] == {"depth": 30, "oxygen_narcotic": True, **both}
    assert found[2] == {"depth": 24.94, "oxygen_narcotic": False, **both}


@pytest.mark.parametrize(
    "more",
    [
        {"oxygen_recovery_half_time_min": 0},
        {"oxygen_recovery_half_time_min": 1441},
        {"oxygen_recovery_half_time_min": "90"},
        {"oxygen_narcotic": 1},
    ],
)
def test_bad_questions_name_their_field(more):
    with pytest.raises(Problem) as raised:
        metres(made(30, 10), **more)
    assert [e.pointer for e in raised.value.errors] == [f"/{name}" for name in more]
