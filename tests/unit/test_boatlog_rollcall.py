"""Two counts by the published practice, and what the boat may do after them.

Source: Queensland regulator, head counts page, and the Recreational Water Activities Regulation 2024, s 14-16 as
quoted there: two people, independent, written and compared, before leaving port and each site; active ways of
counting better than a look; one crew member alone counts twice; a count that differs is taken again, and if it
still differs the emergency plan starts. The right number with the wrong people is the case of a pair lost in 1998.
"""

from typing import Any

import pytest

from teamdive.boatlog import snapshot
from teamdive.boatlog.entries import body, read
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.questions import may_depart
from teamdive.boatlog.record import roll_call_record
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, trip_body, uid

REASON = {"text_hash": "ab" * 32}
NAMED_VESSEL = {"to": "vessel", "vessel": "w1", "stays": True, "text_hash": "cd" * 32}
SIX = [["a", "b"], ["c", "d"], ["e", "f"], ["g", "h"], ["i", "j"], ["k", "l"]]
OURS = "abcdefghijklst"


def state(*phones: Phone, others: tuple[str, ...] = ("s", "t"), **kwargs: Any) -> State:
    made = trip_body(others=others, **kwargs)
    made["settings"]["counts_needed"] = 2
    return fold(snapshot.read(made), [entry for phone in phones for entry in phone.entries])


def call(told: State, clock: str) -> dict[str, Any]:
    found: dict[str, Any] = view(told, at(clock))["roll_call"]
    return found


def blocked(told: State, clock: str) -> bool:
    found: bool = view(told, at(clock))["departure"]["blocked"]
    return found


def counts(
    phone: Phone,
    clock: str,
    count: str,
    by: str,
    people: str,
    method: str = "answered",
    heads: int | None = None,
) -> None:
    """One count: the names called, if any, and its end a second later."""
    if people:
        phone.met(clock, people, count=count, method=method, by=by)
    phone.write("count_finished", "trip", clock + ":01", count=count, method=method, heads=heads, by=by)


@pytest.fixture
def deck() -> Phone:
    phone = Phone("p1")
    for name in "abcdst":
        phone.write("aboard", name, "08:00")
    return phone


