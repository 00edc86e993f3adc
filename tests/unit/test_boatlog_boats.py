"""Two boats in one boat log: each watched, counted and left by itself.

What a boat must count before it leaves is published (Queensland regulator, head counts page); that each of several
boats of a trip does so for itself is common practice, no source.
"""

from typing import Any

import pytest

from teamdive.boatlog import snapshot
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import fold
from teamdive.boatlog.questions import may_depart, may_go_down
from teamdive.boatlog.record import roll_call_record
from teamdive.boatlog.takeover import drafts, gone, to_call
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, trip_body, uid
from tests.parity.two_boats import large, picked_up, small, two_boat_body

L, S = uid("l"), uid("s")


def seen(*phones: Phone, clock: str = "11:00", counts: int = 1) -> dict[str, Any]:
    return view(told(*phones, counts=counts), at(clock))


def told(*phones: Phone, counts: int = 1) -> Any:
    start = snapshot.read(two_boat_body(counts))
    return fold(start, [entry for phone in phones for entry in phone.entries])


def asked(found: dict[str, Any], code: str) -> list[list[str]]:
    return [question["people"] for question in found["questions"] if question["code"] == code]


def ids(names: str) -> list[str]:
    return [uid(name) for name in names]


class TestEachBoatForItself:
    def test_one_boat_leaves_while_the_other_one_s_team_is_down(self) -> None:
        found = seen(large(), small())
        assert not found["boats"][L]["departure"]["blocked"]
        assert found["boats"][L]["roll_call"]["named"] == ids("abx")
        assert found["boats"][S]["departure"]["not_accounted_for"] == ids("cd")
        assert found["departure"]["blocked"], "all of them together may not"
        state = told(large(), small())
        assert may_depart(state, boat=L) == ()
        assert [refusal.people for refusal in may_depart(state, boat=S)] == [
            tuple(ids("cd")),
            tuple(ids("cdy")),
        ]

    def test_on_the_phone_that_hears_nothing_of_the_other_boat_it_is_the_same(self) -> None:
        found = seen(large())
        assert not found["boats"][L]["departure"]["blocked"]
        assert found["boats"][S]["departure"]["not_accounted_for"] == ids("cdy")

    def test_a_boat_that_left_nobody_behind_is_not_asked_about(self) -> None:
        first, second = large(), small()
        first.write("departed", "trip", "10:45", place="site", boat="l")
        assert asked(seen(first, second), "departed_not_accounted_for") == []
        second.write("departed", "trip", "10:46", place="site", boat="s")
        assert asked(seen(first, second), "departed_not_accounted_for") == [ids("cd")]

    @pytest.mark.parametrize("boat", [{}, {"boat": "elsewhere"}])
    def test_a_departure_of_no_boat_or_of_one_not_known_is_that_of_all(self, boat: dict[str, str]) -> None:
        first = large()
        first.write("departed", "trip", "10:45", place="site", **boat)
        found = seen(first, small())
        assert asked(found, "departed_not_accounted_for") == [ids("cd")]
        assert not found["boats"][L]["roll_call"]["complete"], "it is to be counted again"

    def test_what_happens_on_the_other_boat_opens_no_count_here(self) -> None:
        first, second = large(), small()
        second.up("10:50", team="t2", people="cd")
        second.write("departed", "trip", "10:52", place="site", boat="s")
        second.write("phone_lost", "trip", "10:53", boat="s")
        assert seen(first, second)["boats"][L]["roll_call"]["complete"]
        first.write("person_went_in", "b", "10:55", why="swim")
        assert not seen(first, second)["boats"][L]["roll_call"]["complete"]

    def test_who_climbs_over_to_the_other_boat_opens_the_count_of_the_one_they_were_on(self) -> None:
        first, second = large(), small()
        second.write("aboard", "b", "10:50", boat="s")
        found = seen(first, second)["boats"][L]["roll_call"]
        assert (found["complete"], found["missing"]) == (False, ids("ax"))
        first.met("10:51", "ax", count="c3", boat="l")
        second.write("person_went_in", "b", "10:55", why="swim")
        assert seen(first, second)["boats"][L]["roll_call"]["complete"], "from then on she is of the other"

    def test_a_count_of_the_other_boat_is_none_here(self) -> None:
        first, second = large(), small()
        first.back("10:45", "b", boat="l")
        second.met("10:50", "abxcdy", count="c2", boat="s")
        found = seen(first, second)
        assert found["boats"][S]["roll_call"]["complete"]
        assert found["people"][uid("b")]["boats"] == [S], "whoever was named there is there"
        assert found["boats"][L]["roll_call"]["missing"] == []
        third = Phone("p3", by="x")
        third.met("10:52", "abx", count="c3", boat="l")
        back = seen(first, second, third)
        assert back["people"][uid("b")]["boats"] == [L]
        assert back["boats"][S]["roll_call"]["complete"] and back["boats"][L]["roll_call"]["complete"]

    def test_two_who_leave_somebody_behind_decide_so_for_their_boat_alone(self) -> None:
        first, second = large(), small()
        first.write("person_went_in", "a", "10:40", why="swim")
        first.met("10:41", "bx", count="c4", boat="l")
        second.write("override", "trip", "10:45", rule="departure", with_="b", text_hash="ab" * 32, boat="s")
        found = seen(first, second)
        assert [found["boats"][boat]["departure"]["overridden"] for boat in (L, S)] == [False, True]
        assert found["boats"][L]["departure"]["blocked"] and found["departure"]["blocked"]

    def test_counts_of_two_boats_are_never_held_against_each_other(self) -> None:
        first, second = large(), small()
        second.up("10:50", team="t2", people="cd")
        for phone, boat, names in ((first, "l", "abx"), (second, "s", "cdy")):
            for index, by in enumerate(names[:2]):
                count = {"count": f"{boat}{by}", "method": "answered", "boat": boat, "by": by}
                phone.write("roll_call_taken", "trip", f"11:0{index}", seen=list(names), **count)
                phone.write("count_finished", "trip", f"11:1{index}", heads=None, **count)
        found = seen(first, second, clock="11:20", counts=2)
        assert [found["boats"][boat]["roll_call"]["stage"] for boat in (L, S)] == ["agree", "agree"]
        assert asked(found, "counts_differ") == [] and not found["emergency_page"]["open"]
        assert not found["departure"]["blocked"]

    def test_one_count_of_all_counts_on_each_boat(self) -> None:
        old = Phone("p1", by="x")
        old.met("10:00", "abcdxy")
        found = seen(old)
        assert [found["boats"][boat]["roll_call"]["named"] for boat in (L, S)] == [ids("abx"), ids("cdy")]
        assert not found["departure"]["blocked"]

    def test_a_number_of_all_is_held_against_all_and_not_against_one_boat(self) -> None:
        old = Phone("p1", by="x")
        old.met("10:00", "abcdxy", count="c1", by="x")
        old.write("count_finished", "trip", "10:01", count="c1", method="answered", heads=6, by="x")
        old.write("count_finished", "trip", "10:02", count="c2", method="seen", heads=6, by="y")
        found = seen(old, counts=2)
        assert [found["boats"][boat]["roll_call"]["stage"] for boat in (L, S)] == ["agree", "agree"]

    def test_a_count_that_names_no_boat_and_nobody_of_it_is_none_of_it(self) -> None:
        old = Phone("p1", by="y")
        old.met("10:00", "cdy")
        found = seen(old)
        assert [len(found["boats"][boat]["roll_call"]["counts"]) for boat in (L, S)] == [0, 1]

    def test_counts_that_still_differ_on_both_boats_open_the_emergency_page_for_both(self) -> None:
        phones = [Phone("p1", by="x"), Phone("p2", by="y")]
        for phone, boat, names in ((phones[0], "l", "abx"), (phones[1], "s", "cdy")):
            for index, by in enumerate([*names[:2], *names[:2]]):
                count = {"count": f"{boat}{index}", "method": "answered", "boat": boat, "by": by}
                called = list(names if index % 2 else names[1:])
                phone.write("roll_call_taken", "trip", f"11:0{index}", seen=called, **count)
                phone.write("count_finished", "trip", f"11:1{index}", heads=None, **count)
        page = seen(*phones, clock="11:20", counts=2)["emergency_page"]
        assert (page["why"], page["people"]) == (["counts_differ"], ids("ac"))


