"""The safe direction belongs to the question, not to the event: one test for each clause of that rule.

Down told as 09:40 and 09:44, up as 10:05 and 10:09, depth as 15 m and 18 m, by two phones. That an uncertain clock is
given the benefit in none of these is also held at random, in tests/property/test_wrong_clocks.py.
"""

from __future__ import annotations

from typing import Any

import pytest

from teamdive.boatlog.fold import State
from teamdive.boatlog.nitrogen import next_dive, no_fly
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, codes, state, uid


def told_twice(up: bool = True) -> tuple[Phone, Phone]:
    one, other = Phone("p1"), Phone("p2", by="b")
    one.holds("09:00", "s")
    one.down("09:40")
    other.down("09:44")
    if up:
        one.up("10:05")
        other.up("10:09")
        one.depth("10:12", "a", 15)
        other.depth("10:12", "b", 18)
    return one, other


def told_once(down: str, up: str, depth: int) -> State:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.down(down)
    phone.up(up)
    phone.depth("10:12", "a", depth)
    return state(phone)


def person(told: State, name: str = "a", clock: str = "11:00") -> dict[str, Any]:
    found: dict[str, Any] = view(told, at(clock))["people"][uid(name)]
    return found


class TestEachQuestionTakesItsOwnEnd:
    def test_an_early_descent_and_a_late_surfacing_for_the_bottom_time(self) -> None:
        assert person(state(*told_twice()))["dives_done"][0]["bottom_time_s"] == [21 * 60, 29 * 60]

    def test_an_early_descent_for_due_and_overdue(self) -> None:
        seen = person(state(*told_twice(up=False)), clock="10:00")
        assert (seen["due_at"], seen["overdue_at"]) == (at("10:18"), at("10:28"))

    def test_a_late_surfacing_for_the_interval(self) -> None:
        assert person(state(*told_twice()))["interval_s"] == 51 * 60

    def test_the_deeper_depth_for_the_whole_team(self) -> None:
        for name in "ab":
            assert person(state(*told_twice()), name)["dives_done"][0]["depth"]["hundredths"] == 1800

    def test_the_next_dive_and_flying_are_those_of_the_worst_of_it_all(self) -> None:
        told, worst = state(*told_twice()), told_once("09:40", "10:09", 18)
        found, expected = (next_dive(each, uid("a"), at("11:00")) for each in (told, worst))
        assert found is not None and expected is not None
        assert (found["limit_s"], found["group"]) == (expected["limit_s"], expected["group"])
        flying, waiting = (no_fly(each, uid("a")) for each in (told, worst))
        assert flying is not None and waiting is not None and flying["until"] == waiting["until"]


class TestClaimsStayUntilPeopleSettleThem:
    def test_all_claims_are_kept_and_asked_about(self) -> None:
        told = state(*told_twice())
        assert len(person(told)["dives_done"][0]["entries"]) == 4
        assert {"down_times_differ", "up_times_differ"} <= codes(told)

    def test_where_it_touches_the_record_two_people_settle_it(self) -> None:
        one, other = told_twice()
        late = other.entries[-2]
        said = {"corrects": late.id, "reason": "settled", "void": False, "at": at("10:05")}
        one.write("correction", "t1", "10:30", by="c", **said)
        assert "correction_not_settled" in codes(state(one, other))
        assert person(state(one, other))["dives_done"][0]["bottom_time_s"][1] == 29 * 60
        one.write("correction", "t1", "10:32", by="c", **said)
        assert person(state(one, other))["dives_done"][0]["bottom_time_s"][1] == 29 * 60
        other.write("correction", "t1", "10:35", by="d", **said)
        assert person(state(one, other))["dives_done"][0]["bottom_time_s"][1] == 25 * 60
        assert "up_times_differ" not in codes(state(one, other))


class TestAnUncertainClock:
    """The phone that wrote it may be five minutes off either way."""

    def doubtful(self, up: str = "10:05") -> State:
        phone = Phone("p1")
        phone.holds("09:00", "s")
        phone.write("clock_compared", "p1", "09:10", offset_ms=0, error_ms=300_000)
        phone.down("09:40")
        if up:
            phone.up(up)
            phone.depth("10:12", "a", 18)
        return state(phone)

    def test_shortens_no_bottom_time_and_lengthens_no_interval(self) -> None:
        seen, right = person(self.doubtful()), person(told_once("09:40", "10:05", 18))
        assert seen["dives_done"][0]["bottom_time_s"][1] >= right["dives_done"][0]["bottom_time_s"][1]
        assert seen["interval_s"] <= right["interval_s"] - 300

    def test_brings_no_flying_time_forward(self) -> None:
        found, right = no_fly(self.doubtful(), uid("a")), no_fly(told_once("09:40", "10:05", 18), uid("a"))
        assert found is not None and right is not None and found["until"] >= right["until"] + 300_000

    def test_delays_nothing_that_is_due(self) -> None:
        assert person(self.doubtful(up=""), clock="10:00")["due_at"] == at("10:13")

    @pytest.mark.parametrize(("met", "accounted_for"), [("10:09", False), ("10:16", True)])
    def test_accounts_for_nobody_who_may_have_gone_down_since(self, met: str, accounted_for: bool) -> None:
        doubtful, right = Phone("p1"), Phone("p2")
        doubtful.write("clock_compared", "p1", "09:10", offset_ms=0, error_ms=300_000)
        doubtful.down("10:05")
        right.met(met, "ab")
        seen = person(state(doubtful, right))
        # Met on board within the doubt about the descent: they may have gone down after.
        assert seen["accounted_for"] is accounted_for


def test_what_one_phone_saw_in_turn_is_in_order_however_uncertain_its_clock() -> None:
    doubtful, other = Phone("p1"), Phone("p2")
    doubtful.write("clock_compared", "p1", "09:10", offset_ms=0, error_ms=300_000)
    doubtful.down("09:40")
    doubtful.up("10:05")
    doubtful.met("10:06", "ab")
    assert person(state(doubtful))["accounted_for"] is True
    # What another phone saw is not in that order.
    other.write("person_went_in", "a", "10:04")
    assert person(state(doubtful, other))["accounted_for"] is False


def test_a_jump_in_between_takes_that_order_away() -> None:
    phone = Phone("p1")
    phone.write("clock_compared", "p1", "09:10", offset_ms=0, error_ms=0)
    phone.down("10:00")
    phone.met("10:02", "ab")
    assert person(state(phone))["accounted_for"] is True
    phone.write("clock_compared", "p1", "10:05", offset_ms=600_000, error_ms=0)
    assert person(state(phone))["accounted_for"] is False


def test_a_conflict_about_presence_is_not_accounted_for() -> None:
    one, other = Phone("p1"), Phone("p2")
    one.met("10:00", "ab")
    other.down("10:00")
    assert person(state(one, other))["accounted_for"] is False
