"""Who holds the deck, whether an emergency is over, who is fit: by what an entry says it follows, not by a clock.

The boat has two phones, one of them an hour fast and compared with none. That one person holds the deck and does not
dive while holding it: common practice, no source.
"""

from typing import Any

from teamdive.boatlog.deckwatch import accepting, holder, holders
from teamdive.boatlog.emergency import ending
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.questions import may_go_down
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, trip, uid


def told(*phones: Phone) -> State:
    return fold(trip(), [entry for phone in phones for entry in phone.entries])


def take(phone: Phone, person: str, clock: str, knows: State) -> Entry:
    """As the phone writes it: from whom, and what it follows as far as that phone knows."""
    data = accepting(knows)
    return phone.write(
        "deck_accepted", person, clock, **({"from_" if k == "from" else k: data[k] for k in data})
    )


def refused(state: State, team: str = "t1") -> list[tuple[str, tuple[str, ...]]]:
    return [(refusal.code, refusal.people) for refusal in may_go_down(state, uid(team))]


def of_two(state: State) -> list[dict[str, Any]]:
    return [q for q in view(state, at("12:00"))["questions"] if q["code"] == "deck_accepted_by_two"]


def end(phone: Phone, clock: str, knows: State) -> Entry:
    return phone.write("emergency_ended", "trip", clock, **ending(knows, facts(knows).holds))


class TestTheDeck:
    def test_it_passes_though_the_phone_it_was_taken_on_before_is_an_hour_fast(self) -> None:
        fast, right = Phone("p1"), Phone("p2")
        take(fast, "a", "11:00", told())
        assert refused(told(fast)) == [("deck_holder_in_team", (uid("a"),))]
        right.write("deck_handed_over", "s", "10:09", from_="a")
        assert view(told(fast, right), at("10:09"))["handover"]["to"] == uid("s")
        take(right, "s", "10:10", told(fast, right))
        both = told(fast, right)
        assert (holder(both), refused(both), of_two(both)) == (uid("s"), [], [])
        assert view(both, at("10:10"))["handover"] is None
        # And back again: whoever takes it on the right phone holds it from then on.
        take(right, "a", "10:20", both)
        assert refused(told(fast, right)) == [("deck_holder_in_team", (uid("a"),))]
        assert holder(told(right, fast)) == uid("a")

    def test_two_who_took_it_on_phones_that_had_not_met_both_stay_up_until_one_takes_it_from_both(
        self,
    ) -> None:
        first, fast = Phone("p1"), Phone("p2")
        take(first, "s", "09:00", told())
        before = told(first)
        take(first, "a", "09:30", before)
        take(fast, "c", "10:31", before)
        both = told(first, fast)
        assert holders(both) == {uid("a"), uid("c")}
        assert refused(both, "t1") == [("deck_holder_in_team", (uid("a"),))]
        assert refused(both, "t2") == [("deck_holder_in_team", (uid("c"),))]
        assert [q["people"] for q in of_two(both)] == [[uid("a"), uid("c")]]
        take(first, "s", "09:40", both)
        settled = told(first, fast)
        assert (holder(settled), of_two(settled)) == (uid("s"), [])
        assert refused(settled, "t1") == refused(settled, "t2") == []

    def test_one_that_knew_only_of_one_leaves_the_other_where_it_was(self) -> None:
        first, second, third = Phone("p1"), Phone("p2"), Phone("p3")
        take(first, "a", "09:00", told())
        take(second, "c", "09:01", told())
        take(third, "s", "09:10", told(first))
        assert holders(told(first, second, third)) == {uid("c"), uid("s")}
        assert refused(told(first, second, third), "t1") == []

    def test_one_that_was_taken_back_passes_on_what_it_followed(self) -> None:
        deck = Phone("p1")
        take(deck, "s", "09:00", told())
        wrong = take(deck, "a", "09:10", told(deck))
        take(deck, "c", "09:20", told(deck))
        deck.write("correction", "a", "09:21", corrects=wrong.id, reason="did_not_happen", void=True)
        assert holders(told(deck)) == {uid("c")}
        last = take(deck, "a", "09:30", told(deck))
        deck.write("correction", "a", "09:31", corrects=last.id, reason="did_not_happen", void=True)
        assert holders(told(deck)) == {uid("c")}

    def test_what_names_each_other_leaves_the_last_one_holding_it(self) -> None:
        """No phone writes this: the fold answers all the same."""

        def three(named: list[str]) -> Phone:
            phone = Phone("p1")
            for name, clock in (("a", "09:00"), ("c", "09:01"), ("s", "09:02")):
                phone.write("deck_accepted", name, clock, from_=None, of=named)
            return phone

        # The ids come from the clock and the place, not from what is said.
        ids = [entry.id for entry in three([]).entries]
        loop = three(ids)
        assert [entry.id for entry in loop.entries] == ids
        assert holders(told(loop)) == {uid("s")}