class TestBetweenTwoBoats:
    def test_whoever_the_other_boat_picked_up_is_wanted_there_and_not_here(self) -> None:
        radio, met = picked_up()
        here = seen(radio)
        assert (here["people"][uid("b")]["state"], here["people"][uid("b")]["boats"]) == ("transferred", [S])
        assert uid("b") not in here["boats"][L]["departure"]["not_accounted_for"]
        assert uid("b") in here["boats"][S]["roll_call"]["missing"], "the next count over there names her"
        assert asked(here, "departed_not_accounted_for") == []
        both = seen(radio, met)
        assert (both["people"][uid("b")]["state"], both["people"][uid("b")]["boats"]) == ("aboard", [S])
        assert not both["boats"][S]["departure"]["blocked"]

    def test_the_boat_that_was_called_must_still_name_her_itself(self) -> None:
        radio, met = picked_up()
        radio.write("transferred", "b", "10:35", to="vessel", stays=True, boat="s")
        found = seen(radio, met)
        assert found["boats"][S]["roll_call"]["missing"] == ids("bcdy"), "counted before she was handed over"

    @pytest.mark.parametrize("said", [{"boat": "s"}, {"boat": "elsewhere", "stays": True}])
    def test_no_lift_and_no_boat_that_is_not_known_accounts_for_anybody(self, said: dict[str, Any]) -> None:
        first = Phone("p1", by="x")
        first.write("aboard", "b", "09:00", boat="l")
        first.write("transferred", "b", "10:15", to="vessel", **said)
        found = seen(first)
        assert not found["people"][uid("b")]["accounted_for"]
        assert uid("b") in found["boats"][L]["departure"]["not_accounted_for"]

    def test_named_by_both_at_about_the_same_time_she_is_wanted_on_both(self) -> None:
        first, second = large(), small()
        second.up("10:55", team="t2", people="cd")
        first.write("clock_compared", "p1", "10:56", offset_ms=0, error_ms=120_000)
        first.met("11:00", "abcx", count="c3", boat="l")
        second.met("11:01", "cdy", count="c4", boat="s")
        found = seen(first, second)
        assert found["people"][uid("c")]["boats"] == [L, S]
        assert asked(found, "on_two_boats") == [[uid("c")]]
        first.write("person_went_in", "a", "11:10", why="swim")
        first.met("11:20", "abx", count="c5", boat="l")
        assert seen(first, second)["boats"][L]["roll_call"]["missing"] == [uid("c")]
        second.met("11:40", "cdy", count="c6", boat="s")
        settled = seen(first, second)
        assert settled["people"][uid("c")]["boats"] == [S] and asked(settled, "on_two_boats") == []
        assert settled["boats"][L]["roll_call"]["complete"]

    def test_in_the_water_a_person_belongs_to_the_boat_they_were_last_on(self) -> None:
        first, second = large(), small()
        second.met("10:50", "b", count="c2", boat="s")
        second.write("person_went_in", "b", "10:55", why="swim")
        found = seen(first, second)
        assert uid("b") in found["boats"][S]["departure"]["not_accounted_for"]
        assert uid("b") not in found["boats"][L]["departure"]["not_accounted_for"]

    def test_a_word_that_names_no_boat_takes_nobody_off_one(self) -> None:
        first, second = large(), small()
        second.met("10:50", "b", count="c2", boat="s")
        first.back("10:55", "b")
        assert seen(first, second)["people"][uid("b")]["boats"] == [L, S]

    def test_met_on_a_boat_that_is_not_known_she_may_be_on_any(self) -> None:
        first, second = large(), small()
        second.met("10:50", "b", count="c2", boat="elsewhere")
        assert seen(first, second)["people"][uid("b")]["boats"] == [L, S]

    def test_who_joined_belongs_to_the_boat_that_says_so_else_to_any(self) -> None:
        first = large()
        for name, boat in (("v", {"boat": "s"}), ("w", {})):
            first.write("joined", name, "10:00", role="visitor", dives=False, can_lead=False, **boat)
        found = seen(first)
        assert [found["people"][uid(name)]["boats"] for name in "vw"] == [[S], [L, S]]
        assert found["boats"][L]["departure"]["not_accounted_for"] == [uid("w")]


