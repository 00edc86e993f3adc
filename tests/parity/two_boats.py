"""Days of two boats in one boat log as cases: each watched, counted and left by itself."""

from __future__ import annotations

from random import Random
from typing import Any

from teamdive.boatlog.entries import Entry
from tests.boat_histories import day_of
from tests.boat_scene import Phone, at, trip_body, uid
from tests.parity.boat_days import day

LARGE, SMALL = "l", "s"
CREW = ("x", "y")


def two_boat_body(counts_needed: int = 1) -> dict[str, Any]:
    """a, b and the crew x on the large boat; c, d and the crew y on the small one."""
    body = trip_body(others=CREW)
    boats = dict.fromkeys("abx", LARGE) | dict.fromkeys("cdy", SMALL)
    for person in body["people"]:
        name = next(each for each in boats if uid(each) == person["id"])
        person["boat"] = uid(boats[name])
    body["settings"]["counts_needed"] = counts_needed
    return body


def day_of_two(rng: Random, most: int) -> tuple[dict[str, Any], list[Entry]]:
    """A random trip on two boats and what its phones wrote."""
    return day_of(rng, most, several=True)


def large() -> Phone:
    """The phone of the large boat: its deck, its dive, everyone of it back and counted by 10:40."""
    phone = Phone("p1", by="x")
    phone.write("deck_accepted", "x", "09:00", from_=None, boat=LARGE)
    for name in "abx":
        phone.write("aboard", name, "09:01", boat=LARGE)
    phone.down("09:40")
    phone.up("10:05")
    for name in "ab":
        phone.back("10:08", name, boat=LARGE)
    phone.met("10:40", "abx", count="c1", boat=LARGE)
    return phone


def small() -> Phone:
    """The phone of the small boat: its deck, its team down at 10:30."""
    phone = Phone("p2", by="y")
    phone.write("deck_accepted", "y", "09:00", from_=None, boat=SMALL)
    for name in "cdy":
        phone.write("aboard", name, "09:01", boat=SMALL)
    phone.down("10:30", team="t2", members="cd")
    return phone


def left_while_down() -> list[Phone]:
    first, second = large(), small()
    first.write("departed", "trip", "10:45", place="site", boat=LARGE)
    return [first, second]


def picked_up() -> tuple[Phone, Phone]:
    """b of the large boat came up beside the small one; the large one knows it by radio."""
    first, second = Phone("p1", by="x"), Phone("p2", by="y")
    for phone, boat, names in ((first, LARGE, "abx"), (second, SMALL, "cdy")):
        phone.write("deck_accepted", names[-1], "09:00", from_=None, boat=boat)
        for name in names:
            phone.write("aboard", name, "09:01", boat=boat)
    first.down("09:40")
    first.write("surfaced_alone", "a", "10:05", team="t1", dive="d1", last_seen_at=at("10:00"))
    first.back("10:08", "a", boat=LARGE)
    second.back("10:12", "b", boat=SMALL)
    first.write("transferred", "b", "10:15", to="vessel", stays=True, boat=SMALL)
    first.met("10:20", "ax", count="c1", boat=LARGE)
    first.write("departed", "trip", "10:25", place="site", boat=LARGE)
    second.met("10:30", "bcdy", count="c2", boat=SMALL)
    return first, second


def days_of_two_boats() -> list[dict[str, Any]]:
    body = two_boat_body()
    gone, down = left_while_down()
    radio, met = picked_up()
    return [
        day(
            "boats-one-leaves",
            "the large boat leaves, the small one's team is down",
            body,
            [*gone.entries, *down.entries],
            at("10:50"),
        ),
        day(
            "boats-radio-only",
            "picked up by the other boat: as told by radio",
            body,
            radio.entries,
            at("10:50"),
        ),
        day("boats-radio-other", "the same on the boat that met her", body, met.entries, at("10:50")),
        day(
            "boats-radio-both",
            "the same when both logs have joined",
            body,
            [*radio.entries, *met.entries],
            at("10:50"),
        ),
        _counted_by_both(),
        _two_counts_each(),
        _unknown_boat(),
        _phone_of_one_lost(),
        _left_without(),
        _of_all(),
    ]


def _counted_by_both() -> dict[str, Any]:
    """Both name c at about the same time, by clocks that nobody compared well."""
    first, second = large(), small()
    second.up("10:55", team="t2", people="cd")
    first.write("clock_compared", "p1", "10:56", offset_ms=0, error_ms=120_000)
    first.met("11:00", "abcx", count="c3", boat=LARGE)
    second.met("11:01", "cdy", count="c4", boat=SMALL)
    log = [*first.entries, *second.entries]
    return day("boats-counted-by-both", "one name in both counts", two_boat_body(), log, at("11:05"))


def _two_counts_each() -> dict[str, Any]:
    """Two counters on each boat: four counts, of which no two of different boats are compared."""
    first, second = large(), small()
    second.up("10:55", team="t2", people="cd")
    for name in "cd":
        second.back("10:58", name, boat=SMALL)
    for phone, boat, names, by in ((first, LARGE, "abx", "xa"), (second, SMALL, "cdy", "yc")):
        for minute, counter in enumerate(by):
            told = {"count": f"{boat}{counter}", "method": "answered", "by": counter, "boat": boat}
            phone.write("roll_call_taken", "trip", f"11:0{minute + 1}", seen=list(names), **told)
            phone.write("count_finished", "trip", f"11:1{minute + 1}", heads=3, **told)
    log = [*second.entries, *first.entries]
    return day("boats-two-counts-each", "two counts on each boat", two_boat_body(2), log, at("11:20"))


def _unknown_boat() -> dict[str, Any]:
    first, second = large(), small()
    first.met("10:50", "c", count="c5", boat="elsewhere")
    second.write("departed", "trip", "10:52", place="site", boat="elsewhere")
    log = [*first.entries, *second.entries]
    return day("boats-unknown-boat", "a boat that the trip does not have", two_boat_body(), log, at("10:55"))


def _phone_of_one_lost() -> dict[str, Any]:
    first, second = large(), small()
    second.write("phone_lost", "trip", "10:45", boat=SMALL)
    log = [*first.entries, *second.entries]
    return day("boats-phone-lost", "the phone of one boat is gone", two_boat_body(), log, at("10:50"))


def _left_without() -> dict[str, Any]:
    """The small boat leaves with its team down: two of it decided so, which lets nobody leave on the large one."""
    first, second = large(), small()
    second.write("override", "trip", "10:41", rule="departure", with_="a", text_hash="ab" * 32, boat=SMALL)
    second.write("departed", "trip", "10:42", place="site", boat=SMALL)
    first.write("person_went_in", "a", "10:50", why="swim")
    log = [*first.entries, *second.entries]
    return day("boats-left-without", "one boat leaves two behind", two_boat_body(), log, at("10:55"))


def _of_all() -> dict[str, Any]:
    """Entries of a phone that knows nothing of boats: they are about both."""
    first, second = large(), small()
    second.up("10:55", team="t2", people="cd")
    old = Phone("p3", by="x")
    old.met("11:00", "abcdxy", count="c6")
    old.write("departed", "trip", "11:05", place="site")
    old.met("11:30", "abcdx", count="c7")
    log = [*first.entries, *second.entries, *old.entries]
    return day("boats-of-all", "counts and a departure that name no boat", two_boat_body(), log, at("11:35"))
