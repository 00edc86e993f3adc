"""What must not quieten the alarm ashore: entries that come late, a clock that no calendar has, a contact erased."""

from __future__ import annotations

import pytest
from django.core import mail

from teamdive.reminders import rules, services_shore
from teamdive.reminders.models import Reminder, ShoreWatch
from teamdive.trips.models import ShoreContact
from teamdive.trips.services import UnableToKeepTrip
from tests.boat_scene import Phone
from tests.shore_cast import Shore, hand_in, left_port, say, sweep, told, utc

pytestmark = pytest.mark.django_db


def of_the_morning() -> Phone:
    """Another phone, whose one entry of the morning reaches the server long after it was written."""
    phone = Phone("p2")
    phone.write("marker_seen", "t1", "09:50")
    return phone


def test_entries_of_another_phone_that_come_late_end_no_overdue_alarm(shore: Shore) -> None:
    phone = left_port()
    phone.down("09:40")
    phone.write("marker_seen", "t1", "10:38")
    hand_in(shore, phone, "10:39")
    sweep(shore, "10:40")
    assert told() == ["ALARM", "Float plan"]
    hand_in(shore, of_the_morning(), "11:10")
    sweep(shore, "11:11")
    assert told() == ["ALARM", "Float plan", "ALARM"]
    phone.up("11:12")
    hand_in(shore, phone, "11:13")
    sweep(shore, "11:14")
    assert told()[3:] == ["The alarm is over"]
    assert "nobody that you were called about is missing or overdue any more" in mail.outbox[-1].body


def test_entries_of_another_phone_that_come_late_bring_nobody_back(shore: Shore) -> None:
    phone = left_port()
    phone.down("09:40")
    phone.write("surfaced", "t1", "10:05", dive="d1", people=["a"])
    phone.back("10:10", "a")
    phone.write("departed", "trip", "10:51", place="site")
    hand_in(shore, phone, "10:52")
    sweep(shore, "10:53")
    hand_in(shore, of_the_morning(), "11:30")
    sweep(shore, "11:30")
    assert told() == ["ALARM", "Float plan", "ALARM"]


def test_who_was_in_the_water_before_they_were_written_down_is_missed(shore: Shore) -> None:
    phone = left_port()
    phone.write("person_went_in", "v", "09:40")
    phone.write("departed", "trip", "10:51", place="site")
    phone.write("joined", "v", "10:55", role="visitor", dives=False, can_lead=False)
    hand_in(shore, phone, "10:56")
    sweep(shore, "10:57")
    assert told() == ["ALARM", "Float plan"]


def test_a_log_with_an_instant_of_no_calendar_keeps_no_alarm_back(shore: Shore) -> None:
    phone = left_port()
    phone.write("marker_seen", "t1", 2**53 - 2, wall="09:50")
    hand_in(shore, phone, "10:00")
    sweep(shore, "17:00")
    assert ShoreWatch.objects.get().last_error == ""
    assert told() == ["ALARM", "Float plan"]


def test_the_last_who_is_reached_is_not_erased_while_the_boat_is_waited_for(shore: Shore) -> None:
    services_shore.erase(contact=shore.mailed, now=utc("09:00"))
    with pytest.raises(UnableToKeepTrip) as refused:
        services_shore.erase(contact=shore.member, now=utc("09:01"))
    assert refused.value.code == "nobody_ashore"
    assert ShoreContact.objects.get(pk=shore.member.pk).name == "Edda Lorn"
    sweep(shore, "17:00")
    alarm = Reminder.objects.get(call=rules.ALARM, state=rules.SENT)
    assert alarm.contact == shore.member
    say(shore, "home", "17:10")
    services_shore.erase(contact=shore.member, now=utc("17:11"))
    assert ShoreContact.objects.get(pk=shore.member.pk).name == "(erased)"
