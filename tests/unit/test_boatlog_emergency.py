"""Held divers, the emergency page, the lost-diver card, the sums and the overdue sound."""

from typing import Any

import pytest

from teamdive.boatlog import emergency, snapshot
from teamdive.boatlog.alarm import must_sound
from teamdive.boatlog.entries import body, read
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.nitrogen import next_dive, no_fly
from teamdive.boatlog.questions import may_go_down
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, trip, trip_body, uid

FIX = {"lat_e6": 38_600_000, "lon_e6": -28_700_000, "accuracy_m": 12}


def state(*phones: Phone, **kwargs: Any) -> State:
    return fold(trip(**kwargs), [entry for phone in phones for entry in phone.entries])


@pytest.fixture
def deck() -> Phone:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    return phone


def dived(phone: Phone) -> Phone:
    phone.down("09:40")
    phone.up("10:05")
    phone.depth("10:06", "a", 18)
    phone.back("10:08", "a")
    phone.back("10:08", "b")
    return phone


HOLDING: list[tuple[str, dict[str, Any], str]] = [
    ("held_from_diving", {"released": False}, "symptoms"),
    ("symptoms_asked", {"dive": "d1", "after_min": 10, "said": "not_well"}, "symptoms"),
    ("ascended_too_fast", {"dive": "d1"}, "fast_ascent"),
    ("stop_missed", {"dive": "d1"}, "stop_missed"),
    ("oxygen_started", {"flow_l_min": 15}, "oxygen"),
]


class TestHeld:
    @pytest.mark.parametrize(("kind", "data", "why"), HOLDING)
    def test_limits_and_no_fly_are_withheld_the_next_dive_held_and_the_page_opens(
        self, deck: Phone, kind: str, data: dict[str, Any], why: str
    ) -> None:
        dived(deck)
        before = state(deck)
        assert isinstance((no_fly(before, uid("a")) or {})["until"], int)
        deck.write(kind, "a", "10:15", **data)
        told = state(deck)
        seen = view(told, at("10:16"))
        assert (seen["people"][uid("a")]["held"], seen["people"][uid("a")]["held_why"]) == (True, [why])
        withheld = {"not_known": ["release of a diver held from diving"]}
        assert (no_fly(told, uid("a")) or {})["until"] == withheld
        assert (next_dive(told, uid("a"), at("11:00")) or {})["limit_s"] == withheld
        assert ("held_from_diving", (uid("a"),)) in [
            (r.code, r.people) for r in may_go_down(told, uid("t1b"))
        ]
        page = seen["emergency_page"]
        assert (page["open"], page["why"], page["people"]) == (True, [why], [uid("a")])
        # The mate is not held by it.
        assert isinstance((no_fly(told, uid("b")) or {})["until"], int)

    def test_two_others_release_and_only_from_what_they_knew(self, deck: Phone) -> None:
        first = deck.write("stop_missed", "a", "10:10", dive="d1")
        free = {"released": True, "by": "s"}
        deck.write("held_from_diving", "a", "10:20", **free)
        deck.write("held_from_diving", "a", "10:21", **free, with_="a")
        assert view(state(deck), at("10:22"))["people"][uid("a")]["held"]
        other = Phone("p2")
        other.write("ascended_too_fast", "a", "10:11", dive="d1")
        deck.write("held_from_diving", "a", "10:23", **free, with_="c", of=[first.id])
        assert not view(state(deck), at("10:24"))["people"][uid("a")]["held"]
        assert view(state(deck, other), at("10:24"))["people"][uid("a")]["held_why"] == ["fast_ascent"]

    def test_a_decision_of_the_leader_holds_without_opening_the_page(self, deck: Phone) -> None:
        deck.write("held_from_diving", "a", "10:10", released=False, because="other")
        seen = view(state(deck), at("10:11"))
        assert (seen["people"][uid("a")]["held_why"], seen["emergency_page"]["open"]) == (["held"], False)

    def test_doubt_does_not_free_and_neither_does_an_altered_release(self, deck: Phone) -> None:
        held = deck.write("stop_missed", "a", "10:10", dive="d1")
        deck.write("correction", "a", "10:30", corrects=held.id, reason="did_not_happen", void=True, by="c")
        assert view(state(deck), at("10:31"))["people"][uid("a")]["held"]
        free = deck.write("held_from_diving", "a", "10:40", released=True, by="s")
        forged = read({**body(free), "data": {"released": True, "with": uid("c")}})
        told = fold(trip(), [*deck.entries[:-1], forged])
        assert view(told, at("10:41"))["people"][uid("a")]["held"]

    def test_who_said_no_does_not_dive(self, deck: Phone) -> None:
        deck.write("fit_to_dive_said", "a", "08:00", said="no")
        assert [refusal.code for refusal in may_go_down(state(deck), uid("t1"))] == ["not_fit_to_dive_said"]
        deck.write("fit_to_dive_said", "a", "08:30", said="declined")
        assert may_go_down(state(deck), uid("t1")) == ()

    def test_asked_at_ten_minutes_and_an_hour(self, deck: Phone) -> None:
        dived(deck)

        def when() -> int | None:
            found: int | None = view(state(deck), at("10:30"))["people"][uid("a")]["ask_symptoms_at"]
            return found

        assert when() == at("10:15")
        deck.write("symptoms_asked", "a", "10:15", dive="d1", after_min=10, said="no_answer")
        assert when() == at("10:15")
        deck.write("symptoms_asked", "a", "10:17", dive="d1", after_min=10, said="well")
        assert when() == at("11:05")
        deck.write("symptoms_asked", "a", "11:05", dive="d1", after_min=60, said="well")
        assert when() is None


