"""Two who agree settle the field that they named, and of that only what was said before: nobody else's word is lost.

The rule is design.md's: the safer of two that differ counts until two say the same. That each field is settled by
itself, and that a later word opens it again, is our own choice.
"""

from __future__ import annotations

from typing import Any

import pytest

from teamdive.boatlog.claims import Readings, readings, standing
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, metres, one_dive, state, uid

DEPTH = {"data": {"depth": metres(34)}}
EARLIER = {"at": at("10:08")}


class Log:
    """A dive with one entry in question, and whoever corrects it, each long after, from another phone."""

    def __init__(self, deck: Phone, wrong: Entry) -> None:
        self.deck, self.wrong, self.phone = deck, wrong, Phone("p7")

    def says(self, by: str, clock: str, corrects: Entry | None = None, **said: Any) -> Entry:
        said = {"void": False, "reason": "other", **said}
        wrong = (corrects or self.wrong).id
        return self.phone.write("correction", "x", clock, by=by, corrects=wrong, **said)

    def read(self) -> Readings:
        return readings(state(self.deck, self.phone), self.wrong)

    def codes(self) -> list[str]:
        return [question.code for question in self.read().questions]


def depth_told() -> Log:
    """18 m, entered at 10:12."""
    deck = one_dive(depth=18)
    return Log(deck, deck.entries[-1])


def went_down() -> Log:
    """Team 1, a and b, at 09:40."""
    deck = one_dive()
    return Log(deck, deck.entries[1])


def aboard() -> Log:
    deck = one_dive()
    return Log(deck, deck.back("10:10", "a"))


