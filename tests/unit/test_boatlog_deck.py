"""The deck's day as entries: who is where, when due, who may go down, whether the boat may leave."""

from typing import Any

import pytest

from teamdive.boatlog import snapshot
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.questions import may_depart, may_go_down
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, metres, trip, trip_body, uid

REASON = {"text_hash": "ab" * 32}


def state(*phones: Phone, **body: Any) -> State:
    return fold(trip(**body), [entry for phone in phones for entry in phone.entries])


def person(seen: dict[str, Any], name: str) -> dict[str, Any]:
    found: dict[str, Any] = seen["people"][uid(name)]
    return found


def codes(seen: dict[str, Any]) -> set[str]:
    return {question["code"] for question in seen["questions"]}


def named(entry: Entry, code: str, seen: dict[str, Any]) -> bool:
    return any(entry.id in question["entries"] for question in seen["questions"] if question["code"] == code)


@pytest.fixture
def deck() -> Phone:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    return phone


def everybody_aboard(phone: Phone, clock: str = "08:30") -> None:
    for name in "abcds":
        phone.write("aboard", name, clock)


class TestWhere:
    def test_nobody_is_anywhere_until_met_by_name(self, deck: Phone) -> None:
        seen = view(state(deck), at("09:01"))
        assert {each["state"] for each in seen["people"].values()} == {"unknown"}
        assert not any(each["accounted_for"] for each in seen["people"].values())

    def test_up_is_not_aboard_and_a_marker_is_not_a_head(self, deck: Phone) -> None:
        everybody_aboard(deck)
        deck.down("09:40")
        assert person(view(state(deck), at("09:50")), "a")["state"] == "down"
        deck.write("marker_seen", "t1", "10:00", fix=None)
        seen = view(state(deck), at("10:01"))
        assert (person(seen, "a")["state"], person(seen, "a")["accounted_for"]) == ("marker_seen", False)
        deck.up("10:05")
        seen = view(state(deck), at("10:06"))
        assert (person(seen, "a")["state"], person(seen, "a")["accounted_for"]) == ("up", False)
        deck.back("10:08", "a")
        seen = view(state(deck), at("10:09"))
        assert (person(seen, "a")["state"], person(seen, "a")["accounted_for"]) == ("aboard", True)
        assert (person(seen, "b")["state"], person(seen, "b")["accounted_for"]) == ("up", False)
        assert seen["teams"][uid("t1")]["status"] == "up"

    def test_a_head_that_came_up_twice_is_one_dive(self, deck: Phone) -> None:
        other = Phone("p2")
        deck.down("09:40")
        other.down("09:40")
        deck.up("10:05")
        other.up("10:09")
        seen = view(state(deck, other), at("10:10"))
        assert len(person(seen, "a")["dives_done"]) == 1
        assert person(seen, "a")["state"] == "up"

    def test_boarded_without_a_surfacing_ends_the_dive_at_the_later_end_and_asks(self, deck: Phone) -> None:
        deck.down("09:40")
        deck.back("10:20", "a")
        seen = view(state(deck), at("10:21"))
        assert person(seen, "a")["dives_done"][0]["bottom_time_s"] == [0, 40 * 60]
        assert "up_not_recorded" in codes(seen)

    def test_up_without_down_is_kept_and_asked_about(self, deck: Phone) -> None:
        up = deck.up("10:05", people="a")
        seen = view(state(deck), at("10:06"))
        assert (person(seen, "a")["state"], person(seen, "a")["accounted_for"]) == ("up", False)
        assert named(up, "up_without_down", seen)

    def test_an_ascent_before_its_descent_leaves_the_diver_down(self, deck: Phone) -> None:
        slow = Phone("p2")
        deck.down("09:40")
        up = slow.up("09:05", people="a")
        seen = view(state(deck, slow), at("10:06"))
        assert person(seen, "a")["state"] == "down"
        assert named(up, "up_before_down", seen)

    def test_a_head_count_by_eye_brings_nobody_out_of_the_water(self, deck: Phone) -> None:
        everybody_aboard(deck)
        deck.write("person_went_in", "a", "09:40", why="swim")
        count = deck.met("09:50", "abcds", method="seen")
        seen = view(state(deck), at("09:51"))
        assert (person(seen, "a")["state"], person(seen, "a")["accounted_for"]) == ("in_water", False)
        assert named(count, "counted_by_eye_only", seen)
        deck.met("09:52", "a", count="c2")
        assert person(view(state(deck), at("09:53")), "a")["accounted_for"]

    def test_whoever_is_not_on_the_list_must_come_home_too(self, deck: Phone) -> None:
        deck.write("joined", "v", "09:10", role="visitor", dives=False, can_lead=False)
        deck.write("person_went_in", "w", "09:20")
        seen = view(state(deck), at("09:30"))
        assert person(seen, "v")["role"] == "visitor"
        assert (person(seen, "w")["role"], person(seen, "w")["state"]) == ("not_on_list", "in_water")
        assert {uid("v"), uid("w")} <= set(seen["departure"]["not_accounted_for"])