class TestPage:
    def test_the_procedure_runs_from_its_start_with_times_and_late_steps(self, deck: Phone) -> None:
        made = trip_body()
        made["lost_diver"] = [
            {"step": "recall", "say": "Sound the horn.", "within_s": 60},
            {"step": "call", "say": "Call.", "within_s": 300},
        ]
        assert view(state(deck), at("10:00"))["procedure"] is None
        deck.write("procedure_step_done", "trip", "09:30", step="recall")
        deck.write("emergency_started", "trip", "10:00")
        deck.write("procedure_step_done", "trip", "10:00:40", step="recall", by="c")
        told = fold(snapshot.read(made), deck.entries)
        shown = view(told, at("10:06"))["procedure"]
        assert (shown["started_at"], shown["own"]) == (at("10:00"), True)
        assert [(s["step"], s["done_at"], s["late"]) for s in shown["steps"]] == [
            ("recall", at("10:00:40"), False),
            ("call", None, True),
        ]
        deck.write("emergency_ended", "trip", "10:30")
        told = fold(snapshot.read(made), deck.entries)
        assert (view(told, at("10:31"))["procedure"], view(told, at("10:31"))["emergency"]) == (None, False)

    def test_the_steps_count_from_overdue_not_from_when_somebody_opened_the_plan(self, deck: Phone) -> None:
        made = trip_body(overdue_after_min=10)
        made["lost_diver"] = [{"step": "recall", "say": "Sound the horn.", "within_s": 0}]
        deck.down("09:00")
        deck.write("emergency_started", "trip", "11:00", people="ab")
        told = fold(snapshot.read(made), deck.entries)
        seen = view(told, at("11:01"))
        overdue = seen["people"][uid("a")]["overdue_at"]
        assert overdue < at("11:00") == seen["procedure"]["started_at"]
        assert seen["procedure"]["counts_from"] == overdue == seen["procedure"]["steps"][0]["due_at"]

    def test_the_general_steps_say_that_they_are_to_be_replaced(self, deck: Phone) -> None:
        deck.write("emergency_started", "trip", "10:00")
        shown = view(state(deck), at("10:01"))["procedure"]
        assert not shown["own"]
        assert [step["step"] for step in shown["steps"]] == [step.step for step in emergency.DEFAULT_STEPS]
        # BSAC Safe Diving Guide, seamanship: the radio first, no delay. No figure for minutes is published: none here.
        assert "call" in {step.step for step in emergency.DEFAULT_STEPS}
        assert {step["due_at"] for step in shown["steps"]} == {None}

    def test_the_end_closes_what_was_before_it_but_not_who_is_overdue(self, deck: Phone) -> None:
        deck.write("distress_call_made", "trip", "10:00", to="coastguard", means="phone", urgency="urgent")
        assert view(state(deck), at("10:01"))["emergency_page"]["why"] == ["distress_call"]
        deck.write("emergency_ended", "trip", "10:05")
        assert not view(state(deck), at("10:06"))["emergency_page"]["open"]
        deck.down("09:00")
        seen = view(state(deck), at("10:06"))["emergency_page"]
        assert (seen["why"], seen["people"]) == (["overdue"], [uid("a"), uid("b")])


class TestOverdueSound:
    def test_quiet_on_one_phone_for_the_clubs_time_and_overdue_all_the_while(self, deck: Phone) -> None:
        made = trip_body()
        made["settings"] |= {"quiet_min": 2, "due_soon_min": 3}
        deck.down("10:00")
        deck.write("overdue_quieted", "t1", "10:49", until=at("11:30"))
        told = fold(snapshot.read(made), deck.entries)

        def sounds(device: str, clock: str) -> bool:
            seen = view(told, at(clock))
            assert seen["teams"][uid("t1")]["status"] == "overdue"
            return must_sound(seen, uid("t1"), uid(device), at(clock))

        assert sounds("p2", "10:50")
        assert not sounds("p1", "10:50")
        assert sounds("p1", "10:51")
        soon = [view(told, at(c))["teams"][uid("t1")]["due_soon"] for c in ("10:34:59", "10:35", "10:38")]
        assert soon == [False, True, False]

    def test_only_being_seen_or_the_emergency_plan_ends_it(self, deck: Phone) -> None:
        deck.down("10:00")
        for kind, data in (("marker_seen", {}), ("recall_acknowledged", {}), ("turned", {})):
            deck.write(kind, "t1", "10:50", **data)
            seen = view(state(deck), at("10:51"))
            assert must_sound(seen, uid("t1"), uid("p1"), at("10:51"))
        other = Phone("p2")
        other.write("emergency_started", "trip", "10:52")
        seen = view(state(deck, other), at("10:53"))
        assert seen["teams"][uid("t1")]["status"] == "overdue"
        assert not must_sound(seen, uid("t1"), uid("p1"), at("10:53"))
        deck.up("10:55")
        seen = view(state(deck), at("10:56"))
        assert not must_sound(seen, uid("t1"), uid("p1"), at("10:56"))

    def test_seen_again_or_lost_from_sight_is_not_aboard_and_lengthens_no_dive(self, deck: Phone) -> None:
        deck.down("10:00")
        deck.up("10:30")
        deck.write("lost_from_sight", "a", "10:33", fix=None)
        seen = view(state(deck), at("10:34"))["people"][uid("a")]
        assert (seen["state"], seen["accounted_for"]) == ("lost_from_sight", False)
        deck.write("seen_at_surface", "a", "10:40", fix=FIX)
        seen = view(state(deck), at("10:41"))["people"][uid("a")]
        assert (seen["state"], seen["accounted_for"]) == ("up", False)
        assert seen["dives_done"][0]["bottom_time_s"] == [1800, 1800]