class TestTheDeckOfEachBoat:
    def test_each_has_its_holder_and_a_hand_over_takes_nothing_of_the_other(self) -> None:
        first, second = large(), small()
        second.write("deck_handed_over", "d", "10:10", from_="y", boat="s")
        found = seen(first, second)
        assert [found["boats"][boat]["deck_holder"] for boat in (L, S)] == ids("xy")
        assert [found["boats"][boat]["handover"] is None for boat in (L, S)] == [True, False]
        second.write("deck_accepted", "d", "10:11", from_="y", boat="s")
        found = seen(first, second)
        assert [found["boats"][boat]["deck_holder"] for boat in (L, S)] == ids("xd")
        assert asked(found, "deck_accepted_by_two") == []
        assert asked(found, "deck_holder_down") == [[uid("d")]], "and went down with the team at 10:30"

    def test_a_team_goes_from_its_own_boat_s_deck(self) -> None:
        only = Phone("p1", by="x")
        only.write("deck_accepted", "x", "09:00", from_=None, boat="l")
        state = told(only)
        assert may_go_down(state, uid("t1")) == ()
        assert [refusal.code for refusal in may_go_down(state, uid("t2"))] == ["no_deck_holder"]
        only.down("09:40", team="t2", members="cd")
        assert asked(seen(only), "no_deck_holder") == [[]]

    def test_who_holds_any_deck_does_not_go_down(self) -> None:
        only = Phone("p1", by="x")
        only.write("deck_accepted", "x", "09:00", from_=None, boat="l")
        only.write("deck_accepted", "a", "09:01", from_=None, boat="s")
        assert [(r.code, r.people) for r in may_go_down(told(only), uid("t1"))] == [
            ("deck_holder_in_team", (uid("a"),))
        ]

    def test_another_phone_takes_over_the_deck_of_its_boat_alone(self) -> None:
        first, second = large(), small()
        state = told(first, second)
        assert [each.person for each in to_call(state, S)] == ids("cdy")
        lost = gone(state, {uid("y")}, {}, at("11:05"), S)
        assert [(each.team, each.members) for each in lost] == [(uid("t2"), tuple(ids("cd")))]
        said = [(draft.kind, draft.data) for draft in drafts(state, uid("y"), {uid("y")}, lost, 1, "c", S)]
        assert said[0] == ("phone_lost", {"boat": S})
        (held,) = [entry.id for entry in second.entries if entry.kind == "deck_accepted"]
        assert said[1] == ("deck_accepted", {"from": uid("y"), "of": [held], "boat": S})
        second.write("phone_lost", "trip", "10:45", boat="s")
        found = seen(first, second)
        assert [found["people"][uid(name)]["state"] for name in "axy"] == ["aboard", "aboard", "unknown"]


def test_the_record_names_the_boat_of_each_count_and_departure() -> None:
    first, second = large(), small()
    first.write("departed", "trip", "10:45", place="site", boat="l")
    second.up("10:50", team="t2", people="cd")
    second.met("10:55", "cdy", count="c2", boat="s")
    second.write("departed", "trip", "10:56", place="site", boat="s")
    state = told(first, second)
    lines = [(line.what, line.boat, line.people) for line in roll_call_record(state, facts(state))]
    assert lines == [
        ("counted", L, tuple(ids("abx"))),
        ("left", L, ()),
        ("counted", S, tuple(ids("cdy"))),
        ("left", S, ()),
    ]


def test_of_one_boat_what_names_a_boat_changes_nothing() -> None:
    body = trip_body(others=("x", "y"))
    for person in body["people"][:2]:
        person["boat"] = L
    first = large()
    found = view(fold(snapshot.read(body), first.entries), at("11:00"))
    assert (found["boats"], found["people"][uid("a")]["boats"]) == ({}, [])
    assert found["roll_call"]["missing"] == ids("cdy")
