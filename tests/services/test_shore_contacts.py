"""The float plan and those who are told it: told once and again, their links, who may be ashore, who is erased."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core import mail

from teamdive.people.models import Club, Diver
from teamdive.reminders import selectors_shore, services_shore
from teamdive.reminders.models import InboxMessage, Reminder
from teamdive.trips import services_shore as trips
from teamdive.trips.models import ShoreContact, ShoreSaid
from teamdive.trips.services import UnableToKeepTrip
from tests.shore_cast import (
    BRYN,
    Shore,
    say,
    stands,
    sweep,
    utc,
)

pytestmark = pytest.mark.django_db


def test_the_float_plan_is_told_once_and_again_when_it_changes(shore: Shore) -> None:
    sweep(shore, "08:01")
    sweep(shore, "08:02")
    assert [message.to for message in mail.outbox] == [[BRYN]]
    sent = mail.outbox[0]
    assert sent.subject == "Float plan: Two dives at the Teeth, back by Saturday 17:00"
    for told in (
        "3 people: Person 0, Person 1 and Person 2",
        "Harbour watch, 555 0100",
        "Back by Saturday 17:00",
    ):
        assert told in sent.body
    assert "/ashore/" in sent.body
    assert [message.user for message in InboxMessage.objects.all()] == [shore.account]
    kept = [{"id": shore.mailed.pk, "name": "Bryn Tal", "email": BRYN}]
    services_shore.change(
        trip=shore.club.trip,
        back_by=utc("18:00"),
        if_not_heard="",
        contacts=kept,
        positions={},
        now=utc("09:00"),
    )
    sweep(shore, "09:01")
    assert [message.subject[-5:] for message in mail.outbox] == ["17:00", "18:00"]
    assert InboxMessage.objects.count() == 1  # who was taken off is told no more


def test_a_link_is_signed_and_ends_with_the_duty(shore: Shore) -> None:
    token = selectors_shore.token_of(shore.mailed)
    assert selectors_shore.contact_by(token, utc("12:00")) == shore.mailed
    assert selectors_shore.contact_by(token[:-1] + ("A" if token[-1] != "A" else "B"), utc("12:00")) is None
    assert selectors_shore.contact_by(str(shore.mailed.pk), utc("12:00")) is None
    later = utc("17:00") + timedelta(days=30)
    assert selectors_shore.contact_by(token, later) == shore.mailed  # nobody has said that they are home
    say(shore, "home", "16:00")
    assert selectors_shore.contact_by(token, utc("17:00") + timedelta(hours=48)) == shore.mailed
    assert selectors_shore.contact_by(token, utc("17:00") + timedelta(hours=49)) is None
    ShoreContact.objects.filter(pk=shore.mailed.pk).update(removed_at=utc("12:00"))
    assert selectors_shore.contact_by(token, utc("12:00")) is None


def test_a_contact_is_erased_and_what_was_told_when_stays(shore: Shore) -> None:
    sweep(shore, "17:00")
    say(shore, "acknowledged", "17:01", contact=shore.mailed)
    before = Reminder.objects.filter(contact=shore.mailed).count()
    trips.erase_contact(contact=shore.mailed, now=utc("20:00"))
    erased = ShoreContact.objects.get(pk=shore.mailed.pk)
    assert (erased.name, erased.email, erased.phone, erased.diver) == ("(erased)", "", "", None)
    assert ShoreSaid.objects.get().by == "(erased)"
    assert Reminder.objects.filter(contact=shore.mailed).count() == before


def test_who_is_on_the_boat_or_of_another_club_is_not_ashore(shore: Shore) -> None:
    other = Diver.objects.create(club=Club.objects.create(name="Sallow Head divers"), name="Otto Grey")
    for diver, code in ((shore.club.divers[0], "on_the_boat"), (other, "other_club")):
        with pytest.raises(UnableToKeepTrip) as refused:
            services_shore.change(
                trip=shore.club.trip,
                back_by=utc("17:00"),
                if_not_heard="",
                contacts=[{"diver": diver}],
                positions={},
                now=utc("09:00"),
            )
        assert refused.value.code == code


def test_a_waiting_boat_cannot_be_forgotten_by_taking_the_time_away(shore: Shore) -> None:
    for back_by, contacts, code in (
        (None, [{"name": "Bryn Tal", "email": BRYN}], "alarm_is_armed"),
        (utc("17:00"), [], "nobody_ashore"),
        (utc("07:00"), [{"name": "Bryn Tal", "email": BRYN}], "back_by_before_start"),
        (utc("17:00"), [{"name": "Bryn Tal", "phone": "555"}], "contact_not_reached"),
    ):
        with pytest.raises(UnableToKeepTrip) as refused:
            services_shore.change(
                trip=shore.club.trip,
                back_by=back_by,
                if_not_heard="",
                contacts=contacts,
                positions={},
                now=utc("09:00"),
            )
        assert refused.value.code == code
    assert stands(shore, "09:00") == "armed"


def test_a_position_of_a_site_that_is_not_there_is_refused_and_not_dropped(shore: Shore) -> None:
    with pytest.raises(UnableToKeepTrip) as refused:
        services_shore.change(
            trip=shore.club.trip,
            back_by=utc("17:00"),
            if_not_heard="",
            contacts=[{"name": "Bryn Tal", "email": BRYN}],
            positions={uuid4(): "37 44.1 N 25 39.9 W"},
            now=utc("09:00"),
        )
    assert (refused.value.code, refused.value.errors[0]["pointer"]) == ("other_club", "/positions/0/site")