class TestTwoCounts:
    def test_one_is_not_enough_and_two_by_two_people_are(self, deck: Phone) -> None:
        counts(deck, "08:30", "c1", "s", "abcdst")
        assert (call(state(deck), "08:31")["stage"], blocked(state(deck), "08:31")) == ("counting", True)
        assert [refusal.code for refusal in may_depart(state(deck))] == ["roll_call_not_complete"]
        counts(deck, "08:32", "c2", "t", "", method="seen", heads=6)
        assert (call(state(deck), "08:33")["stage"], blocked(state(deck), "08:33")) == ("agree", False)
        assert may_depart(state(deck)) == ()

    def test_a_snapshot_that_asks_for_one_count_is_served_as_before(self, deck: Phone) -> None:
        deck.met("08:30", "abcdst")
        told = fold(snapshot.read(trip_body(others=("s", "t"))), deck.entries)
        assert view(told, at("08:31"))["roll_call"]["needed"] == 1
        assert not blocked(told, "08:31")

    def test_two_looks_are_not_a_roll_call(self, deck: Phone) -> None:
        counts(deck, "08:30", "c1", "s", "abcdst", method="seen")
        counts(deck, "08:32", "c2", "t", "", method="seen", heads=6)
        assert (call(state(deck), "08:33")["stage"], blocked(state(deck), "08:33")) == ("recount", True)

    def test_the_same_person_twice_is_one_counter_while_another_of_the_crew_is_aboard(
        self, deck: Phone
    ) -> None:
        counts(deck, "08:30", "c1", "s", "abcdst")
        counts(deck, "08:32", "c2", "s", "abcdst", method="signed")
        assert (call(state(deck), "08:33")["alone"], call(state(deck), "08:33")["stage"]) == (
            False,
            "counting",
        )

    def test_whoever_ends_the_count_of_another_did_not_count(self, deck: Phone) -> None:
        deck.met("08:30", "abcdst", count="c1", by="s")
        deck.write("count_finished", "trip", "08:31", count="c1", method="answered", heads=None, by="t")
        counts(deck, "08:32", "c2", "s", "abcdst")
        assert call(state(deck), "08:33")["stage"] == "counting"
        assert call(state(deck), "08:33")["counts"][0]["counter"] is None

    def test_one_crew_member_alone_counts_in_two_active_ways(self) -> None:
        for second, stage in (("answered", "counting"), ("seen", "counting"), ("signed", "agree")):
            deck = Phone("p1")
            for name in "abcds":
                deck.write("aboard", name, "08:00")
            counts(deck, "08:30", "c1", "s", "abcds")
            counts(deck, "08:32", "c2", "s", "abcds", method=second)
            told = state(deck, others=("s",))
            assert (call(told, "08:33")["alone"], call(told, "08:33")["stage"]) == (True, stage)

    def test_counts_that_differ_are_taken_again_and_then_the_emergency_plan_opens(self, deck: Phone) -> None:
        counts(deck, "08:30", "c1", "s", "abcdst")
        counts(deck, "08:32", "c2", "t", "abcst")
        seen = view(state(deck), at("08:33"))
        assert (seen["roll_call"]["stage"], seen["roll_call"]["differ"]) == ("recount", [uid("d")])
        assert "counts_differ" in {question["code"] for question in seen["questions"]}
        assert not seen["emergency_page"]["open"]
        counts(deck, "08:34", "c3", "s", "abcdst")
        assert call(state(deck), "08:34:30")["stage"] == "recount"
        counts(deck, "08:36", "c4", "t", "", method="seen", heads=5)
        seen = view(state(deck), at("08:37"))
        assert seen["roll_call"]["stage"] == "emergency"
        assert (seen["emergency_page"]["open"], seen["emergency_page"]["why"]) == (True, ["counts_differ"])
        assert seen["departure"]["blocked"]
        counts(deck, "08:40", "c5", "s", "abcdst")
        counts(deck, "08:42", "c6", "t", "abcdst")
        seen = view(state(deck), at("08:43"))
        assert (seen["roll_call"]["stage"], seen["departure"]["blocked"]) == ("agree", False)

    def test_a_third_count_that_misses_someone_undoes_what_two_agreed(self, deck: Phone) -> None:
        counts(deck, "08:30", "c1", "s", "abcdst")
        counts(deck, "08:32", "c2", "t", "abcdst")
        assert not blocked(state(deck), "08:33")
        counts(deck, "08:34", "c3", "a", "abcst")
        assert (call(state(deck), "08:35")["stage"], blocked(state(deck), "08:35")) == ("recount", True)

    @pytest.mark.parametrize("kind", ["person_went_in", "transferred", "lost_from_sight", "seen_at_surface"])
    def test_whoever_goes_in_or_over_reopens_the_count(self, deck: Phone, kind: str) -> None:
        counts(deck, "08:30", "c1", "s", "abcdst")
        counts(deck, "08:32", "c2", "t", "abcdst")
        deck.write(kind, "a", "08:34", **({"to": "vessel"} if kind == "transferred" else {}))
        assert blocked(state(deck), "08:35")
        deck.back("08:36", "a")
        assert view(state(deck), at("08:37"))["departure"]["not_accounted_for"] == []
        assert (call(state(deck), "08:37")["stage"], blocked(state(deck), "08:37")) == ("counting", True)

    def test_an_altered_end_of_a_count_or_override_unblocks_nothing(self, deck: Phone) -> None:
        counts(deck, "08:30", "c1", "s", "abcdst")
        counts(deck, "08:32", "c2", "t", "", method="seen", heads=5)
        end = deck.entries[-1]
        forged = read({**body(end), "data": {**end.data, "heads": 6}})
        told = fold(state(deck).snapshot, [*deck.entries[:-1], forged])
        assert blocked(told, "08:33")
        deck.write("override", "trip", "08:34", rule="departure", with_=None, by="s", **REASON)
        decision = deck.entries[-1]
        forged = read({**body(decision), "data": {**decision.data, "with": uid("t")}})
        assert blocked(fold(told.snapshot, [*deck.entries[:-1], forged]), "08:35")


