"""What ends the duty ashore, and what brings it back: home by word or by the boat log, the rescue service having it."""

from __future__ import annotations

import pytest
from django.core import mail

from teamdive.reminders import rules, services, services_shore
from teamdive.reminders.models import Reminder
from tests.boat_scene import Phone
from tests.shore_cast import (
    Shore,
    a_day,
    called,
    hand_in,
    left_without_b,
    say,
    stands,
    sweep,
    told,
    utc,
)

pytestmark = pytest.mark.django_db


def test_all_home_takes_a_call_back_that_a_worker_holds(shore: Shore) -> None:
    sweep(shore, "08:01")
    mail.outbox.clear()
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:00"))
    held = services.claim(now=utc("17:00"))
    assert [row.kind for row in held] == ["back_by_passed"]
    say(shore, "home", "17:00")
    services.deliver(reminders=held, now=utc("17:00"))
    assert mail.outbox == []
    assert Reminder.objects.get(pk=held[0].pk).state == rules.CANCELLED


def test_who_said_home_by_mistake_puts_the_alarm_back(shore: Shore) -> None:
    sweep(shore, "17:00")
    say(shore, "home", "17:02")
    sweep(shore, "17:03")
    say(shore, "not_home", "17:04")
    sweep(shore, "17:05")
    assert stands(shore, "17:05") == "raised"
    assert called()[-1] == ("back_by_passed", "Bryn Tal", 0)  # raised anew, from the first call on
    # Everyone who was told that all are home is told that they wait again.
    assert told()[-2:] == [
        "ALARM",
        "Float plan, you wait again",
    ]
    assert mail.outbox[-1].body.startswith("You wait for this boat again: that all are home no longer holds.")


def test_a_boat_that_goes_out_again_after_its_end_is_waited_for_again(shore: Shore) -> None:
    phone = a_day()
    hand_in(shore, phone, "11:40")
    sweep(shore, "11:41")
    phone.down("12:30", dive="d2", team="t1b")
    hand_in(shore, phone, "12:31")
    for moment in ("12:32", "12:33", "12:34"):
        sweep(shore, moment)
    assert stands(shore, "12:34") == "armed"
    assert told() == [
        "All home",
        "Float plan, you wait again",
    ]
    sweep(shore, "17:00")
    assert called() == [("back_by_passed", "Bryn Tal", 0)]


def test_the_rescue_service_having_it_ends_the_calls_and_is_no_home(shore: Shore) -> None:
    sweep(shore, "17:00")
    say(shore, "handed_over", "17:03")
    sweep(shore, "18:00")
    assert stands(shore, "18:00") == "handed_over" and len(called()) == 1
    say(shore, "home", "19:00")
    assert stands(shore, "19:00") == "home"


def test_the_end_of_the_trip_in_the_boat_log_ends_the_duty(shore: Shore) -> None:
    hand_in(shore, a_day(), "11:40")
    sweep(shore, "11:41")
    assert stands(shore, "11:41") == "home"
    assert "Person 2 said so Saturday 11:40" in mail.outbox[-1].body
    sweep(shore, "17:00")
    assert called() == []


def test_an_end_with_somebody_not_accounted_for_ends_nothing(shore: Shore) -> None:
    phone = left_without_b()
    phone.met("11:25", "as", count="c3", place="site")
    phone.write("trip_ended", "trip", "11:30")
    hand_in(shore, phone, "11:40")
    sweep(shore, "11:42")
    assert stands(shore, "11:42") == "raised"
    assert called() == [("not_accounted_for", "Bryn Tal", 0)]


def test_a_boat_that_goes_out_again_is_not_home_whoever_said_so(shore: Shore) -> None:
    phone = a_day(home=False)
    hand_in(shore, phone, "11:00")
    say(shore, "home", "11:40")
    assert stands(shore, "11:41") == "home"
    # Entries of before that come late change nothing of it.
    late = Phone("p2")
    late.write("note", "trip", "10:00")
    hand_in(shore, late, "12:00")
    assert stands(shore, "12:01") == "home"
    phone.down("14:00", dive="d2")
    hand_in(shore, phone, "14:05")
    assert stands(shore, "14:06") == "armed"
    sweep(shore, "17:00")
    assert ("back_by_passed", "Bryn Tal", 0) in called()


def test_a_trip_called_off_on_the_quay_ends_in_the_boat_log(shore: Shore) -> None:
    phone = Phone("p1")
    phone.holds("08:10", "s")
    for person in "abs":
        phone.write("ashore", person, "08:20")
    phone.write("trip_ended", "trip", "08:25")
    hand_in(shore, phone, "08:26")
    sweep(shore, "08:27")
    assert stands(shore, "08:27") == "home" and stands(shore, "17:01") == "home"
    assert mail.outbox[-1].subject == "All home: Two dives at the Teeth"


def test_all_home_is_told_once_whoever_else_says_it(shore: Shore) -> None:
    sweep(shore, "08:01")
    mail.outbox.clear()
    say(shore, "home", "11:35")
    sweep(shore, "11:36")
    hand_in(shore, a_day(), "11:40")
    sweep(shore, "11:41")
    other = Phone("p2")
    other.write("trip_ended", "trip", "11:32")
    hand_in(shore, other, "12:10")
    sweep(shore, "12:11")
    say(shore, "home", "12:20", by="Edda Lorn")
    sweep(shore, "12:21")
    assert told() == ["All home"]
    say(shore, "not_home", "12:30")
    sweep(shore, "12:31")
    say(shore, "home", "12:40")
    sweep(shore, "12:41")
    assert told()[1:] == [
        "Float plan, you wait again",
        "All home",
    ]


def test_a_phone_hours_fast_ends_no_day_that_goes_on(shore: Shore) -> None:
    """Its end of the trip, stamped in the afternoon, reached the server before the boat had left."""
    fast = Phone("p2")
    fast.write("trip_ended", "trip", "13:00")
    hand_in(shore, fast, "08:25")
    phone = a_day(home=False)
    hand_in(shore, phone, "10:40")
    sweep(shore, "10:41")
    assert stands(shore, "10:41") == "armed"
    phone.write("trip_ended", "trip", "11:30")
    hand_in(shore, phone, "11:40")
    sweep(shore, "11:41")
    assert stands(shore, "11:41") == "home"


def test_a_log_that_comes_after_the_end_and_has_somebody_in_the_water_ends_it_no_more(shore: Shore) -> None:
    hand_in(shore, a_day(), "11:40")
    sweep(shore, "11:41")
    other = Phone("p2")
    other.write("person_went_in", "b", "11:28")
    hand_in(shore, other, "12:30")
    sweep(shore, "12:31")
    assert stands(shore, "12:31") == "armed"
    assert mail.outbox[-1].subject.startswith("Float plan, you wait again")
    sweep(shore, "17:00")
    assert called() == [("back_by_passed", "Bryn Tal", 0)]