class TestDue:
    def test_due_from_the_earliest_descent_claimed(self, deck: Phone) -> None:
        deck.down("10:50", earliest=at("10:47"), latest=at("10:53"))
        seen = view(state(deck), at("11:00"))
        assert person(seen, "a")["due_at"] == at("11:25")
        assert person(seen, "a")["overdue_at"] == at("11:35")

    def test_a_team_announced_with_less_time_than_the_dive_is_due_sooner(self, deck: Phone) -> None:
        deck.down("10:00")
        body = trip_body()
        body["dives"][0]["teams"][0]["limit_s"] = 21 * 60
        sooner = fold(snapshot.read(body), deck.entries)
        # 38 min of run for 30 of bottom time: with 21 of bottom time, 29.
        assert person(view(sooner, at("10:10")), "a")["due_at"] == at("10:29")
        other = Phone("p2")
        other.write("team_changed", "t1", "09:50", dive="d1", members=["a", "c"], lead=None)
        other.down("10:00", members="ac")
        changed = fold(snapshot.read(body), other.entries)
        # The limit was that of the two announced: it says nothing of two others.
        assert person(view(changed, at("10:10")), "a")["due_at"] == at("10:38")

    def test_status_follows_the_clock(self, deck: Phone) -> None:
        deck.down("10:00")
        told = state(deck)
        statuses = [
            view(told, at(clock))["teams"][uid("t1")]["status"] for clock in ("10:37", "10:38", "10:48")
        ]
        assert statuses == ["down", "due", "overdue"]

    def test_minutes_not_set_are_said_never_guessed(self, deck: Phone) -> None:
        deck.down("10:00")
        seen = view(state(deck, overdue_after_min=None), at("12:00"))
        assert seen["not_ready"] == ["overdue_after_min"]
        assert person(seen, "a")["overdue_at"] is None
        assert seen["teams"][uid("t1")]["status"] == "due"

    def test_quieted_stays_overdue(self, deck: Phone) -> None:
        deck.down("10:00")
        deck.write("overdue_quieted", "t1", "10:49", until=at("10:51"))
        team = view(state(deck), at("10:50"))["teams"][uid("t1")]
        assert (team["status"], team["quiet_until"]) == ("overdue", at("10:51"))

    def test_quiet_ends_by_the_clock_of_the_phone_put_right(self, deck: Phone) -> None:
        deck.down("10:00")
        fast = Phone("p2")
        fast.write("clock_compared", "p2", "11:00", offset_ms=-3_600_000, error_ms=40)
        fast.write("overdue_quieted", "t1", "11:49", until=at("11:51"))
        team = view(fold(trip(), [*deck.entries, *fast.entries]), at("10:50"))["teams"][uid("t1")]
        assert team["quiet_until"] == at("10:51")
        assert team["quieted"] == {uid("p2"): at("10:51")}

    def test_one_up_alone_starts_the_partners_clock(self, deck: Phone) -> None:
        # From 22 m: 1 min search, 22/9 min up, 3 min stop and 1 min make 7.4 min after they were last seen together.
        deck.down("10:00")
        deck.depth("10:12", "a", 22)
        deck.up("10:12", people="a", last_seen_at=at("10:10"))
        seen = view(state(deck, depths=(22, 15)), at("10:13"))
        assert person(seen, "b")["alone_clock"]
        assert person(seen, "b")["due_at"] == at("10:10") + (60 + 22 * 60 // 9 + 180 + 60) * 1000
        assert at("10:17") < person(seen, "b")["due_at"] < at("10:17:30")
        assert person(seen, "a")["due_at"] is None

    def test_it_replaces_the_planned_time_only_where_earlier(self, deck: Phone) -> None:
        deck.down("10:00")
        deck.up("10:37", people="a", last_seen_at=at("10:36"))
        seen = view(state(deck), at("10:38"))
        assert (person(seen, "b")["due_at"], person(seen, "b")["alone_clock"]) == (at("10:38"), False)

    def test_when_last_seen_is_not_known_it_is_asked(self, deck: Phone) -> None:
        deck.down("10:00")
        up = deck.up("10:12", people="a")
        assert named(up, "last_seen_not_known", view(state(deck), at("10:13")))

    def test_two_of_three_may_stay_down_together_but_not_after_one_came_up_alone(self) -> None:
        teams = [["a", "b", "c"]]
        deck = Phone("p1")
        deck.holds("09:00", "s")
        deck.down("10:00", members="abc")
        deck.up("10:12", people="a")
        told = state(deck, teams=teams)
        assert not person(view(told, at("10:13")), "b")["alone_clock"]
        deck.up("10:14", people="b", last_seen_at=at("10:13"))
        assert person(view(state(deck, teams=teams), at("10:15")), "c")["alone_clock"]
        lost = Phone("p2")
        lost.write("surfaced_alone", "a", "10:12", team="t1", dive="d1", last_seen_at=at("10:09"))
        first = Phone("p3")
        first.down("10:00", members="abc")
        seen = view(state(lost, first, teams=teams), at("10:13"))
        assert person(seen, "b")["alone_clock"] and person(seen, "c")["alone_clock"]

    def test_a_plan_changed_while_they_are_down_does_not_reach_them(self, deck: Phone) -> None:
        deck.down("10:00")
        deck.write("plan_changed", "d1", "10:10", depth=metres(18), bottom_time_s=3600, run_time_s=4200)
        assert person(view(state(deck), at("10:20")), "a")["due_at"] == at("10:38")

    @pytest.mark.parametrize(("depth", "due"), [(18, "10:40"), (21, "10:40"), (12, "11:10")])
    def test_a_longer_plan_lifts_no_limit_unless_it_is_shallower(
        self, deck: Phone, depth: int, due: str
    ) -> None:
        # Announced: 18 m, and 30 min is the team's limit there; deeper it can only be less.
        deck.write("plan_changed", "d1", "09:30", depth=metres(depth), bottom_time_s=3600, run_time_s=4200)
        deck.down("10:00")
        assert person(view(state(deck), at("10:20")), "a")["due_at"] == at(due)

    def test_a_dive_that_nobody_planned_says_that_nobody_can_be_late(self, deck: Phone) -> None:
        down = deck.down("10:00", team="t8", members="ab", dive="d8")
        seen = view(state(deck), at("12:00"))
        assert (person(seen, "a")["state"], person(seen, "a")["due_at"]) == ("down", None)
        assert named(down, "run_time_not_known", seen)
        deck.write("plan_changed", "d8", "09:50", depth=metres(10), bottom_time_s=1200, run_time_s=1500)
        assert person(view(state(deck), at("12:00")), "a")["due_at"] == at("10:25")


class TestDeckHolder:
    def test_the_holder_may_not_go_down_before_another_accepted(self) -> None:
        deck = Phone("p1")
        assert [refusal.code for refusal in may_go_down(state(deck), uid("t1"))] == ["no_deck_holder"]
        deck.holds("09:00", "a")
        refusals = may_go_down(state(deck), uid("t1"))
        assert [(refusal.code, refusal.people) for refusal in refusals] == [
            ("deck_holder_in_team", (uid("a"),))
        ]
        deck.write("deck_handed_over", "s", "09:10", from_="a")
        told = state(deck)
        assert view(told, at("09:11"))["handover"]["to"] == uid("s")
        assert [refusal.code for refusal in may_go_down(told, uid("t1"))] == ["deck_holder_in_team"]
        deck.holds("09:12", "s", "a")
        told = state(deck)
        assert may_go_down(told, uid("t1")) == ()
        assert (view(told, at("09:13"))["deck_holder"], view(told, at("09:13"))["handover"]) == (
            uid("s"),
            None,
        )

    def test_marked_down_all_the_same_it_is_asked_about(self) -> None:
        deck = Phone("p1")
        deck.holds("09:00", "a")
        down = deck.down("09:40")
        assert named(down, "deck_holder_down", view(state(deck), at("09:41")))

    def test_accepted_by_somebody_in_the_water_it_is_asked_about(self, deck: Phone) -> None:
        deck.down("09:40")
        taken = deck.holds("09:50", "a", "s")
        assert named(taken, "deck_holder_in_water", view(state(deck), at("09:51")))

    def test_two_phones_two_holders(self) -> None:
        first, second = Phone("p1"), Phone("p2")
        first.holds("09:00", "s")
        first.holds("09:30", "c", "s")
        second.holds("09:31", "d", "s")
        assert "deck_accepted_by_two" in codes(view(state(first, second), at("09:32")))

    def test_already_down_held_or_called_off(self, deck: Phone) -> None:
        deck.down("09:40")
        deck.write("held_from_diving", "c", "09:41", released=False)
        told = state(deck)
        assert [refusal.code for refusal in may_go_down(told, uid("t1"))] == ["already_down"]
        assert [refusal.code for refusal in may_go_down(told, uid("t2"))] == ["held_from_diving"]
        deck.write("held_from_diving", "c", "09:45", released=True)
        assert [refusal.code for refusal in may_go_down(state(deck), uid("t2"))] == ["held_from_diving"]
        deck.write("held_from_diving", "c", "09:45", released=True, with_="a")
        deck.write("dive_called_off", "d1", "09:46")
        assert [refusal.code for refusal in may_go_down(state(deck), uid("t2"))] == ["dive_called_off"]


class TestRollCall:
    """Sets, not numbers: published head counts that came out right with the wrong people (Queensland regulator)."""

    def test_complete_only_when_everyone_was_named(self, deck: Phone) -> None:
        everybody_aboard(deck)
        deck.met("09:00", "abcd")
        seen = view(state(deck), at("09:01"))
        assert seen["roll_call"]["missing"] == [uid("s")]
        assert seen["departure"]["blocked"]
        deck.met("09:01", "s")
        seen = view(state(deck), at("09:02"))
        assert (seen["roll_call"]["complete"], seen["departure"]["blocked"]) == (True, False)
        assert may_depart(state(deck)) == ()

    def test_a_pair_that_went_in_again_voids_the_count_though_the_number_is_right(self, deck: Phone) -> None:
        everybody_aboard(deck)
        deck.met("09:00", "abcds")
        deck.write("person_went_in", "a", "09:05")
        deck.back("09:10", "a")
        seen = view(state(deck), at("09:11"))
        assert person(seen, "a")["accounted_for"]
        assert not seen["roll_call"]["complete"]
        assert seen["departure"]["blocked"]

    def test_who_came_along_later_was_not_left_behind_before(self, deck: Phone) -> None:
        deck.met("09:00", "abcds")
        left = deck.write("departed", "trip", "09:05", place="port")
        deck.write("joined", "v", "12:30", role="visitor", dives=False, can_lead=False)
        seen = view(state(deck), at("12:31"))
        assert seen["departure"]["not_accounted_for"] == [uid("v")]
        assert not named(left, "departed_not_accounted_for", seen)
        # Said to have come along before the boat left: then somebody has to look at it.
        early = Phone("p2")
        early.write("joined", "v", "08:50", role="visitor", dives=False, can_lead=False)
        assert named(left, "departed_not_accounted_for", view(state(deck, early), at("12:31")))

    def test_a_boarding_that_may_have_been_after_the_boat_left_is_asked_about(self, deck: Phone) -> None:
        deck.met("09:00", "abcds")
        deck.down("09:40")
        deck.up("10:05")
        deck.back("10:10", "a")
        boarded = deck.write("back_aboard", "b", "10:25")
        left = deck.write("departed", "trip", "10:40", place="site")
        assert not named(left, "departed_not_accounted_for", view(state(deck), at("11:00")))
        later = {"corrects": boarded.id, "reason": "wrong_time", "void": False, "at": at("10:50")}
        deck.write("correction", "b", "11:10", by="c", **later)
        seen = view(state(deck), at("11:11"))
        assert named(left, "departed_not_accounted_for", seen) and person(seen, "b")["accounted_for"]

    def test_right_number_wrong_people(self) -> None:
        """Fourteen counted, one of ours gone with another boat, a visitor aboard: never all accounted for."""
        teams = [["a", "b"], ["c", "d"], ["e", "f"], ["g", "h"], ["i", "j"], ["k", "l"]]
        first, second = Phone("p1"), Phone("p2")
        crew = "abcdefghijklst"
        for name in crew:
            first.write("aboard", name, "08:00")
        first.write("transferred", "k", "12:05", to="vessel")
        first.write("joined", "v", "12:30", role="visitor", dives=False, can_lead=False)
        first.write("aboard", "v", "12:31")
        first.met("13:40", "abcdefghijlstv")
        bridge = state(first, teams=teams, others=("s", "t"))
        seen = view(bridge, at("13:41"))
        assert len(seen["roll_call"]["named"]) == 14
        assert seen["departure"]["not_accounted_for"] == [uid("k")]
        assert seen["departure"]["blocked"]
        second.write("aboard", "k", "13:20")
        second.write("person_went_in", "k", "13:31", why="swim")
        both = view(state(first, second, teams=teams, others=("s", "t")), at("13:41"))
        assert person(both, "k")["state"] == "in_water"
        assert both["departure"]["blocked"]
        left = first.write("departed", "trip", "13:45", place="site")
        assert named(left, "departed_not_accounted_for", view(state(first, second, teams=teams), at("13:46")))

    def test_a_count_serves_one_departure(self, deck: Phone) -> None:
        """Counts before leaving port and before leaving each site: Queensland regulator, head counts page."""
        everybody_aboard(deck)
        deck.met("09:00", "abcds")
        assert not view(state(deck), at("09:01"))["departure"]["blocked"]
        deck.write("departed", "trip", "09:05", place="port")
        seen = view(state(deck), at("09:06"))
        assert seen["departure"]["not_accounted_for"] == []
        assert (seen["roll_call"]["complete"], seen["departure"]["blocked"]) == (False, True)
        assert "departed_not_accounted_for" not in codes(seen)
        deck.met("11:00", "abcds", count="c2")
        assert not view(state(deck), at("11:01"))["departure"]["blocked"]

    def test_who_stayed_ashore_is_accounted_for_and_their_team_does_not_go(self, deck: Phone) -> None:
        deck.write("ashore", "b", "08:50")
        deck.met("09:00", "acds")
        seen = view(state(deck), at("09:01"))
        assert not seen["departure"]["blocked"]
        assert [refusal.code for refusal in may_go_down(state(deck), uid("t1"))] == ["ashore"]
        assert may_go_down(state(deck), uid("t2")) == ()

    def test_who_went_over_to_another_boat_does_not_go_down_from_this_one(self, deck: Phone) -> None:
        """E7 of the job: K got a lift on another boat, and nobody entered K back."""
        deck.met("09:00", "abcds")
        deck.write("transferred", "b", "12:05", to="vessel", vessel=uid("v"), care="skipper", stays=False)
        (refused,) = may_go_down(state(deck), uid("t1"))
        assert (refused.code, refused.people) == ("with_others", (uid("b"),))
        deck.write("back_aboard", "b", "12:40")
        assert may_go_down(state(deck), uid("t1")) == ()

    def test_a_swimmer_or_one_not_back_from_the_last_dive_is_entered_aboard_before_the_team_goes_down(
        self, deck: Phone
    ) -> None:
        """Common practice, no source: nobody begins a dive from where nobody has seen them come back."""
        assert may_go_down(state(deck), uid("t1")) == (), "whom nobody has met yet is seen going down"
        deck.met("09:00", "abcds")
        deck.write("person_went_in", "a", "09:05")
        (refused,) = may_go_down(state(deck), uid("t1"))
        assert (refused.code, refused.people) == ("not_aboard", (uid("a"),))
        deck.write("back_aboard", "a", "09:20")
        assert may_go_down(state(deck), uid("t1")) == ()
        deck.down("09:40")
        deck.up("10:10", "ab")
        deck.write("back_aboard", "a", "10:15")
        (refused,) = may_go_down(state(deck), uid("t1b"))
        assert (refused.code, refused.people) == ("not_aboard", (uid("b"),))
        deck.write("lost_from_sight", "b", "10:16")
        assert [refusal.code for refusal in may_go_down(state(deck), uid("t1b"))] == ["not_aboard"]
        # What happened all the same is entered: down is down, and due.
        deck.down("10:20", "t1b", "ab", "d2")
        assert person(view(state(deck), at("10:21")), "b")["state"] == "down"

    def test_only_two_names_with_a_reason_override_and_nobody_is_accounted_for_by_it(
        self, deck: Phone
    ) -> None:
        everybody_aboard(deck)
        deck.write("transferred", "a", "09:05", to="vessel")
        deck.write("override", "trip", "09:10", rule="departure", with_=None, **REASON)
        assert view(state(deck), at("09:11"))["departure"]["blocked"]
        deck.write("override", "trip", "09:11", rule="departure", with_="c")
        assert view(state(deck), at("09:12"))["departure"]["blocked"]
        deck.write("override", "trip", "09:12", rule="departure", with_="c", **REASON)
        seen = view(state(deck), at("09:13"))
        assert (seen["departure"]["blocked"], seen["departure"]["overridden"]) == (False, True)
        assert seen["departure"]["not_accounted_for"] == [uid("a")]

    def test_an_altered_copy_accounts_for_nobody(self, deck: Phone) -> None:
        from teamdive.boatlog.entries import body, read

        everybody_aboard(deck)
        deck.down("09:40")
        up = deck.up("10:10", people="a")
        forged = read({**body(up), "data": {**up.data, "people": [uid("a"), uid("b")]}})
        told = fold(trip(), [*deck.entries, forged])
        seen = view(told, at("10:11"))
        assert person(seen, "b")["state"] == "down"
        assert named(up, "altered", seen)


class TestLostPhone:
    """The deck phone drowned at 11:05, unsynced since the count of 10:30; another takes over."""

    def test_nobody_is_aboard_until_met_and_intervals_give_due_and_bottom_time(self) -> None:
        teams = [["a", "b"], ["c", "d"], ["e", "f"]]
        second = Phone("p2")
        second.met("10:30", "abcdefs")
        second.down("10:41", team="t1", members="ab")
        second.write("phone_lost", "trip", "11:05")
        second.holds("11:05:10", "s")
        kwargs: dict[str, Any] = {
            "teams": teams,
            "depths": (20, 15),
            "run_min": (38, 48),
            "bottom_min": (28, 40),
        }
        seen = view(state(second, **kwargs), at("11:06"))
        assert {name: person(seen, name)["state"] for name in "abcdefs"} == {
            **dict.fromkeys("ab", "down"),
            **dict.fromkeys("cdefs", "unknown"),
        }
        second.met("11:06", "s", count="c2")
        second.down(
            "10:50", team="t2", members="cd", earliest=at("10:47"), latest=at("10:53"), wall="11:06:20"
        )
        second.down(
            "10:59", team="t3", members="ef", earliest=at("10:53"), latest=at("11:05"), wall="11:06:40"
        )
        told = state(second, **kwargs)
        seen = view(told, at("11:07"))
        assert {team: seen["teams"][uid(team)]["due_at"] for team in ("t1", "t2", "t3")} == {
            "t1": at("11:19"),
            "t2": at("11:25"),
            "t3": at("11:31"),
        }
        second.up("11:24", team="t2", people="cd")
        seen = view(state(second, **kwargs), at("11:25"))
        assert person(seen, "c")["dives_done"][0]["bottom_time_s"] == [31 * 60, 37 * 60]
        # When the first phone is revived its entries join, and the safer stays.
        first = Phone("p1")
        first.down("10:51", team="t2", members="cd")
        joined = view(state(second, first, **kwargs), at("11:30"))
        assert person(joined, "c")["dives_done"][0]["down"] == [at("10:47"), at("10:53")]