class TestRightNumberWrongPeople:
    """Fourteen left the dock; K went over to another boat for a torch, one of theirs is visiting: 14 counted twice."""

    def both(self) -> tuple[Phone, Phone]:
        bridge, second = Phone("p1"), Phone("p2")
        for name in OURS:
            bridge.write("aboard", name, "08:00")
        bridge.write("transferred", "k", "12:05", to="vessel")
        bridge.write("joined", "v", "12:30", role="visitor", dives=False, can_lead=False)
        bridge.write("aboard", "v", "12:31")
        second.write("aboard", "k", "13:20")
        second.write("person_went_in", "k", "13:31", why="swim")
        counts(bridge, "13:35", "c1", "s", "", method="seen", heads=14)
        counts(bridge, "13:38", "c2", "t", "abcdefghijlstv", heads=14)
        return bridge, second

    def test_blocked_whatever_the_number_with_one_phone_or_two(self) -> None:
        bridge, second = self.both()
        for phones, where in (((bridge,), "transferred"), ((bridge, second), "in_water")):
            told = state(*phones, teams=SIX)
            seen = view(told, at("13:40"))
            assert [count["heads"] for count in seen["roll_call"]["counts"]] == [14, 14]
            assert seen["people"][uid("k")]["state"] == where
            assert seen["departure"]["not_accounted_for"] == [uid("k")]
            assert seen["roll_call"]["differ"] == [uid("k")]
            assert (seen["roll_call"]["stage"], seen["departure"]["blocked"]) == ("recount", True)
            codes = {refusal.code: refusal.people for refusal in may_depart(told)}
            assert codes == {
                "not_accounted_for": (uid("k"),),
                "roll_call_not_complete": (uid("k"),),
                "counts_differ": (uid("k"),),
            }

    def test_the_swim_voided_the_count_before_it(self) -> None:
        bridge, second = self.both()
        counts(bridge, "13:25", "c0", "s", "abcdefghijklstv")
        told = state(bridge, second, teams=SIX)
        assert call(told, "13:40")["since"] == at("13:31")
        assert uid("c0") not in {count["count"] for count in call(told, "13:40")["counts"]}

    def test_two_names_and_a_reason_let_it_leave_and_k_stays_missing_on_the_record(self) -> None:
        bridge, second = self.both()
        bridge.write("override", "trip", "13:42", rule="departure", with_="k", by="s", **REASON)
        assert blocked(state(bridge, second, teams=SIX), "13:43")
        bridge.write("override", "trip", "13:44", rule="departure", with_="t", by="s", **REASON)
        told = state(bridge, second, teams=SIX)
        seen = view(told, at("13:45"))
        assert (seen["departure"]["blocked"], seen["departure"]["overridden"]) == (False, True)
        assert seen["departure"]["not_accounted_for"] == [uid("k")]
        assert not seen["people"][uid("k")]["accounted_for"]
        left = bridge.write("departed", "trip", "13:46", place="site", by="s")
        told = state(bridge, second, teams=SIX)
        lines = roll_call_record(told, facts(told))
        said = [(line.what, line.by, line.people) for line in lines if line.what in ("overridden", "left")]
        assert said == [
            ("overridden", (uid("k"), uid("s")), (uid("k"),)),
            ("overridden", (uid("s"), uid("t")), (uid("k"),)),
            ("left", (uid("s"),), ()),
        ]
        assert lines[[line.what for line in lines].index("left")].entry == left.id


