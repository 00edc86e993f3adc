"""What the log amounts to for a diver's record: corrections, clocks, groups, the next dive."""

from typing import Any

from teamdive.boatlog.claims import readings
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.nitrogen import after_last_dive, next_dive
from teamdive.boatlog.questions import due
from teamdive.boatlog.view import view
from teamdive.boatlog.waiting import next_steps
from tests.boat_scene import Phone, at, codes, metres, one_dive, state, uid


def diver(told: State, name: str, clock: str = "12:00") -> dict[str, Any]:
    found: dict[str, Any] = view(told, at(clock))["people"][uid(name)]
    return found


class TestTwoPhonesOneAscent:
    """18 m, down 09:40; surfaced 10:05 by one phone, 10:09 by the other; then 15 m at 10:58.

    The table figures are of the Revision 7 air table (reference cells); the tissue model's are held
    against an independent integration in tests/published.
    """

    def both(self) -> State:
        other = Phone("p2")
        other.down("09:40")
        other.up("10:09")
        return state(one_dive(), other)

    def test_either_reading_alone(self) -> None:
        early = next_dive(state(one_dive()), uid("a"), at("10:58"))
        late = next_dive(state(one_dive("10:09")), uid("a"), at("10:58"))
        assert early is not None and late is not None
        assert (early["group"], early["interval_s"], early["table_limit_s"]) == ("D", 53 * 60, 63 * 60)
        assert (late["group"], late["interval_s"], late["table_limit_s"]) == ("F", 49 * 60, 50 * 60)
        assert after_last_dive(state(one_dive()), uid("a"))["group"] == "E"
        assert after_last_dive(state(one_dive("10:09")), uid("a"))["group"] == "F"

    def test_the_safe_end_governs_and_the_question_says_what_settling_would_give(self) -> None:
        told = self.both()
        found = next_dive(told, uid("a"), at("10:58"))
        assert found is not None
        assert (found["limit_s"], found["limited_by"]) == (50 * 60, "table")
        # 55 minutes by the tissue model's earlier reading, in whole minutes rounded down.
        assert found["if_settled_limit_s"] // 60 == 55
        assert found["rises"]["at"] == at("11:02")
        assert found["rises"]["table_limit_s"] == 57 * 60
        # At 11:02 57 by the table and 54 by the tissue model (53 at 1.000 bar and nitrogen 0.79), the shorter governs.
        steps = next_steps(told, [uid("a"), uid("b")], uid("d2"), at("10:58"))
        assert steps[0]["at"] <= at("11:02") and steps[-1]["at"] > at("10:58")
        assert [s["limit_s"] // 60 for s in steps] == sorted({s["limit_s"] // 60 for s in steps})
        at_two = next(s for s in steps if s["at"] == at("11:02"))
        assert (at_two["limit_s"] // 60, at_two["limited_by"], at_two["gain_min"]) == (54, "tissue", 4)
        assert "up_times_differ" in codes(told)
        assert diver(told, "a")["surfaced_at"] == [at("10:05"), at("10:09")]

    def test_settled_by_two_people_both_entries_stay(self) -> None:
        first = one_dive()
        other = Phone("p2")
        other.down("09:40")
        wrong = other.up("10:09")
        for by in "abs":
            # Two who made the dive settle nothing about it: somebody whom it is not about is one of the two.
            assert "up_times_differ" in codes(state(first, other))
            other.write(
                "correction",
                "t1",
                "10:30",
                by=by,
                corrects=wrong.id,
                reason="settled",
                void=False,
                at=at("10:05"),
            )
        told = state(first, other)
        found = next_dive(told, uid("a"), at("10:58"))
        assert found is not None and found["limit_s"] // 60 == 55
        assert "up_times_differ" not in codes(told)
        assert wrong.mark in told.entries

    def test_one_person_alone_does_not_settle_it(self) -> None:
        first = one_dive()
        other = Phone("p2")
        other.down("09:40")
        wrong = other.up("10:09")
        other.write(
            "correction", "t1", "10:30", corrects=wrong.id, reason="settled", void=False, at=at("10:05")
        )
        told = state(first, other)
        found = next_dive(told, uid("a"), at("10:58"))
        assert found is not None and found["limit_s"] == 50 * 60
        assert "correction_not_settled" in codes(told)


class TestCorrections:
    def test_depth_lowered_on_monday_by_one_keeps_the_deeper_until_two_agree(self) -> None:
        phone = one_dive(depth=None)
        entry = phone.depth("10:12", "a", 34)
        keeper = Phone("p9", by="k")
        said = {"corrects": entry.id, "reason": "mistyped", "void": False, "data": {"depth": metres(30)}}
        keeper.write("correction", "a", "12:00", **said)
        told = state(phone, keeper)
        assert diver(told, "a")["dives_done"][0]["depth"] == metres(34)
        assert "correction_not_settled" in codes(told)
        keeper.write("correction", "a", "12:10", by="a", **said)
        told = state(phone, keeper)
        assert diver(told, "a")["dives_done"][0]["depth"] == metres(30)
        assert "correction_not_settled" not in codes(told)
        # The partner logged 33 m: the deepest reported in the team counts for all.
        phone.depth("10:13", "b", 33)
        assert diver(state(phone, keeper), "a")["dives_done"][0]["depth"] == metres(33)

    def test_two_corrections_that_differ_the_safer_counts(self) -> None:
        phone = one_dive(depth=None)
        entry = phone.depth("10:12", "a", 18)
        for by, depth in (("a", 16), ("b", 21)):
            said = {"reason": "other", "void": False, "data": {"depth": metres(depth)}}
            phone.write("correction", "a", "11:00", by=by, corrects=entry.id, **said)
        told = state(phone)
        assert diver(told, "a")["dives_done"][0]["depth"] == metres(21)
        assert "corrections_differ" in codes(told)

    def test_undo_at_once_on_the_same_phone_did_not_happen(self) -> None:
        phone = Phone("p1")
        phone.write("aboard", "a", "09:00")
        wrong = phone.down("09:40")
        phone.write("correction", "t1", "09:40:08", corrects=wrong.id, reason="mistyped", void=True)
        told = state(phone)
        assert readings(told, wrong).claims == ()
        assert (diver(told, "a")["state"], diver(told, "a")["dives_done"]) == ("aboard", [])

    def test_a_descent_taken_back_later_leaves_them_unknown_until_met(self) -> None:
        phone = Phone("p1")
        phone.write("aboard", "a", "09:00")
        wrong = phone.down("09:40")
        phone.write("correction", "t1", "09:50", corrects=wrong.id, reason="did_not_happen", void=True)
        assert diver(state(phone), "a")["state"] == "unknown"
        phone.met("09:52", "a")
        assert diver(state(phone), "a")["accounted_for"]

    def test_a_surfacing_taken_back_by_one_puts_the_diver_under_water_again(self) -> None:
        phone = one_dive()
        up = phone.entries[2]
        phone.write("correction", "t1", "10:30", corrects=up.id, reason="did_not_happen", void=True)
        assert diver(state(phone), "a")["state"] == "down"


class TestNitrogen:
    def test_without_a_reported_depth_the_group_is_not_known_and_says_what_is_missing(self) -> None:
        told = state(one_dive(depth=None))
        found = next_dive(told, uid("a"), at("10:58"))
        assert found is not None
        assert found["group"] == {"not_known": ["reported depth of dive 1"]}
        assert isinstance(found["limit_s"], dict)
        assert isinstance(found["ready_at"], dict)
        assert due(told.snapshot, told, at("10:58")) == ()

    def test_leaving_the_bottom_reported_shortens_the_bottom_time(self) -> None:
        phone = one_dive()
        phone.write("left_bottom", "t1", "09:58", wall="10:10")
        assert diver(state(phone), "a")["dives_done"][0]["bottom_time_s"] == [18 * 60, 18 * 60]

    def test_the_duties_have_their_instants_whatever_now_is(self) -> None:
        told = state(one_dive())
        early, late = (due(told.snapshot, told, at(clock)) for clock in ("10:06", "23:00"))
        assert early == late
        kinds = [(duty.kind, duty.person) for duty in early]
        assert kinds.count(("surface_interval_reached", uid("a"))) == 1
        assert kinds.count(("no_fly_passed", uid("b"))) == 1
        flying = next(duty for duty in early if duty.kind == "no_fly_passed")
        # Flying After Recreational Diving Workshop, 2002: at least 12 h after a single no-stop dive.
        assert flying.due_at == at("10:05") + 12 * 3_600_000

    def test_the_interval_is_reached_at_the_first_whole_minute_that_fits(self) -> None:
        phone = one_dive("10:10")
        told = state(phone, depths=(18, 18), bottom_min=(30, 35))
        ready = next_dive(told, uid("a"), at("10:11"))
        assert ready is not None
        just = ready["ready_at"]
        at_it, before = (next_dive(told, uid("a"), instant) for instant in (just, just - 60_000))
        assert at_it is not None and before is not None
        assert at_it["limit_s"] >= 35 * 60 > before["limit_s"]

    def test_a_club_minimum_is_kept_to_as_its_own_rule(self) -> None:
        from teamdive.boatlog import snapshot
        from tests.boat_scene import trip_body

        start = trip_body(depths=(18, 10), bottom_min=(30, 10))
        start["settings"]["least_surface_interval_min"] = 60
        found = next_dive(fold(snapshot.read(start), one_dive().entries), uid("a"), at("10:20"))
        assert found is not None and found["ready_at"] == at("11:05")

    def test_a_team_announced_with_a_shorter_limit_waits_for_that(self) -> None:
        from teamdive.boatlog import snapshot
        from tests.boat_scene import trip_body

        start = trip_body(depths=(18, 30), bottom_min=(30, 40), run_min=(38, 48))
        # Nobody has forty minutes at 30 m, however long they wait; the team was announced with eleven.
        start["dives"][1]["teams"][0]["limit_s"] = 11 * 60
        told = fold(snapshot.read(start), one_dive().entries)
        short, long = (next_dive(told, uid(name), at("11:00"), uid("d2")) for name in "ac")
        assert short is not None and long is not None
        assert (short["planned_bottom_time_s"], long["planned_bottom_time_s"]) == (11 * 60, 40 * 60)
        assert isinstance(short["ready_at"], int)
        later = Phone("p3")
        later.write("plan_changed", "d2", "10:30", depth=metres(20), bottom_time_s=1200, run_time_s=1500)
        changed = next_dive(
            fold(told.snapshot, [*told.entries.values(), *later.entries]), uid("a"), at("11:00")
        )
        assert changed is not None and changed["planned_bottom_time_s"] == 1200

    def test_who_sits_out_has_no_next_dive(self) -> None:
        phone = one_dive()
        phone.write("sits_out", "a", "10:30", dive="d2")
        assert next_dive(state(phone), uid("a"), at("11:00")) is None
        assert next_dive(state(phone), uid("b"), at("11:00")) is not None
