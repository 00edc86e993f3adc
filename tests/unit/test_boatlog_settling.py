"""Who settles a question, releases a hold, or says that a trip is over: two named others (common practice)."""

import json
from dataclasses import replace

import pytest

from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import fold
from teamdive.boatlog.questions import may_depart
from teamdive.boatlog.schema import ENTRY
from teamdive.boatlog.settling import concerned, may_settle, settles, two_others
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, codes, metres, one_dive, state, trip, uid


def ids(letters: str) -> set[str]:
    return {uid(letter) for letter in letters}


class TestTwoPeople:
    @pytest.mark.parametrize(
        ("named", "enough"), [("a", False), ("ab", False), ("as", True), ("ss", False), ("cs", True)]
    )
    def test_a_dive_is_settled_by_two_of_whom_one_was_not_on_it(self, named: str, enough: bool) -> None:
        down = one_dive().entries[1]
        assert concerned(down) == ids("ab") | {uid("t1")}
        assert settles(down, [uid(letter) for letter in named]) is enough

    @pytest.mark.parametrize(("named", "enough"), [("as", False), ("cs", True), ("c", False)])
    def test_where_somebody_is_is_never_settled_by_themselves(self, named: str, enough: bool) -> None:
        back = one_dive().back("10:10", "a")
        assert settles(back, [uid(letter) for letter in named]) is enough
        assert not may_settle(back, uid("a")) and may_settle(back, uid("b"))

    def test_whose_word_counts_depends_on_who_spoke_first(self) -> None:
        down = one_dive().entries[1]
        assert may_settle(down, uid("a")) and may_settle(down, uid("s"))
        assert not may_settle(down, uid("b"), [uid("a")]), "two of one team settle nothing between them"
        assert not may_settle(down, uid("s"), [uid("s")])
        assert may_settle(down, uid("a"), [uid("s")])

    def test_nobody_named_is_nobody(self) -> None:
        assert not two_others([None, uid("s")], ())
        assert not two_others([uid("a"), uid("s")], [uid("a")])

    def test_the_divers_of_a_team_do_not_make_their_own_dive_shallower(self) -> None:
        phone = one_dive(depth=30)
        wrong = phone.entries[-1]
        for by in ("a", "a", "s"):
            assert facts(state(phone)).attempts[uid("a")][0].depth == metres(30)
            said = {"reason": "mistyped", "void": False, "data": {"depth": metres(18)}}
            phone.write("correction", "a", "11:30", by=by, corrects=wrong.id, **said)
        assert facts(state(phone)).attempts[uid("a")][0].depth == metres(18)


class TestQuestionLookedAt:
    def asked(self) -> tuple[Phone, list[str]]:
        phone = Phone("p1")
        phone.down("09:40")
        (question,) = [
            q for q in view(state(phone), at("10:00"))["questions"] if q["code"] == "no_deck_holder"
        ]
        return phone, question["entries"]

    def test_two_people_close_it_and_the_reading_stays(self) -> None:
        phone, entries = self.asked()
        before = view(state(phone), at("10:00"))["people"]
        phone.write(
            "question_settled", "t1", "12:00", code="no_deck_holder", entries=entries, with_="s", by="s"
        )
        assert "no_deck_holder" in codes(state(phone)), "one person twice"
        phone.write("question_settled", "t1", "12:01", code="forked", entries=entries, with_="c", by="s")
        assert "no_deck_holder" in codes(state(phone)), "another question"
        phone.write(
            "question_settled", "t1", "12:02", code="no_deck_holder", entries=entries, with_="c", by="s"
        )
        assert "no_deck_holder" not in codes(state(phone))
        assert view(state(phone), at("10:00"))["people"] == before

    def test_an_altered_answer_closes_nothing(self) -> None:
        phone, entries = self.asked()
        said = phone.write(
            "question_settled", "t1", "12:02", code="no_deck_holder", entries=entries, with_="c"
        )
        altered = replace(said, by=uid("d"), mark="0" * 64)
        assert "no_deck_holder" in codes(fold(trip(), [*phone.entries[:-1], altered]))

    def test_what_is_a_danger_now_or_has_a_better_answer_stays(self) -> None:
        phone = one_dive()
        other = Phone("p2")
        other.down("09:50")
        asked = view(state(phone, other), at("12:00"))["questions"]
        (question,) = [q for q in asked if q["code"] == "down_times_differ"]
        phone.write(
            "question_settled",
            "t1",
            "12:00",
            code="down_times_differ",
            entries=question["entries"],
            with_="c",
        )
        assert "down_times_differ" in codes(state(phone, other))


class TestTripEnds:
    def test_it_ends_once_all_are_named_and_goes_on_when_somebody_goes_in(self) -> None:
        phone = Phone("p1")
        phone.write("roll_call_taken", "trip", "09:00", count="c1", method="answered", seen=_all())
        assert view(state(phone), at("09:01"))["ended_at"] is None
        assert may_depart(state(phone)) == ()
        phone.write("trip_ended", "trip", "15:00")
        told = view(state(phone), at("15:01"))
        assert told["ended_at"] == at("15:00") and told["questions"] == []
        phone.write("person_went_in", "a", "15:10")
        assert view(state(phone), at("15:11"))["ended_at"] is None

    def test_an_end_with_somebody_missing_asks_and_accounts_for_nobody(self) -> None:
        phone = one_dive(up="10:05")
        phone.write("trip_ended", "trip", "15:00")
        told = view(state(phone), at("15:01"))
        assert uid("a") in told["departure"]["not_accounted_for"]
        (question,) = [q for q in told["questions"] if q["code"] == "ended_not_accounted_for"]
        assert uid("a") in question["people"]


def test_after_an_override_the_missing_are_still_not_accounted_for() -> None:
    """The alarm ashore reads this list: issue of the boat log, 'they stay not accounted for'."""
    phone = Phone("p1")
    phone.write("roll_call_taken", "trip", "09:00", count="c1", method="answered", seen=_all())
    phone.down("09:40")
    said = {"rule": "departure", "with_": "t", "people": ["a", "b"], "text_hash": "0" * 64}
    phone.write("override", "trip", "12:00", by="s", **said)
    phone.write("departed", "trip", "12:05", place="site")
    seen = view(state(phone), at("13:00"))
    assert set(seen["departure"]["not_accounted_for"]) == ids("ab")
    assert all(not seen["people"][person]["accounted_for"] for person in ids("ab"))
    assert seen["emergency_page"]["why"] == ["overdue"]


def _all() -> list[str]:
    names = {uid(letter): letter for letter in "abcdefghijklmnopqrstuvwxyz"}
    return [names[person.id] for person in trip().people]


def test_the_new_kinds_are_published() -> None:
    for kind in ("question_settled", "trip_ended"):
        assert json.dumps(ENTRY).count(f'"{kind}"') >= 2
