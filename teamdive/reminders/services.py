"""What is written: the table made equal to the record, claims and deliveries, and what a reader has read."""

import logging
from collections.abc import Collection, Iterable
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import F

from teamdive.deck import services as deck
from teamdive.trips.models import Trip
from teamdive.web.problems import Unable

from . import rules, selectors, services_shore
from .delivery import BATCH, claim, deliver, deliver_due, finished, lease, said
from .models import InboxMessage, Reminder, Seen

__all__ = [
    "BATCH",
    "UnableToRead",
    "claim",
    "deliver",
    "deliver_due",
    "lease",
    "read",
    "reconcile",
    "take_in",
]

log = logging.getLogger(__name__)


class UnableToRead(Unable):
    """There is no such message in the reader's inbox."""

    code = "no_such_message"
    status = 404


def take_in(*, trip_id: UUID, now: datetime) -> bool:
    """Take in what a trip's boat log holds that was not seen: who is in which group, then the reminders.

    Returns whether there was anything new. A log that cannot be taken in is put off, and raises nothing.
    """
    try:
        return _take_in(trip_id, now)
    except Exception as error:  # one trip's log must not keep the others from being taken in
        log.exception("the boat log of trip %s could not be taken in", trip_id)
        _put_off(trip_id, error, now)
        # Whatever else could not be worked out of it: who is missing is looked at all the same.
        services_shore.look(trip_id=trip_id, now=now)
        return False


def reconcile(
    *,
    trip: Trip,
    wanted: Iterable[rules.Wanted],
    now: datetime,
    over: Collection[rules.Key] = frozenset(),
) -> rules.Changes:
    """Make the trip's reminders equal to what is wanted; twice is the same as once."""
    with transaction.atomic():
        todo = rules.changes(wanted, selectors.standing(trip), over)
        Reminder.objects.bulk_create(
            [
                Reminder(
                    trip=trip,
                    diver_id=one.diver,
                    kind=one.kind,
                    call=rules.CALLS[one.kind],
                    subject=one.subject,
                    due_at=one.due_at,
                    try_at=one.due_at,
                    facts=dict(one.facts),
                    made_at=now,
                )
                for one in todo.make
            ],
            ignore_conflicts=True,
        )
        for one in todo.move:
            if (
                not _of(one.key)
                .filter(state__in=(*rules.OPEN_STATES, rules.CANCELLED))
                .update(
                    state=rules.WAITING,
                    stands=True,
                    due_at=one.due_at,
                    try_at=one.due_at,
                    facts=dict(one.facts),
                    fence=None,
                    leased_until=None,
                    attempts=0,
                    finished_at=None,
                )
            ):
                _note(one)  # a worker finished it in between
        for key in todo.cancel:
            _of(key).filter(state__in=rules.OPEN_STATES).update(**finished(rules.CANCELLED, now))
            _of(key).update(stands=False)
        for one in todo.note:
            _note(one)
        for key in todo.note_withdrawn:
            _of(key).update(stands=False)
            _unread_again(key)
    return todo


def read(*, user_id: UUID, message_id: UUID, now: datetime) -> InboxMessage:
    """Mark a message of this user's own inbox as read; the first reading counts."""
    own = InboxMessage.objects.filter(pk=message_id, user_id=user_id)
    own.filter(read_at=None).update(read_at=now)
    message = own.select_related("reminder__trip").first()
    if message is None:
        raise UnableToRead("There is no such message in your inbox.")
    return message


def _take_in(trip_id: UUID, now: datetime) -> bool:
    Seen.objects.bulk_create([Seen(trip_id=trip_id)], ignore_conflicts=True)
    seen = Seen.objects.get(pk=trip_id)
    head = selectors.head(trip_id)
    if seen.position == head:
        return False
    trip = Trip.objects.select_related("club").get(pk=trip_id)
    deck.project(trip=trip, now=now)
    # Worked out before the transaction: it takes its time, and SQLite has one writer.
    ought = selectors.ought(trip, now)
    with transaction.atomic():
        # Whoever took the log in meanwhile may have read more of it: then this picture is dropped.
        unchanged = Seen.objects.filter(pk=trip_id, position=seen.position)
        if not unchanged.update(position=head, attempts=0, try_at=None, last_error=""):
            return False
        reconcile(trip=trip, wanted=ought.wanted, over=ought.over, now=now)
    services_shore.look(trip_id=trip_id, now=now)
    return True


def _put_off(trip_id: UUID, error: Exception, now: datetime) -> None:
    Seen.objects.bulk_create([Seen(trip_id=trip_id)], ignore_conflicts=True)
    seen = Seen.objects.get(pk=trip_id)
    Seen.objects.filter(pk=trip_id).update(
        attempts=F("attempts") + 1,
        try_at=now + rules.wait_after(seen.attempts + 1),
        last_error=said(error),
    )


def _of(key: rules.Key) -> "selectors.Reminders":
    kind, diver, subject = key
    return Reminder.objects.filter(kind=kind, diver_id=diver, subject=subject)


def _note(one: rules.Wanted) -> None:
    moved = _of(one.key).exclude(due_at=one.due_at, stands=True).exists()
    _of(one.key).update(due_at=one.due_at, facts=dict(one.facts), stands=True)
    if moved:
        _unread_again(one.key)


def _unread_again(key: rules.Key) -> None:
    """A message that says what no longer holds is to be looked at once more."""
    InboxMessage.objects.filter(reminder__in=_of(key)).update(read_at=None)
