"""Claims and deliveries: a reminder is told once, whoever else works at the same time, whatever breaks.

A claim is a lease taken by a conditional UPDATE whose row count is checked, which holds on every
database. Whatever is sent outside is sent outside a transaction; a reminder is finished only while the lease
is still ours, and its inbox message is written in that same transaction.
"""

import logging
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.db import transaction
from django.db.models import F, Q

from . import channels, rules, selectors
from .models import InboxMessage, Reminder

BATCH = 50

log = logging.getLogger(__name__)


class LeaseLost(Exception):
    """Another worker has a reminder that this one meant to finish."""


def claim(*, now: datetime, limit: int = BATCH) -> list[Reminder]:
    """Take a batch of what is due, or of what a worker held too long, alarms first; ours for `lease()`.

    One UPDATE whose condition repeats the search: of two workers that saw the same rows one gets each.
    """
    free = Q(attempts__lt=rules.ATTEMPTS) & (
        Q(state=rules.WAITING, try_at__lte=now) | Q(state=rules.CLAIMED, leased_until__lte=now)
    )
    seen = list(
        Reminder.objects.filter(free).order_by("call", "try_at", "id").values_list("id", flat=True)[:limit]
    )
    if not seen:
        return []
    fence = uuid4()
    taken = Reminder.objects.filter(free, id__in=seen).update(
        state=rules.CLAIMED, fence=fence, leased_until=now + lease(), attempts=F("attempts") + 1
    )
    if not taken:
        return []
    return list(Reminder.objects.filter(state=rules.CLAIMED, fence=fence).order_by("call", "try_at", "id"))


def deliver(*, reminders: Sequence[Reminder], now: datetime) -> None:
    """Tell the people of claimed reminders and finish them, together where that goes.

    Whatever throws is pushed forward with growing waits and keeps none of the others. Where the lease is no
    longer ours nothing happens: the reminder is another worker's.
    """
    ready = []
    for reminder in reminders:
        try:
            text = rules.wording(reminder.kind, reminder.facts, reminder.due_at)
            if _send_outside(reminder, text):
                ready.append((reminder, text))
        except Exception as error:  # whatever a channel or a row throws must not stop the others
            _push_forward(reminder, error, now)
    try:
        _finish(ready, now)
    except Exception as error:
        if len(ready) == 1:
            _push_forward(ready[0][0], error, now)
            return
        for reminder, text in ready:
            try:
                _finish([(reminder, text)], now)
            except Exception as one:
                _push_forward(reminder, one, now)


def deliver_due(*, now: datetime, limit: int = BATCH) -> int:
    """Claim and deliver one batch; returns how many were claimed (0: nothing is due)."""
    batch = claim(now=now, limit=limit)
    # What went outside is finished one by one, so that a killed worker leaves one call to repeat, not a batch.
    together = len(batch) if not channels.configured() else 1
    for start in range(0, len(batch), together or 1):
        deliver(reminders=batch[start : start + together], now=now)
    if not batch:
        _give_up(now)
    return len(batch)


def lease() -> timedelta:
    """How long a claim holds: TEAMDIVE_REMINDER_LEASE_S, 10 s by default."""
    return timedelta(seconds=float(getattr(settings, "TEAMDIVE_REMINDER_LEASE_S", 10)))


def _send_outside(reminder: Reminder, text: str) -> bool:
    """Whether the reminder is still to be finished, after the outside channels were asked, if there are any."""
    if not channels.configured():
        return True
    if not _ours(reminder).exists():
        return False  # the batch took longer than the lease: another worker has it
    user = selectors.recipients([reminder]).get((reminder.trip_id, reminder.diver_id))
    if user is not None:
        call = channels.Call(reminder.pk, user, reminder.call, reminder.kind, text, reminder.due_at)
        for channel in channels.outside():
            channel.send(call)
    return True


def _finish(ready: Sequence[tuple[Reminder, str]], now: datetime) -> None:
    """Finish claimed reminders with their messages in one transaction, asking once more who may be told."""
    with transaction.atomic():
        told = selectors.recipients([reminder for reminder, _ in ready])
        messages = []
        for reminder, text in ready:
            user = told.get((reminder.trip_id, reminder.diver_id))
            if user is None:
                why = selectors.why_nobody(reminder)
                _ours(reminder).update(**finished(rules.WITHHELD, now), last_error=why)
            else:
                messages.append(
                    InboxMessage(
                        reminder=reminder, user_id=user, text=text, due_at=reminder.due_at, sent_at=now
                    )
                )
        if not messages:
            return
        ours = Reminder.objects.filter(
            state=rules.CLAIMED,
            fence=messages[0].reminder.fence,
            pk__in=[message.reminder_id for message in messages],
        )
        if ours.update(**finished(rules.SENT, now), last_error="") != len(messages):
            raise LeaseLost
        InboxMessage.objects.bulk_create(messages)


def finished(state: str, now: datetime) -> dict[str, Any]:
    """The fields of a reminder that ends in this state, held by nobody."""
    return {"state": state, "fence": None, "leased_until": None, "finished_at": now}


def _push_forward(reminder: Reminder, error: Exception, now: datetime) -> None:
    spent = reminder.attempts >= rules.ATTEMPTS
    if not isinstance(error, LeaseLost):
        log.warning("reminder %s could not be delivered", reminder.pk, exc_info=error)
    _ours(reminder).update(
        state=rules.FAILED if spent else rules.WAITING,
        fence=None,
        leased_until=None,
        try_at=now + rules.wait_after(reminder.attempts),
        finished_at=now if spent else None,
        last_error=said(error),
    )


def _give_up(now: datetime) -> None:
    """A reminder whose workers ended at every attempt, without a word, has failed as well."""
    Reminder.objects.filter(state=rules.CLAIMED, leased_until__lte=now, attempts__gte=rules.ATTEMPTS).update(
        **finished(rules.FAILED, now),
        last_error="The worker ended while sending, at every attempt.",
    )


def _ours(reminder: Reminder) -> "selectors.Reminders":
    return Reminder.objects.filter(pk=reminder.pk, state=rules.CLAIMED, fence=reminder.fence)


def said(error: Exception) -> str:
    """An error as it is kept beside the row: its kind and its text."""
    return f"{type(error).__name__}: {error}"[:500]