class TestTheEmergency:
    def test_an_end_on_a_fast_phone_closes_nothing_that_comes_after(self) -> None:
        fast, right = Phone("p1"), Phone("p2")
        right.write("emergency_started", "trip", "10:00")
        end(fast, "11:05", told(right))
        assert not view(told(fast, right), at("10:06"))["emergency"]
        right.write("emergency_started", "trip", "10:30", people=["a"])
        seen = view(told(fast, right), at("10:31"))
        assert seen["emergency"] and seen["emergency_page"]["people"] == [uid("a")]

    def test_a_start_on_a_fast_phone_is_ended_by_whoever_knows_of_it(self) -> None:
        fast, right = Phone("p1"), Phone("p2")
        fast.write("emergency_started", "trip", "11:00")
        fast.write("symptoms_asked", "a", "11:01", dive="d1", after_min=10, said="not_well")
        end(right, "10:20", told(fast))
        seen = view(told(fast, right), at("10:21"))
        assert (seen["emergency"], seen["emergency_page"]["open"]) == (False, False)
        # Over for the page, not for the diver: two others free them.
        assert seen["people"][uid("a")]["held"]

    def test_one_that_the_phone_did_not_know_of_stays_open(self) -> None:
        here, there = Phone("p1"), Phone("p2")
        here.write("emergency_started", "trip", "10:00")
        there.write("distress_call_made", "trip", "10:01", to="coastguard", means="phone", urgency="urgent")
        end(here, "10:20", told(here))
        seen = view(told(here, there), at("10:21"))
        assert (seen["emergency"], seen["emergency_page"]["why"]) == (False, ["distress_call"])
        end(here, "10:30", told(here, there))
        assert not view(told(here, there), at("10:31"))["emergency_page"]["open"]


class TestFitToDive:
    def test_yes_on_a_fast_phone_does_not_outlast_a_later_no(self) -> None:
        fast, right = Phone("p1"), Phone("p2")
        right.holds("07:00", "s")
        yes = fast.write("fit_to_dive_said", "a", "09:00", said="yes", of=[])
        no = right.write("fit_to_dive_said", "a", "08:30", said="no", of=[yes.id])
        assert refused(told(fast, right)) == [("not_fit_to_dive_said", (uid("a"),))]
        right.write("fit_to_dive_said", "a", "08:40", said="yes", of=[yes.id, no.id])
        assert refused(told(fast, right)) == []

    def test_a_no_that_the_yes_did_not_know_of_stands(self) -> None:
        here, there = Phone("p1"), Phone("p2")
        here.holds("07:00", "s")
        there.write("fit_to_dive_said", "a", "08:30", said="no", of=[])
        here.write("fit_to_dive_said", "a", "08:40", said="yes", of=[])
        both = told(here, there)
        assert view(both, at("09:00"))["people"][uid("a")]["fit_said"] == "no"
        assert refused(both) == [("not_fit_to_dive_said", (uid("a"),))]
