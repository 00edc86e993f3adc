"""Phones with wrong clocks: what an entry happened at by the log's time, and what stays in doubt.

An uncertain clock never shortens a bottom time, lengthens an interval, brings a no-fly end forward or delays a due
time: each clause is held by a test here or in tests/property/test_wrong_clocks.py.
"""

from __future__ import annotations

from typing import Any

from teamdive.boatlog.claims import happened, own_offset
from teamdive.boatlog.entries import body, read
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, codes, metres, state, trip, uid


def diver(told: State, name: str, clock: str = "12:00") -> dict[str, Any]:
    found: dict[str, Any] = view(told, at(clock))["people"][uid(name)]
    return found


class TestClocks:
    def test_a_phone_measured_an_hour_fast_shortens_nothing(self) -> None:
        fast = Phone("p2")
        fast.write("clock_compared", "p2", "10:00", offset_ms=-3_600_000, error_ms=1000)
        fast.down("10:40")
        right = Phone("p1")
        right.up("10:05", people="ab")
        done = diver(state(fast, right), "a")["dives_done"][0]
        assert done["down"] == [at("09:40") - 1000, at("09:40") + 1000]
        assert done["bottom_time_s"] == [25 * 60 - 1, 25 * 60 + 1]

    def test_a_phone_knows_its_own_offset_from_the_last_comparison_by_its_own_sequence(self) -> None:
        phone, other = Phone("p2"), Phone("p1")
        first = phone.write("note", "trip", "11:00")
        assert own_offset(state(phone), uid("p2")) == 0
        phone.write("clock_compared", "p2", "10:59", offset_ms=-3_600_000, error_ms=40)
        phone.write("clock_compared", "p2", "11:01", offset_ms=-3_590_000, error_ms=40)
        later = phone.write("note", "trip", "11:05")
        told = state(phone, other)
        assert own_offset(told, uid("p2")) == -3_590_000
        assert own_offset(told, uid("p1")) == 0
        assert (happened(told, later), happened(told, first)) == (at("10:05:10"), at("10:00"))
        phone.write("clock_compared", "p2", "10:06", offset_ms=1500, error_ms=500)
        assert own_offset(state(phone), uid("p2")) == 0
        phone.write("clock_compared", "p2", "10:06", offset_ms=1500, error_ms=501)
        assert own_offset(state(phone), uid("p2")) == 1500

    def test_two_phones_agree_on_an_instant_whatever_their_clocks_say(self) -> None:
        right, fast = Phone("p1"), Phone("p2", by="b")
        fast.write("clock_compared", "p2", "10:00", offset_ms=-3_600_000, error_ms=0)
        wrong = right.down("09:50")
        right.up("10:05")
        said = {"corrects": wrong.id, "reason": "settled", "void": False}
        right.write("correction", "t1", "10:30", at=at("09:40"), **said)
        assert "correction_not_settled" in codes(state(right, fast))
        fast.write("correction", "t1", "11:31", at=at("10:40"), **said)
        assert diver(state(right, fast), "a")["dives_done"][0]["down"] == [at("09:40"), at("09:40")]
        assert not {"correction_not_settled", "corrections_differ"} & codes(state(right, fast))

    def test_the_same_figures_off_two_clocks_are_not_the_same_instant(self) -> None:
        right, fast = Phone("p1"), Phone("p2", by="b")
        fast.write("clock_compared", "p2", "10:00", offset_ms=-3_600_000, error_ms=0)
        wrong = right.down("09:50")
        right.up("10:05")
        for phone in (right, fast):
            phone.write(
                "correction", "t1", "10:30", corrects=wrong.id, reason="settled", void=False, at=at("09:40")
            )
        assert "corrections_differ" in codes(state(right, fast))
        assert diver(state(right, fast), "a")["dives_done"][0]["down"][0] == at("08:40")

    def test_when_last_seen_was_read_off_the_clock_of_who_says_it(self) -> None:
        right, fast = Phone("p1"), Phone("p2", by="b")
        fast.write("clock_compared", "p2", "10:00", offset_ms=-3_600_000, error_ms=0)
        right.down("09:40")
        alone = right.write("surfaced_alone", "a", "10:00", team="t1", dive="d1")
        fast.write(
            "correction", "a", "11:02", corrects=alone.id, reason="other", void=False,
            data={"last_seen_at": at("10:57")},
        )  # fmt: skip
        assert diver(state(right, fast), "b")["last_seen_at"] == at("09:57")

    def test_an_altered_comparison_moves_nothing(self) -> None:
        phone = Phone("p2")
        made = phone.write("clock_compared", "p2", "10:00", offset_ms=0, error_ms=0)
        phone.down("10:10")
        forged = read({**body(made), "data": {"offset_ms": 3_600_000, "error_ms": 0}})
        told = fold(trip(), [forged, *phone.entries[1:]])
        assert diver(told, "a")["since"] == at("10:10")
        assert told.compared == {}

    def test_a_change_of_plan_within_the_doubt_about_the_descent_gives_the_earlier_due_time(self) -> None:
        phone, slow = Phone("p1"), Phone("p2")
        slow.write("clock_compared", "p2", "09:00", offset_ms=600_000, error_ms=60_000)
        phone.write("plan_changed", "d1", "09:40", depth=metres(18), bottom_time_s=900, run_time_s=1200)
        slow.down("09:30:30")
        # Down between 09:39:30 and 09:41:30: the shorter plan may have been what they heard.
        assert diver(state(phone, slow), "a", "09:45")["due_at"] == at("09:59:30")

    def test_a_clock_put_right_in_between_widens(self) -> None:
        phone = Phone("p2")
        phone.write("clock_compared", "p2", "10:00", offset_ms=-600_000, error_ms=0)
        phone.down("10:10")
        phone.write("clock_compared", "p2", "10:20", offset_ms=0, error_ms=0)
        assert diver(state(phone), "a")["dives_done"][0]["down"] == [at("10:00"), at("10:10")]

    def test_ten_minutes_of_doubt_widen_bottom_time_and_interval(self) -> None:
        phone = Phone("p1")
        phone.down("09:40", earliest=at("09:30"), latest=at("09:50"))
        phone.up("10:05", earliest=at("09:55"), latest=at("10:15"))
        seen = diver(state(phone), "a", "11:00")
        assert seen["dives_done"][0]["bottom_time_s"] == [5 * 60, 45 * 60]
        assert seen["interval_s"] == 45 * 60
