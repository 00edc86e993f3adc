"""Stops owed past the limit, against an own simulation: numpy's exponentials, second by second.

The ceiling with gradient factors is Baker's (Clearing Up the Confusion About Deep Stops, 1998; the formula from
memory): P_tol = (P_t - a GF) / (GF / b - GF + 1), the factor on a line from the first stop to the surface.
"""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.calculations.day import day
from teamdive.calculations.plan import plan
from teamdive.physics import tissues
from teamdive.physics.ascent import Ascent, ascend, owed
from teamdive.physics.dive import Dive, Settings, clear_state, no_stop
from teamdive.physics.known import Missing
from teamdive.physics.oxygen import AIR, Mix
from teamdive.physics.units import Depth, depth

ZHL16 = json.loads((Path(tissues.__file__).parent / "data" / "zhl16.json").read_text("utf-8"))
ROWS = [ZHL16["alternative_first"], *ZHL16["compartments"][1:]]
HALF_TIME_S = np.array([[row[gas]["half_time_min"] * 60 for row in ROWS] for gas in ("n2", "he")])
AB = {
    "a": np.array(
        [
            [x if isinstance(x := row["n2"]["a_bar"], float) else x["C"] for row in ROWS],
            [row["he"]["a_bar"] for row in ROWS],
        ]
    ),
    "b": np.array([[row[gas]["b"] for row in ROWS] for gas in ("n2", "he")]),
}
PER_S = np.exp(-np.log(2) / HALF_TIME_S)
SURFACE, VAPOUR = 1.01325, 0.0627


class Simulated:
    """A diver moved a second at a time; depth in metres."""

    def __init__(self, mix):
        self.fractions = np.array([[mix.n2], [mix.he]])
        self.p = np.full((2, 16), 0.0)
        self.p[0] = (SURFACE - VAPOUR) * 0.7902

    def second(self, metres):
        breathed = (SURFACE + metres / 10 - VAPOUR) * self.fractions
        self.p = breathed + (self.p - breathed) * PER_S

    def move(self, start, end, per_minute):
        seconds = max(1, round(abs(start - end) * 60 / per_minute))
        for s in range(seconds):
            self.second(start + (end - start) * (s + 0.5) / seconds)

    def ceiling_m(self, gf):
        total = self.p.sum(axis=0)
        a, b = ((AB[x] * self.p).sum(axis=0) / total for x in ("a", "b"))
        return (np.max((total - a * gf) / (gf / b - gf + 1)) - SURFACE) * 10

    def after(self, start, end, per_minute):
        other = Simulated.__new__(Simulated)
        other.fractions, other.p = self.fractions, self.p.copy()
        other.move(start, end, per_minute)
        return other


def simulate(deep, bottom_s, mix, low, high, step=3.0, rate=9.0):
    """(depth, seconds) of each stop, by waiting at each step until the next one is no longer above the ceiling."""
    diver = Simulated(mix)
    down = deep * 60 // 18
    diver.move(0, deep, deep * 60 / down)
    for _ in range(bottom_s - down):
        diver.second(deep)
    if diver.after(deep, 0, rate).ceiling_m(high) <= 0:
        return []
    at, stops, first = float(deep), [], None
    while at > 0:
        above = step * np.ceil(at / step - 1 - 1e-9)
        waited = 0
        while True:
            gf = low if first is None else high + (low - high) * above / first
            up = diver.after(at, above, rate)
            if up.ceiling_m(gf) <= above:
                break
            if first is None:
                first = at
                continue
            diver.second(at)
            waited += 1
        if waited:
            stops.append((at, waited))
        diver, at = up, above
    return stops


DIVES = [
    (30, 20, AIR, 400, 800),
    (30, 25, AIR, 300, 850),
    (40, 25, AIR, 400, 800),
    (18, 75, AIR, 400, 800),
    (24, 45, AIR, 1000, 1000),
    (57, 15, AIR, 200, 700),
    (33, 40, Mix(3200, True), 400, 800),
    (45, 20, Mix(2100, True, 3500), 400, 800),
    (57, 15, Mix(1800, True, 5000), 300, 800),
]


