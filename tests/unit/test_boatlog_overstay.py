"""What staying too long would owe, from the log: the stops are those of the simulation in tests/published."""

from teamdive.boatlog.overstay import overstay
from teamdive.physics.dive import Settings, clear_state, no_stop
from teamdive.physics.oxygen import AIR
from teamdive.physics.units import depth
from tests.boat_scene import Phone, at, metres, state, uid
from tests.published.test_stops_owed import simulate

LIMIT_S = no_stop(clear_state(Settings()), depth(30, "m"), AIR, Settings()).tissue_limit_s


def shown(stops: list[tuple[float, int]]) -> list[dict[str, object]]:
    return [{"depth": metres(round(at_m)), "min": -(-seconds // 60)} for at_m, seconds in stops]


def test_before_the_descent_five_and_ten_minutes_past_the_limit() -> None:
    five, ten = overstay(state(depths=(30,), bottom_min=(14,)), uid("t1"), at("09:00"))
    assert (five["past_s"], ten["past_s"]) == (300, 600)
    assert five["bottom_time_s"] == LIMIT_S + 300 and five["person"] == uid("a")
    assert five["stops"] == shown(simulate(30, LIMIT_S + 300, AIR, 0.4, 0.8))
    assert ten["stops"] == shown(simulate(30, LIMIT_S + 600, AIR, 0.4, 0.8))
    assert five["stop_min"] < ten["stop_min"] < ten["ascent_min"]


def test_under_water_what_staying_until_now_owes_and_nothing_within_the_limit() -> None:
    phone = Phone("p1")
    phone.down("09:40")
    told = state(phone, depths=(30,), bottom_min=(14,))
    assert overstay(told, uid("t1"), at("09:54")) == []
    (late,) = overstay(told, uid("t1"), at("10:00"))
    assert late["bottom_time_s"] == 20 * 60 and late["past_s"] == 20 * 60 - LIMIT_S
    assert late["stops"] == shown(simulate(30, 20 * 60, AIR, 0.4, 0.8))
    phone.up("10:01")
    assert overstay(state(phone, depths=(30,), bottom_min=(14,)), uid("t1"), at("10:05")) == []


def test_a_dive_before_owes_more_and_an_unknown_one_is_not_known() -> None:
    phone = Phone("p1")
    phone.holds("08:00", "s")
    phone.down("08:30")
    phone.up("08:55")
    without = state(phone, depths=(18, 30), bottom_min=(25, 10), run_min=(33, 16))
    assert overstay(without, uid("t1b"), at("10:00")) == {"not_known": ["reported depth of dive 1"]}
    phone.depth("08:57", "a", 18)
    told = state(phone, depths=(18, 30), bottom_min=(25, 10), run_min=(33, 16))
    five, _ = overstay(told, uid("t1b"), at("10:00"))
    assert five["bottom_time_s"] < LIMIT_S + 300


def test_no_limit_to_pass_and_no_such_team_tell_nothing() -> None:
    assert overstay(state(depths=(5,)), uid("t1"), at("09:00")) == []
    assert overstay(state(), uid("nobody"), at("09:00")) == []
