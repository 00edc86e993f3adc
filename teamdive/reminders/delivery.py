"""Claims and deliveries: a reminder is told once, whoever else works at the same time, whatever breaks.

A claim is a lease taken by a conditional UPDATE whose row count is checked, which holds on every
database. Whatever is sent outside is sent outside a transaction; a reminder is finished only while the lease
is still ours, and its inbox message is written in that same transaction.
"""

import logging
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from django.conf import settings
from django.db import transaction
from django.db.models import F, Q

from . import channels, delivery_shore, rules, selectors
from .delivery_shore import said
from .models import InboxMessage, Reminder

BATCH = 50

log = logging.getLogger(__name__)


class LeaseLost(Exception):
    """Another worker has a reminder that this one meant to finish."""


def claim(*, now: datetime, limit: int = BATCH) -> list[Reminder]:
    """Take a batch of what is due, or of what a worker held too long, alarms first; ours for `lease()`.

    One UPDATE whose condition repeats the search: of two workers that saw the same rows one gets each.
    """
    # Further ahead than a wait or a lease can be, the server's clock was put back: then nothing waits for it.
    ahead = now + rules.wait_after(rules.ATTEMPTS)
    free = Q(attempts__lt=rules.ATTEMPTS) & (
        Q(state=rules.WAITING, try_at__lte=now)
        | Q(state=rules.WAITING, due_at__lte=now, try_at__gt=ahead)
        | Q(state=rules.CLAIMED, leased_until__lte=now)
        | Q(state=rules.CLAIMED, leased_until__gt=now + 2 * lease())
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
            if (told := _tell(reminder, now)) is not None:
                ready.append(told)
        except Exception as error:  # whatever a channel or a row throws must not stop the others
            _push_forward(reminder, error, now)
    try:
        _finish(ready, now)
    except Exception as error:
        if len(ready) == 1:
            _push_forward(ready[0].reminder, error, now)
            return
        for told in ready:
            try:
                _finish([told], now)
            except Exception as one:
                _push_forward(told.reminder, one, now)


def deliver_due(*, now: datetime, limit: int = BATCH) -> int:
    """Claim and deliver one batch; returns how many were claimed (0: nothing is due)."""
    batch = claim(now=now, limit=limit)
    # What went outside is finished one by one, so that a killed worker leaves one call to repeat, not a batch.
    inside = not channels.configured() and all(reminder.diver_id is not None for reminder in batch)
    together = len(batch) if inside else 1
    for start in range(0, len(batch), together or 1):
        deliver(reminders=batch[start : start + together], now=now)
    if not batch:
        _give_up(now)
    return len(batch)


def lease() -> timedelta:
    """How long a claim holds: TEAMDIVE_REMINDER_LEASE_S, 10 s by default."""
    return timedelta(seconds=float(getattr(settings, "TEAMDIVE_REMINDER_LEASE_S", 10)))


@dataclass(frozen=True)
class Told:
    """A reminder with what it said. Of a contact ashore also the account, if any, and what went wrong on the way."""

    reminder: Reminder
    text: str
    user: UUID | None = None
    note: str = ""


def _tell(reminder: Reminder, now: datetime) -> Told | None:
    """What is to be finished, after the outside channels were asked, if there are any; None: it is no longer ours."""
    if reminder.diver_id is None:
        # Also taken back in the last moment, when somebody said that all are home.
        if not _ours(reminder).exists():
            return None
        ashore = delivery_shore.tell(reminder, now)
        return None if ashore is None else Told(reminder, *ashore)
    text = rules.wording(reminder.kind, reminder.facts, reminder.due_at)
    if not channels.configured():
        return Told(reminder, text)
    if not _ours(reminder).exists():
        return None  # the batch took longer than the lease: another worker has it
    user = selectors.recipients([reminder]).get((reminder.trip_id, reminder.diver_id))
    if user is not None:
        call = channels.Call(reminder.pk, user, reminder.call, reminder.kind, text, reminder.due_at)
        for channel in channels.outside():
            channel.send(call)
    return Told(reminder, text)


def _finish(ready: Sequence[Told], now: datetime) -> None:
    """Finish claimed reminders with their messages in one transaction, asking once more who may be told."""
    with transaction.atomic():
        may = selectors.recipients([one.reminder for one in ready if one.reminder.diver_id is not None])
        done = []
        for one in ready:
            reminder = one.reminder
            if reminder.diver_id is None:
                done.append(one)
            elif (user := may.get((reminder.trip_id, reminder.diver_id))) is not None:
                done.append(replace(one, user=user))
            else:
                why = selectors.why_nobody(reminder)
                _ours(reminder).update(**finished(rules.WITHHELD, now), last_error=why)
        if not done:
            return
        ours = Reminder.objects.filter(
            state=rules.CLAIMED,
            fence=done[0].reminder.fence,
            pk__in=[one.reminder.pk for one in done],
        )
        if ours.update(**finished(rules.SENT, now), last_error="") != len(done):
            raise LeaseLost
        InboxMessage.objects.bulk_create(
            InboxMessage(
                reminder=one.reminder,
                user_id=one.user,
                text=one.text,
                due_at=one.reminder.due_at,
                sent_at=now,
            )
            for one in done
            if one.user is not None
        )
        for one in done:
            if one.note:
                Reminder.objects.filter(pk=one.reminder.pk).update(last_error=one.note[:500])


def finished(state: str, now: datetime) -> dict[str, Any]:
    """The fields of a reminder that ends in this state, held by nobody."""
    return {"state": state, "fence": None, "leased_until": None, "finished_at": now}


def _push_forward(reminder: Reminder, error: Exception, now: datetime) -> None:
    spent = reminder.attempts >= rules.ATTEMPTS
    # Who could not be reached ashore stands beside the row, where the leader reads it.
    if not isinstance(error, LeaseLost | delivery_shore.NotReached):
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
