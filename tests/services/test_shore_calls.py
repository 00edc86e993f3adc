"""The alarm ashore: who is called when, and what stops a call.

How often a contact is called and when the next one is called as well is the club's own setting (no figure is
published); that an alarm goes on to the next named person until one has it is common practice, no source.
"""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core import mail

from teamdive.reminders import delivery, rules, selectors_shore, services, services_shore
from teamdive.reminders.models import Reminder, ShoreWatch
from teamdive.trips.models import ShoreContact
from tests.shore_cast import (
    BRYN,
    Shore,
    called,
    say,
    stands,
    sweep,
    utc,
)

pytestmark = pytest.mark.django_db


def test_silence_at_sea_is_no_alarm_before_back_by_and_one_at_it(shore: Shore) -> None:
    sweep(shore, "16:59")
    assert called() == [] and stands(shore, "16:59") == "armed"
    sweep(shore, "17:00")
    assert called() == [("back_by_passed", "Bryn Tal", 0)] and stands(shore, "17:00") == "raised"
    alarm = mail.outbox[-1]
    assert alarm.subject == "ALARM: Two dives at the Teeth, 3 people"
    assert "had to be back by Saturday 17:00, and nobody has said that all are home" in alarm.body
    assert "Nothing was heard of the boat yet" in alarm.body and "They decide what is done" in alarm.body
    assert alarm.extra_headers["Importance"] == "high"


def test_it_calls_until_a_named_person_has_it_and_goes_on_to_the_next(shore: Shore) -> None:
    for minute in range(60, 60 + 26):  # 17:00 to 17:25, one sweep a minute
        sweep(shore, f"{16 + minute // 60}:{minute % 60:02d}")
    assert called() == [
        ("back_by_passed", "Bryn Tal", 0),
        ("back_by_passed", "Bryn Tal", 1),
        ("back_by_passed", "Bryn Tal", 2),
        ("back_by_passed", "Bryn Tal", 3),
        ("back_by_passed", "Edda Lorn", 3),
        ("back_by_passed", "Bryn Tal", 4),
        ("back_by_passed", "Edda Lorn", 4),
        ("back_by_passed", "Bryn Tal", 5),
        ("back_by_passed", "Edda Lorn", 5),
    ]
    say(shore, "acknowledged", "17:26", by="Edda Lorn", contact=shore.member)
    sweep(shore, "18:30")
    assert len(called()) == 9 and stands(shore, "18:30") == "acknowledged"
    say(shore, "home", "18:40")
    assert stands(shore, "18:40") == "home"
    sweep(shore, "18:41")
    assert mail.outbox[-1].subject == "All home: Two dives at the Teeth"
    assert "Bryn Tal said so Saturday 18:40" in mail.outbox[-1].body


def test_a_worker_that_was_away_makes_the_call_of_the_moment_not_all_it_missed(shore: Shore) -> None:
    sweep(shore, "08:01")
    mail.outbox.clear()
    sweep(shore, "18:02")
    assert called() == [("back_by_passed", "Bryn Tal", 7), ("back_by_passed", "Edda Lorn", 7)]
    assert len(mail.outbox) == 1


def test_a_name_that_has_it_before_back_by_was_moved_quietens_nothing_new(shore: Shore) -> None:
    sweep(shore, "17:00")
    say(shore, "acknowledged", "17:01")
    kept = [{"id": shore.mailed.pk, "name": "Bryn Tal", "email": BRYN}]
    services_shore.change(
        trip=shore.club.trip,
        back_by=utc("19:00"),
        if_not_heard="",
        contacts=kept,
        positions={},
        now=utc("17:05"),
    )
    assert stands(shore, "17:05") == "armed"
    sweep(shore, "19:00")
    assert stands(shore, "19:00") == "raised" and called()[-1] == ("back_by_passed", "Bryn Tal", 0)


def test_mail_that_fails_stops_no_other_channel_and_is_seen(shore: Shore, settings: object) -> None:
    settings.MAIL_SET_UP = False
    say(shore, "acknowledged", "08:05")
    sweep(shore, "17:00")
    sweep(shore, "17:16")
    rows = {
        row.contact.name: row for row in Reminder.objects.filter(call=rules.ALARM, subject__endswith=" 3")
    }
    assert rows["Edda Lorn"].state == rules.SENT
    assert rows["Bryn Tal"].state == rules.WAITING
    assert "this installation sends no mail" in rows["Bryn Tal"].last_error
    # Somebody with both: told in the app although the mail failed, and the failure stands beside it.
    ShoreContact.objects.filter(pk=shore.member.pk).update(email="edda@skerry.example")
    sweep(shore, "17:20")
    both = Reminder.objects.get(call=rules.ALARM, contact=shore.member, subject__endswith=" 4")
    assert both.state == rules.SENT and "sends no mail" in both.last_error
    told = Reminder.objects.get(kind="float_plan", contact=shore.member)
    assert told.state == rules.SENT and "/ashore/" not in told.message.text
    seen = selectors_shore.reached(shore.plan)
    assert {one.state for one in seen} >= {rules.SENT, rules.WAITING}


def test_an_alarm_held_by_a_worker_that_died_is_made_by_the_next(shore: Shore) -> None:
    sweep(shore, "08:01")
    mail.outbox.clear()
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:00"))
    assert len(services.claim(now=utc("17:00"))) == 1  # and then kill -9
    assert services.deliver_due(now=utc("17:00")) == 0
    assert services.deliver_due(now=utc("17:00") + delivery.lease()) == 1
    assert len(mail.outbox) == 1


def test_a_look_that_is_older_changes_nothing(shore: Shore) -> None:
    sweep(shore, "17:10")
    assert not services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:09"))
    assert ShoreWatch.objects.get().look_again_at == utc("17:15")
    rows = Reminder.objects.filter(call=rules.ALARM)
    assert [row.state for row in rows] == [rules.SENT]


def test_a_clock_that_was_put_back_keeps_no_alarm_waiting(shore: Shore) -> None:
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:00") + timedelta(days=365))
    Reminder.objects.filter(call=rules.ALARM).delete()
    sweep(shore, "17:00")
    assert called() == [("back_by_passed", "Bryn Tal", 0)]