def depths(read: Readings) -> set[int]:
    return {claim.data["depth"]["hundredths"] // 100 for claim in read.claims}


def spans(read: Readings) -> tuple[int, int]:
    return min(c.earliest for c in read.claims), max(c.latest for c in read.claims)


class TestEachFieldByItself:
    @pytest.mark.parametrize("first", [True, False])
    def test_two_who_agree_when_it_was_leave_open_how_deep_it_was(self, first: bool) -> None:
        log = depth_told()
        if first:
            log.says("d", "11:00", **DEPTH)
        log.says("c", "11:01", **EARLIER)
        log.says("s", "11:02", **EARLIER)
        if not first:
            log.says("d", "11:03", **DEPTH)
        read = log.read()
        assert spans(read) == (at("10:08"), at("10:08"))
        assert depths(read) == {18, 34} and log.codes() == ["correction_not_settled"]
        log.says("c", "11:10", **DEPTH)
        assert depths(log.read()) == {34} and spans(log.read()) == (at("10:08"), at("10:08"))
        assert log.codes() == []

    def test_two_who_agree_on_a_field_may_say_different_things_beside_it(self) -> None:
        log = depth_told()
        log.says("c", "11:00", **DEPTH, **EARLIER)
        log.says("s", "11:01", **EARLIER)
        assert spans(log.read()) == (at("10:08"), at("10:08")) and depths(log.read()) == {18, 34}
        log.says("d", "11:02", **DEPTH)
        assert depths(log.read()) == {34} and log.codes() == []

    def test_who_was_in_the_team_stays_open_while_the_time_is_settled(self) -> None:
        log = went_down()
        log.says("d", "11:00", data={"members": [uid("a"), uid("b"), uid("c")]})
        for by in "sd":
            log.says(by, "11:05", at=at("09:42"))
        assert {frozenset(c.data["members"]) for c in log.read().claims} == {
            frozenset(map(uid, "ab")),
            frozenset(map(uid, "abc")),
        }
        shown = view(state(log.deck, log.phone), at("11:10"))["people"]
        assert shown[uid("c")]["dives_done"], "the third may have been down with them"

    def test_another_team_and_its_people_are_one_field(self) -> None:
        log = went_down()
        second = {"void": True, "subject_": uid("t2")}
        log.says("s", "11:00", **second, data={"members": [uid("c"), uid("d")]})
        log.says("t", "11:01", **second, data={"members": [uid("c")]})
        assert {c.subject for c in log.read().claims} == {uid("t1"), uid("t2")}
        assert log.codes() == ["corrections_differ"]

    def test_what_two_say_of_one_field_lets_two_say_that_it_did_not_happen(self) -> None:
        log = depth_told()
        for by, clock in (("c", "11:00"), ("s", "11:01")):
            log.says(by, clock, **DEPTH)
        for by, clock in (("d", "11:02"), ("s", "11:03")):
            log.says(by, clock, void=True)
        assert log.read().doubted and depths(log.read()) == {34} and log.codes() == ["corrections_differ"]

    def test_a_dispute_of_one_field_opens_that_of_another_only_where_one_person_said_both(self) -> None:
        log = depth_told()
        for by in "cs":
            log.says(by, "11:00", **DEPTH)
        time = log.says("d", "11:01", **EARLIER)
        log.says("c", "11:02", corrects=time, void=True)
        assert depths(log.read()) == {34} and log.codes() == ["corrections_differ"]
        log.says("s", "11:03", corrects=time, void=True)
        assert depths(log.read()) == {34} and spans(log.read()) == (at("10:12"), at("10:12"))
        assert log.codes() == []


class TestWhatIsSaidLater:
    def test_a_later_word_opens_what_two_settled_and_a_third_voice_closes_it(self) -> None:
        log = depth_told()
        for by in "cs":
            log.says(by, "11:00", data={"depth": metres(16)})
        log.says("d", "11:05", data={"depth": metres(33)})
        assert depths(log.read()) == {16, 33} and log.codes() == ["corrections_differ"]
        log.says("c", "11:06", data={"depth": metres(16)})
        assert depths(log.read()) == {16, 33}, "the same person again says nothing new"
        log.says("b", "11:07", data={"depth": metres(16)})
        assert depths(log.read()) == {16} and log.codes() == []

    def test_what_stood_before_the_second_voice_is_answered_by_it(self) -> None:
        log = depth_told()
        for by, clock, deep in (("c", "11:00", 16), ("d", "11:01", 33), ("s", "11:02", 16)):
            log.says(by, clock, data={"depth": metres(deep)})
        assert depths(log.read()) == {16} and log.codes() == []

    def test_one_person_who_says_later_that_it_did_not_happen_is_heard(self) -> None:
        log = aboard()
        for by in "cs":
            log.says(by, "11:00", at=at("10:11"))
        assert view(state(log.deck, log.phone), at("12:00"))["people"][uid("a")]["accounted_for"]
        log.says("d", "11:05", void=True)
        assert not view(state(log.deck, log.phone), at("12:00"))["people"][uid("a")]["accounted_for"]
        assert log.codes() == ["corrections_differ"]
        log.says("t", "11:06", at=at("10:11"))
        assert view(state(log.deck, log.phone), at("12:00"))["people"][uid("a")]["accounted_for"]

    def test_what_two_took_back_may_be_said_again(self) -> None:
        log = depth_told()
        void = log.says("s", "11:00", void=True)
        for by in "cd":
            log.says(by, "11:01", corrects=void, void=True)
        assert not log.read().doubted and log.codes() == []
        log.says("t", "11:02", void=True)
        assert log.read().doubted and log.codes() == ["corrections_differ"]

    def test_a_later_dispute_of_one_of_three_voices_opens_it(self) -> None:
        log = depth_told()
        said = [log.says(by, "11:00", data={"depth": metres(16)}) for by in "csb"]
        log.says("d", "11:05", corrects=said[0], void=True)
        assert depths(log.read()) == {18, 16} and log.codes() == ["corrections_differ"]


class TestAtOnce:
    def test_two_mistaps_put_right_within_the_minute_are_both_put_right(self) -> None:
        deck = one_dive()
        wrong = deck.down("10:30", team="t2", members="cd")
        for clock, said in (
            ("10:30:10", {"data": {"members": [uid("c"), uid("e")]}}),
            ("10:30:20", {"at": at("10:29")}),
        ):
            said = {"void": False, "reason": "mistyped", **said}
            deck.write("correction", "t2", clock, corrects=wrong.id, **said)
        (claim,) = readings(state(deck), wrong).claims
        assert (claim.at, claim.data["members"]) == (at("10:29"), [uid("c"), uid("e")])

    def test_a_later_correction_does_not_bring_the_mistap_back(self) -> None:
        deck, phone = Phone("p1"), Phone("p7")
        wrong = deck.down("10:30", members="ab")
        said = {"void": False, "reason": "mistyped", "data": {"members": [uid("a"), uid("c")]}}
        deck.write("correction", "t1", "10:30:10", corrects=wrong.id, **said)
        later = {"void": False, "reason": "wrong_time", "at": at("10:33")}
        phone.write("correction", "t1", "11:00", by="s", corrects=wrong.id, **later)
        found = readings(state(deck, phone), wrong).claims
        assert {tuple(claim.data["members"]) for claim in found} == {(uid("a"), uid("c"))}
        assert {claim.at for claim in found} == {at("10:30"), at("10:33")}

    def test_one_person_accounts_for_nobody_by_a_tap_that_was_taken_back(self) -> None:
        deck, phone = one_dive(), Phone("p7")
        wrong = deck.back("10:10", "a")
        deck.write("correction", "a", "10:10:05", corrects=wrong.id, reason="mistyped", void=True)
        later = {"void": False, "reason": "wrong_time", "at": at("10:20")}
        for by, there in (("c", False), ("s", True)):
            phone.write("correction", "a", "11:00", by=by, corrects=wrong.id, **later)
            assert view(state(deck, phone), at("12:00"))["people"][uid("a")]["accounted_for"] is there

    def test_whoever_was_brought_in_at_once_does_not_settle_where_they_are(self) -> None:
        deck, phone = one_dive(), Phone("p7")
        wrong = deck.back("10:10", "a")
        instead = {"void": True, "subject_": uid("b"), "reason": "wrong_person"}
        deck.write("correction", "a", "10:10:05", corrects=wrong.id, **instead)
        later = {"void": False, "reason": "wrong_time", "at": at("10:20")}
        for by in "bs":
            phone.write("correction", "a", "11:00", by=by, corrects=wrong.id, **later)
        assert {claim.at for claim in readings(state(deck, phone), wrong).claims} == {
            at("10:10"),
            at("10:20"),
        }


class TestDecisions:
    def test_two_corrections_of_different_fields_are_both_what_was_meant(self) -> None:
        deck, phone = Phone("p1"), Phone("p7")
        plan = {"depth": metres(18), "bottom_time_s": 1200, "run_time_s": 1800}
        changed = deck.write("plan_changed", "d1", "09:00", **plan)
        for by, data in (("c", {"depth": metres(21)}), ("d", {"bottom_time_s": 900})):
            said = {"void": False, "reason": "mistyped", "data": data}
            phone.write("correction", "d1", "09:20", by=by, corrects=changed.id, **said)
        meant = standing(state(deck, phone), changed)
        assert meant is not None
        assert (meant.data["depth"], meant.data["bottom_time_s"]) == (metres(21), 900)

    def test_two_that_differ_leave_the_decision_as_it_was(self) -> None:
        deck, phone = Phone("p1"), Phone("p7")
        plan = {"depth": metres(18), "bottom_time_s": 1200, "run_time_s": 1800}
        changed = deck.write("plan_changed", "d1", "09:00", **plan)
        for by, deep in (("c", 21), ("d", 12)):
            said = {"void": False, "reason": "mistyped", "data": {"depth": metres(deep)}}
            phone.write("correction", "d1", "09:20", by=by, corrects=changed.id, **said)
        meant = standing(state(deck, phone), changed)
        assert meant is not None and meant.data["depth"] == metres(18)


class TestPutRightWithinAMinute:
    """A wrong name put right at once by the hand that tapped it is worth what undo and another tap are, no more."""

    def instead(self, deck: Phone, wrong: Entry, clock: str, to: str, **more: Any) -> None:
        said = {"void": True, "subject_": uid(to), "reason": "wrong_person", **more}
        deck.write("correction", "x", clock, corrects=wrong.id, **said)

    def people(self, *phones: Phone) -> dict[str, Any]:
        shown = view(state(*phones), at("12:00"))["people"]
        return {
            person: (shown[uid(person)]["state"], shown[uid(person)]["accounted_for"]) for person in "abcds"
        }

    @pytest.mark.parametrize("later", [False, True])
    def test_it_leaves_everybody_where_undo_and_a_second_tap_leave_them(self, later: bool) -> None:
        put_right, again = one_dive(), one_dive()
        wrong = put_right.back("10:10", "a")
        self.instead(put_right, wrong, "10:10:40", "b")
        undone = again.back("10:10", "a")
        again.write("correction", "a", "10:10:20", corrects=undone.id, void=True, reason="mistyped")
        again.back("10:10:40", "b")
        if later:
            for deck in (put_right, again):
                deck.down("10:30")
        assert self.people(put_right) == self.people(again)
        assert self.people(put_right)["b"][1] is not later

    def test_what_happened_between_the_two_taps_is_not_before_the_first(self) -> None:
        deck = one_dive()
        wrong = deck.back("10:10", "a")
        deck.down("10:10:20", team="t2", members="cd")
        self.instead(deck, wrong, "10:10:40", "c")
        assert self.people(deck)["c"] == ("down", False)

    def test_after_the_minute_or_from_another_phone_neither_is_aboard(self) -> None:
        for clock, other in (("10:11:01", False), ("10:10:30", True)):
            deck, phone = one_dive(), Phone("p7")
            wrong = deck.back("10:10", "a")
            self.instead(phone if other else deck, wrong, clock, "b")
            told = self.people(deck, phone)
            assert not told["a"][1] and not told["b"][1]

    def test_a_stamp_that_stands_still_does_not_stretch_the_minute(self) -> None:
        """A phone an hour fast, then put right: for an hour every stamp of it is the same millisecond."""
        deck = one_dive()
        wrong = deck.back("11:10", "a")
        self.instead(deck, wrong, "11:50", "b", wall="10:50")
        assert deck.entries[-1].clock.ms == wrong.clock.ms, "as the clock was put right"
        told = self.people(deck)
        assert not told["a"][1] and not told["b"][1]
        soon = one_dive()
        wrong = soon.back("11:10", "a")
        self.instead(soon, wrong, "11:10:30", "b", wall="10:10:30")
        assert self.people(soon)["b"] == ("aboard", True), "half a minute by the phone's own clock"
