"""Two boats that somebody ashore waits for: each leaves its own people alone, and home is everyone of both."""

from __future__ import annotations

import json

import pytest
from django.core import mail

from teamdive.boatlog import snapshot
from teamdive.reminders import rules_shore, selectors_shore
from teamdive.reminders.models import Reminder
from teamdive.trips.models import Boat
from tests.boat_scene import Phone, uid
from tests.shore_cast import Shore, hand_in, sweep, utc

pytestmark = pytest.mark.django_db


def stands(shore: Shore, at: str) -> str:
    shore.plan.refresh_from_db()
    return rules_shore.stands(selectors_shore.duty(shore.club.trip, shore.plan), utc(at))


def on_two_boats(shore: Shore) -> tuple[Phone, Phone]:
    """Persons 0 and 2 on one boat, person 1 on the other: their phones until person 1 is down at 09:40."""
    trip = shore.club.trip
    names = {"l": "Grey Petrel", "r": "Tern"}
    boats = {
        mark: Boat.objects.create(id=uid(mark), club=trip.club, name=name) for mark, name in names.items()
    }
    plan = json.loads(trip.snapshot.canonical)
    for person in plan["people"]:
        mark = "r" if person["id"] == uid("b") else "l"
        person["boat"] = uid(mark)
        trip.bookings.filter(pk=person["id"]).update(boat=boats[mark])
    trip.snapshot.canonical, trip.snapshot.hash = snapshot.make(plan)
    trip.snapshot.save()
    first, second = Phone("p1"), Phone("p2", by="b")
    for phone, mark, people in ((first, "l", "as"), (second, "r", "b")):
        phone.met("08:20", people, count=f"c{mark}", place="port", boat=mark)
        phone.write("departed", "trip", "08:30", place="port", boat=mark)
    second.down("09:40", members="b")
    first.met("09:50", "as", count="c3", place="site", boat="l")
    first.write("departed", "trip", "09:51", place="site", boat="l")
    return first, second


def test_a_boat_that_leaves_while_another_one_s_diver_is_down_calls_nobody(shore: Shore) -> None:
    first, second = on_two_boats(shore)
    hand_in(shore, second, "09:52")
    hand_in(shore, first, "09:53")
    sweep(shore, "09:54")
    assert not Reminder.objects.filter(kind=rules_shore.NOT_ACCOUNTED_FOR).exists()
    page = selectors_shore.page(shore.club.trip, shore.plan, utc("09:54"))
    assert "Last heard: Grey Petrel left its site, Saturday 09:51" in page.heard
    second.write("departed", "trip", "09:56", place="site", boat="r")
    hand_in(shore, second, "09:57")
    sweep(shore, "09:58")
    (text,) = [message.body for message in mail.outbox if message.subject.startswith("ALARM")]
    assert "A boat left the site without Person 1 (Tern): not accounted for." in text


def test_home_by_the_log_needs_everyone_of_every_boat(shore: Shore) -> None:
    first, second = on_two_boats(shore)
    first.write("trip_ended", "trip", "10:30")
    hand_in(shore, first, "10:31")
    hand_in(shore, second, "10:32")
    sweep(shore, "10:33")
    assert stands(shore, "10:33") != "home"
    second.up("10:05", people="b")
    second.write("back_aboard", "b", "10:10", boat="r")
    hand_in(shore, second, "10:40")
    sweep(shore, "10:41")
    assert stands(shore, "10:41") == "home"