class TestTransferred:
    def test_only_with_a_named_vessel_that_brings_them_home(self, deck: Phone) -> None:
        for some in (
            {"to": "vessel"},
            {**NAMED_VESSEL, "stays": False},
            {name: value for name, value in NAMED_VESSEL.items() if name != "text_hash"},
            {name: value for name, value in NAMED_VESSEL.items() if name != "vessel"},
        ):
            other = Phone("p2")
            other.write("transferred", "a", "08:30", **some)
            assert view(state(deck, other), at("08:31"))["departure"]["not_accounted_for"] == [uid("a")]
        deck.write("transferred", "a", "08:30", **NAMED_VESSEL)
        seen = view(state(deck), at("08:31"))
        assert (seen["people"][uid("a")]["state"], seen["people"][uid("a")]["accounted_for"]) == (
            "transferred",
            True,
        )
        counts(deck, "08:32", "c1", "s", "bcdst")
        counts(deck, "08:34", "c2", "t", "bcdst")
        assert not blocked(state(deck), "08:35")

    def test_who_came_back_is_counted_again_and_who_went_in_is_in_the_water(self, deck: Phone) -> None:
        deck.write("transferred", "a", "08:30", **NAMED_VESSEL)
        deck.write("aboard", "a", "08:40")
        assert view(state(deck), at("08:41"))["people"][uid("a")]["state"] == "aboard"
        deck.write("transferred", "a", "08:50", **NAMED_VESSEL)
        deck.write("person_went_in", "a", "08:55")
        seen = view(state(deck), at("08:56"))["people"][uid("a")]
        assert (seen["state"], seen["accounted_for"]) == ("in_water", False)

    def test_one_persons_doubt_or_an_altered_copy_is_enough_against_it(self, deck: Phone) -> None:
        other = Phone("p2", by="t")
        gone = other.write("transferred", "a", "08:30", **NAMED_VESSEL)
        deck.write("correction", "a", "08:50", corrects=gone.id, reason="did_not_happen", void=True)
        assert view(state(deck, other), at("08:51"))["departure"]["not_accounted_for"] == [uid("a")]
        lift = Phone("p3").write("transferred", "a", "08:30", **{**NAMED_VESSEL, "stays": False})
        forged = read({**body(lift), "data": {**lift.data, "stays": True}})
        told = fold(state().snapshot, [*deck.entries[:-1], forged])
        assert uid("a") in view(told, at("08:51"))["departure"]["not_accounted_for"]


class TestRecord:
    def test_counts_comparison_departure_and_who_came_or_went(self, deck: Phone) -> None:
        counts(deck, "08:30", "c1", "s", "abcdst")
        counts(deck, "08:32", "c2", "t", "", method="seen", heads=6)
        deck.write("departed", "trip", "08:40", place="port", by="s")
        deck.write("transferred", "a", "11:00", **NAMED_VESSEL)
        counts(deck, "11:30", "c3", "s", "bcdst")
        counts(deck, "11:32", "c4", "t", "bcdst")
        told = state(deck)
        lines = roll_call_record(told, facts(told))
        assert [(line.what, line.how) for line in lines] == [
            ("counted", ("answered",)),
            ("counted", ("seen",)),
            ("agreed", ()),
            ("left", ("port",)),
            ("counted", ("answered",)),
            ("counted", ("answered",)),
            ("agreed", ()),
            ("went", ()),
            ("not_left", ()),
        ]
        first, looked, left, went = lines[0], lines[1], lines[3], lines[7]
        assert (first.by, first.at, len(first.people)) == ((uid("s"),), at("08:30:01"), 6)
        assert (looked.by, looked.heads, looked.people) == ((uid("t"),), 6, ())
        assert (left.at, left.by) == (at("08:40"), (uid("s"),))
        assert went.people == (uid("a"),)
        # Every line that somebody wrote names its entry, which stands for a signature.
        by_id = {entry.id for entry in deck.entries}
        assert all(line.entry in by_id for line in lines if line.what in ("counted", "left"))