@pytest.mark.parametrize(("deep", "minutes", "mix", "low", "high"), DIVES, ids=str)
def test_stops_against_a_second_by_second_simulation(deep, minutes, mix, low, high):
    rules = Settings(gf_low_pm=low, gf_high_pm=high)
    ours = owed(clear_state(rules), Dive(depth(deep, "m"), minutes * 60, mix), rules)
    theirs = simulate(deep, minutes * 60, mix, low / 1000, high / 1000)
    assert [stop.depth.number for stop in ours.stops] == [at for at, _ in theirs]
    # A second at the mid depth of a move is not the closed form of it: a second or two of the longest stops.
    for stop, (_, seconds) in zip(ours.stops, theirs, strict=True):
        assert stop.seconds == pytest.approx(seconds, abs=2 + seconds * 0.002)


def test_the_ceiling_is_bakers():
    state = tuple(3.0 - i / 10 for i in range(16))
    gauge = np.max((np.array(state) - AB["a"][0] * 0.4) / (0.4 / AB["b"][0] - 0.4 + 1)) - SURFACE
    found = ascend(state, depth(40, "m"), AIR, Settings())
    assert found.ceiling.number == pytest.approx(gauge * 10, abs=0.0101)
    assert found.ceiling.number >= gauge * 10
    assert found.stops[0].depth.number >= found.ceiling.number


deep_cm = st.integers(1000, 5700)
factors = st.tuples(st.integers(200, 1000), st.integers(200, 1000)).map(sorted)


@given(deep_cm, st.integers(60, 3600), factors, st.booleans())
@settings(max_examples=60, deadline=None)
def test_stops_are_owed_past_the_limit_only(deep, bottom_s, gf, feet):
    """From five seconds past it on: the limit also holds for a straight ascent rounded up to whole seconds."""
    rules = Settings(gf_low_pm=gf[0], gf_high_pm=gf[1])
    at = Depth(deep * 3 if feet else deep, "ft" if feet else "m")
    limit_s = no_stop(clear_state(rules), at, AIR, rules).tissue_limit_s
    down_s = at.msw_e7 * 60 // rules.descent.msw_e7
    for seconds in (bottom_s, limit_s or bottom_s, (limit_s or bottom_s) + 5):
        bottom = max(seconds, down_s)
        found = owed(clear_state(rules), Dive(at, bottom, AIR), rules)
        if limit_s is None or bottom <= limit_s:
            assert found.stops == ()
        elif bottom >= limit_s + 5:
            assert found.stops


@given(deep_cm, st.integers(600, 3600), st.integers(1, 1200), factors)
@settings(max_examples=60, deadline=None)
def test_staying_longer_never_owes_less(deep, bottom_s, more_s, gf):
    """Time of all stops with the low factor equal to the high one; apart, a new first stop moves the whole line."""
    rules = Settings(gf_low_pm=gf[1], gf_high_pm=gf[1])
    one, two = (
        owed(clear_state(rules), Dive(Depth(deep, "m"), s), rules) for s in (bottom_s, bottom_s + more_s)
    )
    assert sum(s.seconds for s in one.stops) <= sum(s.seconds for s in two.stops) + len(one.stops)
    assert one.ceiling.hundredths <= two.ceiling.hundredths


@given(deep_cm, st.integers(1200, 3600), factors)
@settings(max_examples=40, deadline=None)
def test_every_step_is_within_its_factor_and_a_second_sooner_is_not(deep, bottom_s, gf):
    rules = Settings(gf_low_pm=gf[0], gf_high_pm=gf[1])
    left = tissues.linear(tissues.surface_state(), SURFACE, SURFACE + deep / 1000, 0.7902, bottom_s)
    found = ascend(left, Depth(deep, "m"), AIR, rules)
    assert isinstance(found, Ascent)
    if not found.stops:
        return
    state, at = left, Depth(deep, "m")
    for n, stop in enumerate(found.stops):
        state = lifted(state, at, stop.depth)
        above = Depth(stop.depth.hundredths - 300, "m")
        sooner = lifted(held(state, stop.depth, stop.seconds - 1), stop.depth, above)
        state = held(state, stop.depth, stop.seconds)
        at = stop.depth
        on_arrival = lifted(state, at, above)
        # The line is at most the high factor everywhere and at least the low one.
        assert tissues.tolerates(on_arrival, SURFACE + above.bar, gf[1] / 1000 + 1e-12)
        assert not tissues.tolerates(sooner, SURFACE + above.bar, gf[0] / 1000 - 1e-12)
        if n == len(found.stops) - 1 and above.hundredths == 0:
            assert not tissues.tolerates(sooner, SURFACE, gf[1] / 1000 - 1e-12)


