"""Which reminders a boat log asks for, against the published table and the published consensus.

27 m for 17 min, then 18 m for 35 min planned: in the US Navy air tables (Diving Manual revision 7, tables 9-7
and 9-8) 27 m is the 90 fsw row, 17 min gives group E, and E becomes D after 0:53; D leaves 35 min and more on
the 60 fsw row, E does not. The tissue model allows it sooner, so the table governs.
Flying: 12 h after a single no-stop dive, 18 h after more (Flying After Recreational Diving Workshop, 2002).
"""

from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from teamdive.boatlog.fold import fold
from teamdive.reminders import rules
from tests.boat_scene import Phone, at, trip, uid

DIVERS = {uid("a"): UUID(int=1), uid("b"): UUID(int=2)}


def scene() -> Any:
    return trip(teams=[["a", "b"]], depths=(27, 18), bottom_min=(17, 35), run_min=(23, 42))


def first_dive(phone: Phone, up: str = "09:17") -> None:
    phone.holds("08:30", "s")
    phone.down("09:00", members="ab")
    phone.up(up, people="ab")
    for person in "ab":
        phone.back("09:30", person)
        phone.depth("09:31", person, 27)


def asked(phone: Phone, now: str = "09:40", divers: dict[str, UUID] | None = None) -> dict[rules.Key, Any]:
    ought = rules.ought(fold(scene(), phone.entries), DIVERS if divers is None else divers, at(now))
    return {one.key: one for one in ought.wanted}


def utc(clock: str, day: int = 12) -> datetime:
    hour, minute = map(int, clock.split(":"))
    return datetime(2027, 6, day, hour, minute, tzinfo=UTC)


def test_after_the_first_dive_each_diver_has_an_interval_and_a_waiting_time() -> None:
    phone = Phone("p1")
    first_dive(phone)
    found = asked(phone)
    assert {key: one.due_at for key, one in found.items()} == {
        ("surface_interval_reached", diver, uid("d2")): utc("10:10") for diver in DIVERS.values()
    } | {("no_fly_passed", diver, uid("d1")): utc("21:17") for diver in DIVERS.values()}
    told = found["surface_interval_reached", DIVERS[uid("a")], uid("d2")]
    assert rules.wording(told.kind, told.facts, told.due_at) == (
        "At 10:10 your surface interval reached what dive 2 (18 m, 35 min) needs. "
        "If your own computer asks for longer, wait for it."
    )
    assert rules.reasons(told.facts["why"]) == [
        "From then on the planned 35 min at 18 m fit, by the method that governs in your club."
    ]
    flying = found["no_fly_passed", DIVERS[uid("a")], uid("d1")]
    assert rules.reasons(flying.facts["why"]) == [
        "12 h 00 min after the last surfacing, before going to 8,000 ft "
        "(consensus: 12 h after a single no-stop dive)."
    ]


def test_after_the_second_dive_the_waiting_time_is_another_and_the_interval_is_over() -> None:
    phone = Phone("p1")
    first_dive(phone)
    phone.down("10:30", team="t1b", members="ab", dive="d2")
    under = rules.ought(fold(scene(), phone.entries), DIVERS, at("10:31"))
    assert under.wanted == ()
    assert under.over >= {("surface_interval_reached", diver, uid("d2")) for diver in DIVERS.values()}
    phone.up("11:05", team="t1b", people="ab", dive="d2")
    for person in "ab":
        phone.back("11:10", person)
        phone.depth("11:11", person, 18, dive="d2")
    assert {key: one.due_at for key, one in asked(phone, "11:12").items()} == {
        ("no_fly_passed", diver, uid("d2")): utc("05:05", day=13) for diver in DIVERS.values()
    }


def test_without_a_reported_depth_nothing_is_asked_for() -> None:
    phone = Phone("p1")
    phone.holds("08:30", "s")
    phone.down("09:00", members="ab")
    phone.up("09:17", people="ab")
    assert asked(phone) == {}


def test_a_dive_called_off_asks_for_no_interval() -> None:
    phone = Phone("p1")
    first_dive(phone)
    phone.write("dive_called_off", "d2", "09:50")
    assert {kind for kind, _, _ in asked(phone)} == {"no_fly_passed"}


def test_a_later_surfacing_said_by_a_second_phone_moves_both_calls_later() -> None:
    phone, other = Phone("p1"), Phone("p2", by="a")
    first_dive(phone, up="09:16")
    assert {one.due_at for one in asked(phone).values()} == {utc("10:09"), utc("21:16")}
    other.up("09:17", people="ab")
    both = Phone("both", entries=[*phone.entries, *other.entries])
    assert {one.due_at for one in asked(both).values()} == {utc("10:10"), utc("21:17")}


def test_whoever_has_no_record_in_the_club_gets_no_row() -> None:
    phone = Phone("p1")
    first_dive(phone)
    only = {uid("a"): UUID(int=1)}
    assert {diver for _, diver, _ in asked(phone, divers=only)} == {UUID(int=1)}


def test_the_time_at_which_it_is_asked_changes_nothing() -> None:
    phone = Phone("p1")
    first_dive(phone)
    assert asked(phone, "09:40") == asked(phone, "23:00")


def test_a_dive_at_a_time_that_no_calendar_has_stops_no_other_call() -> None:
    """Beyond any calendar is kept as the last day that there is: nobody is called before."""
    phone, far = Phone("p1"), 2**53 - 1
    phone.holds("08:30", "s")
    phone.down(far - 900_000, members="ab", wall="09:00")
    phone.up(far, people="ab", wall="09:20")
    for person in "ab":
        phone.depth("09:31", person, 10)
    assert {one.due_at.year for one in asked(phone).values()} == {9999}
