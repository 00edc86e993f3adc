"""The table of reminders: equal to what is wanted, claimed once, finished once, never blocked by a bad row."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from teamdive.reminders import rules, services
from teamdive.reminders.models import InboxMessage, Reminder
from tests import reminders_cast as cast
from tests.reminders_cast import NOON

pytestmark = pytest.mark.django_db


class Breaks:
    """A channel that refuses one kind of call."""

    def send(self, call: object) -> None:
        if call.kind == rules.NO_FLY_PASSED:
            raise ConnectionError("the far side hung up")


@pytest.fixture
def club() -> cast.Cast:
    return cast.make()


def reconcile(club: cast.Cast, *wanted: rules.Wanted) -> rules.Changes:
    return services.reconcile(trip=club.trip, wanted=wanted, now=NOON - timedelta(hours=1))


def test_a_wanted_reminder_waits_until_it_is_due_and_is_delivered_once(club: cast.Cast) -> None:
    reconcile(club, cast.interval(club.divers[0].pk))
    assert services.deliver_due(now=NOON - timedelta(seconds=1)) == 0
    assert services.deliver_due(now=NOON) == 1
    assert services.deliver_due(now=NOON) == 0
    message = InboxMessage.objects.get()
    assert message.user == club.users[0]
    # Noon UTC in June is 12:00 in the Azores (UTC-1, one hour of summer time: IANA time zone database).
    assert message.text == (
        "At 12:00 your surface interval reached what dive 2 (18 m, 30 min) needs. "
        "If your own computer asks for longer, wait for it."
    )
    assert Reminder.objects.get().state == rules.SENT


def test_the_no_fly_message_is_no_clearance(club: cast.Cast) -> None:
    reconcile(club, cast.no_fly(club.divers[0].pk))
    services.deliver_due(now=NOON)
    assert InboxMessage.objects.get().text == (
        "Saturday 12:00: the waiting time from these dives has passed; this is not a clearance to fly."
    )


def test_reconcile_twice_is_once(club: cast.Cast) -> None:
    wanted = [cast.interval(club.divers[0].pk), cast.no_fly(club.divers[1].pk)]
    assert reconcile(club, *wanted).make == tuple(wanted)
    before = list(Reminder.objects.values())
    assert not reconcile(club, *wanted)
    assert list(Reminder.objects.values()) == before


def test_a_changed_instant_moves_a_waiting_reminder(club: cast.Cast) -> None:
    diver = club.divers[0].pk
    reconcile(club, cast.interval(diver, subject="dive 2"))
    later = NOON + timedelta(minutes=20)
    reconcile(club, cast.interval(diver, later, subject="dive 2"))
    assert services.deliver_due(now=NOON) == 0
    assert services.deliver_due(now=later) == 1


def test_what_is_withdrawn_is_cancelled_and_can_come_back(club: cast.Cast) -> None:
    one = cast.interval(club.divers[0].pk)
    reconcile(club, one)
    reconcile(club)
    assert Reminder.objects.get().state == rules.CANCELLED
    assert services.deliver_due(now=NOON) == 0
    reconcile(club, one)
    assert services.deliver_due(now=NOON) == 1


def test_what_was_sent_stays_sent_and_says_what_changed(club: cast.Cast) -> None:
    diver = club.divers[0].pk
    reconcile(club, cast.interval(diver, subject="dive 2"))
    services.deliver_due(now=NOON)
    reconcile(club, cast.interval(diver, NOON + timedelta(minutes=20), subject="dive 2"))
    assert services.deliver_due(now=NOON + timedelta(hours=1)) == 0
    row = Reminder.objects.get()
    assert row.state == rules.SENT
    since = rules.said_since(row.message.due_at, row.due_at, row.stands, "Atlantic/Azores")
    assert since == "The record has changed since: the time is now Saturday 12:20."
    reconcile(club)
    row.refresh_from_db()
    assert (row.state, row.stands) == (rules.SENT, False)
    assert InboxMessage.objects.count() == 1


def test_going_down_on_the_dive_withdraws_nothing_that_was_said(club: cast.Cast) -> None:
    told, waiting = (cast.interval(diver.pk, subject="dive 2") for diver in club.divers)
    services.reconcile(trip=club.trip, wanted=[told], now=NOON)
    services.deliver_due(now=NOON)
    services.reconcile(trip=club.trip, wanted=[told, waiting], now=NOON)
    services.reconcile(trip=club.trip, wanted=[], over={told.key, waiting.key}, now=NOON)
    rows = {row.diver_id: row for row in Reminder.objects.all()}
    assert (rows[told.diver].state, rows[told.diver].stands) == (rules.SENT, True)
    assert rows[waiting.diver].state == rules.CANCELLED


def test_a_claim_is_had_once_and_ends_with_its_lease(club: cast.Cast) -> None:
    reconcile(club, *(cast.no_fly(diver.pk) for diver in club.divers))
    first = services.claim(now=NOON)
    assert len(first) == 2
    assert services.claim(now=NOON + services.lease() - timedelta(milliseconds=1)) == []
    second = services.claim(now=NOON + services.lease())
    assert {row.pk for row in second} == {row.pk for row in first}
    assert {row.fence for row in second}.isdisjoint({row.fence for row in first})


def test_whoever_lost_the_lease_finishes_nothing(club: cast.Cast) -> None:
    reconcile(club, cast.no_fly(club.divers[0].pk))
    (slow,) = services.claim(now=NOON)
    (quick,) = services.claim(now=NOON + services.lease())
    services.deliver(reminders=[slow], now=NOON)
    assert InboxMessage.objects.count() == 0
    assert Reminder.objects.get().fence == quick.fence
    services.deliver(reminders=[quick], now=NOON)
    assert Reminder.objects.get().state == rules.SENT
    services.deliver(reminders=[slow], now=NOON)
    assert InboxMessage.objects.count() == 1
    assert Reminder.objects.get().state == rules.SENT


def test_of_a_batch_only_what_is_still_ours_is_finished(club: cast.Cast) -> None:
    reconcile(club, *(cast.no_fly(diver.pk) for diver in club.divers))
    batch = services.claim(now=NOON)
    lost = batch[0]
    Reminder.objects.filter(pk=lost.pk).update(fence=uuid4())
    services.deliver(reminders=batch, now=NOON)
    assert {row.pk: row.state for row in Reminder.objects.all()} == {
        lost.pk: rules.CLAIMED,
        batch[1].pk: rules.SENT,
    }
    assert InboxMessage.objects.get().reminder_id == batch[1].pk


def test_one_row_that_cannot_be_worded_holds_up_none_of_its_batch(club: cast.Cast) -> None:
    reconcile(club, *(cast.no_fly(diver.pk) for diver in club.divers))
    bad = Reminder.objects.first()
    assert bad is not None
    Reminder.objects.filter(pk=bad.pk).update(facts={})
    services.deliver_due(now=NOON)
    assert InboxMessage.objects.count() == 1
    bad.refresh_from_db()
    assert (bad.state, bad.last_error) == (rules.WAITING, "KeyError: 'time_zone'")


def test_a_correction_takes_a_claimed_reminder_back(club: cast.Cast) -> None:
    diver = club.divers[0].pk
    reconcile(club, cast.interval(diver, subject="dive 2"))
    (held,) = services.claim(now=NOON)
    reconcile(club, cast.interval(diver, NOON + timedelta(minutes=20), subject="dive 2"))
    services.deliver(reminders=[held], now=NOON)
    assert InboxMessage.objects.count() == 0
    assert Reminder.objects.get().state == rules.WAITING


def test_a_reminder_that_throws_blocks_nobody_and_fails_for_all_to_see(
    club: cast.Cast, settings: object
) -> None:
    settings.TEAMDIVE_CHANNELS = (f"{__name__}.Breaks",)
    reconcile(club, cast.no_fly(club.divers[0].pk), cast.interval(club.divers[1].pk))
    assert services.deliver_due(now=NOON) == 2
    bad = Reminder.objects.get(kind=rules.NO_FLY_PASSED)
    assert Reminder.objects.get(kind=rules.SURFACE_INTERVAL_REACHED).state == rules.SENT
    assert (bad.state, bad.try_at) == (rules.WAITING, NOON + timedelta(seconds=5))
    waits = []
    now = NOON
    while bad.state == rules.WAITING:
        waits.append(bad.try_at - now)
        now = bad.try_at
        assert services.deliver_due(now=now - timedelta(milliseconds=1)) == 0
        services.deliver_due(now=now)
        bad.refresh_from_db()
    assert [wait.seconds for wait in waits] == [
        5,
        10,
        20,
        40,
        80,
        160,
        320,
        640,
        *[900] * (rules.ATTEMPTS - 9),
    ]
    assert (bad.state, bad.attempts) == (rules.FAILED, rules.ATTEMPTS)
    assert bad.last_error == "ConnectionError: the far side hung up"
    assert InboxMessage.objects.count() == 1


def test_a_reminder_whose_workers_die_silently_fails_as_well(club: cast.Cast) -> None:
    reconcile(club, cast.no_fly(club.divers[0].pk))
    now = NOON
    for _ in range(rules.ATTEMPTS):
        assert len(services.claim(now=now)) == 1
        now += services.lease()
    assert services.deliver_due(now=now) == 0
    row = Reminder.objects.get()
    assert (row.state, row.last_error) == (
        rules.FAILED,
        "The worker ended while sending, at every attempt.",
    )


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ("account", "This diver has no account: tell them yourself."),
        ("closed", "This diver's account is closed."),
        ("member", "This diver is no longer a member of the club."),
        ("booking", "This diver is no longer on the trip."),
    ],
)
def test_permission_is_asked_again_when_it_is_delivered(club: cast.Cast, change: str, why: str) -> None:
    diver, user = club.divers[0], club.users[0]
    reconcile(club, cast.no_fly(diver.pk), cast.no_fly(club.divers[1].pk))
    claimed = services.claim(now=NOON)
    if change == "account":
        diver.user = None
        diver.save()
    elif change == "closed":
        user.is_active = False
        user.save()
    elif change == "member":
        user.memberships.all().delete()
    else:
        club.bookings[0].cancelled_at = NOON
        club.bookings[0].save()
    services.deliver(reminders=claimed, now=NOON)
    row = Reminder.objects.get(diver=diver)
    assert (row.state, row.last_error) == (rules.WITHHELD, why)
    assert [message.user for message in InboxMessage.objects.all()] == [club.users[1]]


def test_the_account_that_a_diver_has_at_delivery_is_told(club: cast.Cast) -> None:
    diver, old = club.divers[0], club.users[0]
    reconcile(club, cast.no_fly(diver.pk))
    other = club.users[1]
    club.divers[1].user = None
    club.divers[1].save()
    diver.user = other
    diver.save()
    services.deliver_due(now=NOON)
    assert [message.user for message in InboxMessage.objects.all()] == [other] != [old]


def test_the_database_itself_refuses_a_second_row_and_a_second_message(club: cast.Cast) -> None:
    reconcile(club, cast.no_fly(club.divers[0].pk))
    services.deliver_due(now=NOON)
    row = Reminder.objects.get()
    with pytest.raises(IntegrityError), transaction.atomic():
        InboxMessage.objects.create(reminder=row, user=club.users[1], text="again", due_at=NOON, sent_at=NOON)
    row.pk = uuid4()
    row._state.adding = True
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


def test_a_batch_is_small_and_alarms_come_first(club: cast.Cast) -> None:
    reconcile(club, *(cast.no_fly(club.divers[0].pk) for _ in range(services.BATCH + 5)))
    last = Reminder.objects.order_by("-id").first()
    assert last is not None
    Reminder.objects.filter(pk=last.pk).update(call=rules.ALARM, try_at=NOON)
    batch = services.claim(now=timezone.now().replace(year=2030))
    assert len(batch) == services.BATCH
    assert batch[0].pk == last.pk