def lifted(state, start, end):
    while start.hundredths > end.hundredths:
        step = Depth(max(end.hundredths, (start.hundredths - 1) // 300 * 300), "m")
        seconds = (start.hundredths - step.hundredths) * 60 / 900
        state = tissues.linear(state, SURFACE + start.bar, SURFACE + step.bar, 0.7902, seconds)
        start = step
    return state


def held(state, at, seconds):
    return tissues.constant(state, SURFACE + at.bar, 0.7902, seconds)


def test_a_day_shows_what_was_owed_and_only_past_the_tissue_limit():
    asked = {
        "depth_unit": "m",
        "method": "tissue",
        "dives": [{"depth": 30, "bottom_time_min": 20, "o2_fraction": 0.21}],
    }
    answer = day(asked)
    item = answer["dives"][0]["stops_owed"]
    assert item["stops"] == [{"depth": 6.0, "min": 1}, {"depth": 3.0, "min": 3}]
    assert (item["stop_min"], item["ascent_min"]) == (4, 8)
    assert "never a plan" in item["caution"]
    assert item["message"] == "Past the tissue limit: this dive owes 4 min of stops, the first at 6 m."
    asked["dives"][0]["bottom_time_min"] = 14
    assert "stops_owed" not in day(asked)["dives"][0]


def test_a_stop_of_days_is_not_known():
    rules = Settings(gf_low_pm=100, gf_high_pm=100)
    found = owed(clear_state(rules), Dive(depth(57, "m"), 86_400), rules)
    assert found == Missing(("stops of less than a day",))


def team(minutes, earlier=(), **more):
    """Two divers at 30 m, of whom the second has the earlier dives given."""
    made = [
        {"depth": d, "bottom_time_min": m, "o2_fraction": 0.21, "surfaced_min_before_descent": ago}
        for d, m, ago in earlier
    ]
    return plan(
        {
            "depth_unit": "m",
            "pressure_unit": "bar",
            "volume_unit": "l",
            "dive": {"depth": 30, "bottom_time_min": minutes},
            "divers": [{"id": "a", "earlier_dives": []}, {"id": "b", "earlier_dives": made}],
            **more,
        }
    )


def test_seconds_past_the_limit_that_owe_no_stop_say_why():
    """The limit holds exactly at the rate and for an ascent in whole seconds: between the two no stop is owed."""
    body = {"depth_unit": "m", "method": "tissue", "gf": [0.524, 0.834]}
    dive = {"depth": 50.81, "bottom_time_min": 373 / 60, "o2_fraction": 0.21}
    item = day({**body, "dives": [dive]})["dives"][0]
    assert item["tissue_within_limit"] is False and item["stops_owed"]["stops"] == []
    assert item["stops_owed"]["message"] == (
        "Past the tissue limit: this dive owes no stop yet, for the limit is a few seconds on the safe side."
    )
    later = day({**body, "dives": [{**dive, "bottom_time_min": 380 / 60}]})["dives"][0]
    assert later["stops_owed"]["stops"]


def test_an_overstay_is_told_with_the_diver_who_would_owe_most():
    """The limit of 30 m is 14.1 min; five minutes past it the stops are those of the simulation for 19.1 min."""
    five, ten = team(12, overstay=True)["overstay"]
    assert (five["past_min"], five["bottom_time_min"], five["diver"]) == (5.0, 19.1, "a")
    limit_s = no_stop(clear_state(Settings()), depth(30, "m"), AIR, Settings()).tissue_limit_s
    theirs = simulate(30, limit_s + 300, AIR, 0.4, 0.8)
    assert five["stops"] == [{"depth": at, "min": -(-seconds // 60)} for at, seconds in theirs]
    assert five["stop_min"] < ten["stop_min"]
    assert "would owe" in five["message"] and "never a plan" in five["caution"]
    dived = team(12, [(18, 40, 90)], overstay=True)["overstay"][0]
    assert dived["diver"] == "b" and dived["bottom_time_min"] < 19.1


def test_an_overstay_relaxes_nothing():
    """Every limit is the same with and without it, and a time planned past the limit is told unasked."""
    plain, asked = team(20), team(20, overstay=True)
    assert plain["overstay"] == [asked["overstay"][0]]
    assert plain["overstay"][0]["past_min"] == pytest.approx(5.9)
    del plain["overstay"], asked["overstay"]
    assert plain == asked
    assert "overstay" not in team(12)


def test_an_overstay_is_not_known_where_a_limit_is_not():
    answer = team(12, overstay=True, site_altitude_m=1500)
    assert answer["overstay"] == {"not_known": ["hours_at_altitude"]}
