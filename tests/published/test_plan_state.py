"""A plan from the state that a day left is the plan from that day's dives, and asks for no more than it knows.

Not against the outside: the day's own numbers are, in the other files here; this holds the two ways of giving them
together. The oxygen limits are the NOAA ones of tests/published/test_oxygen.py.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.calculations.day import day
from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem

GAS = {"o2_fraction": 0.21, "analysis": {"o2_fraction": 0.21, "by": "a", "at": "09:00", "cylinder": "c"}}
CYLINDER = {"id": "c", "volume": 24, "working_pressure": 300, "start_pressure": 220, "use": "main"}
BODY = {
    "depth_unit": "m",
    "pressure_unit": "bar",
    "volume_unit": "l",
    "dive": {"depth": 18, "bottom_time_min": 30, "work": "light", "return": "free_ascent"},
}


def asked(history, **more):
    diver = {
        "id": "a",
        "certified_depth": 40,
        "rmv_l_min": 12,
        "rmv_sd_l_min": 1,
        "cylinders": [CYLINDER],
        "gas": GAS,
        **history,
    }
    return plan({**BODY, "divers": [diver], **more})


def left(*dives):
    return day({"depth_unit": "m", "dives": list(dives)})["state"]


def ran_min(dive):
    """Whole run: bottom time, ascent at 9 m a minute."""
    return dive["bottom_time_min"] + dive["depth"] / 9


@pytest.mark.parametrize(("oxygen", "wait"), [(0.21, 1080), (0.32, 2000)])
def test_a_flight_after_a_state_knows_its_gas(oxygen, wait):
    """The consensus of 2002 speaks of air: the club's own wait after another gas counts from the state's dives too."""
    made = {"depth": 18, "bottom_time_min": 20, "o2_fraction": oxygen, "analysed": True}
    history = {"state_before": {**left(made), "minutes_before_descent": 100}, "flight": {"in_min": 3000}}
    answer = asked(history, no_fly={"club_wait_other_gas_min": 2000})
    assert answer["divers"][0]["flight"]["wait_min"] == wait


@given(
    st.sampled_from([9, 12, 18, 27]),
    st.integers(5, 14),
    st.sampled_from([0.21, 0.32]),
    st.integers(10, 3000),
)
@settings(max_examples=40, deadline=None)
def test_a_state_given_is_the_dive_given(deep, minutes, oxygen, gap):
    made = {"depth": deep, "bottom_time_min": minutes, "o2_fraction": oxygen, "analysed": True}
    by_dive = asked({"earlier_dives": [{**made, "surfaced_min_before_descent": gap}]})
    by_state = asked({"state_before": {**left(made), "minutes_before_descent": gap}})
    assert by_dive["divers"][0]["group_before"] == by_state["divers"][0]["group_before"]
    for kind in ("table_no_stop", "tissue_no_stop", "oxygen"):
        one, two = (found["team"]["limits"][kind]["min"] for found in (by_dive, by_state))
        assert one == two or two <= one <= two + 0.1001


def test_what_is_asked_backwards_counts_from_the_states_surfacing():
    made = {"depth": 27, "bottom_time_min": 17, "o2_fraction": 0.21, "analysed": True}
    more = {"find": "surface_interval", "what_if": True, "interval_steps": True}
    by_dive = asked({"earlier_dives": [{**made, "surfaced_min_before_descent": 40}]}, **more)
    by_state = asked({"state_before": {**left(made), "minutes_before_descent": 40}}, **more)
    for name in ("surface_interval", "interval_steps", "what_if"):
        assert by_dive[name] == by_state[name]


def test_oxygen_that_a_state_does_not_hold_is_not_known_for_a_day():
    state = left({"depth": 18, "bottom_time_min": 20, "o2_fraction": 0.21})
    del state["oxygen"]
    for minutes, known in ((1439, False), (1440, True)):
        limit = asked({"state_before": {**state, "minutes_before_descent": minutes}})["team"]["limits"][
            "oxygen"
        ]
        assert isinstance(limit["min"], float) is known
        assert known or "oxygen of the dives before the state given" in limit["min"]["not_known"][0]


def test_after_a_dive_beyond_its_limit_the_plan_is_barred_for_the_clubs_time():
    state = left({"depth": 30, "bottom_time_min": 40, "o2_fraction": 0.21})
    for minutes, rest, known in ((1439, None, False), (1440, None, True), (2000, 2880, False)):
        more = {} if rest is None else {"rest_after_beyond_limit_min": rest}
        limit = asked({"state_before": {**state, "minutes_before_descent": minutes}}, **more)["team"][
            "limit_min"
        ]
        assert isinstance(limit, float) is known


def test_a_state_and_dives_together_or_a_partners_state_are_refused_by_name():
    state = {**left({"depth": 18, "bottom_time_min": 20, "o2_fraction": 0.21}), "minutes_before_descent": 60}
    with pytest.raises(Problem) as raised:
        asked({"state_before": state, "earlier_dives": []})
    assert [error.pointer for error in raised.value.errors] == ["/divers/0/state_before"]
    diver = {"id": "b", "earlier_dives_of": "a"}
    with pytest.raises(Problem) as raised:
        plan({**BODY, "divers": [{"id": "a", "state_before": state}, diver]})
    assert [error.pointer for error in raised.value.errors] == ["/divers/1/earlier_dives_of"]
