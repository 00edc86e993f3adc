"""The duty ashore made true: the calls that ought to exist, and what those ashore say."""

import logging
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import F, Q

from teamdive.deck import selectors as deck
from teamdive.people.models import User
from teamdive.trips import services_shore as trips
from teamdive.trips.models import FloatPlan, ShoreContact, Trip
from teamdive.trips.selectors_shore import plan_of
from teamdive.trips.services import UnableToKeepTrip

from . import rules, rules_shore, rules_shore_calls, selectors_shore
from .delivery import finished, said
from .models import Reminder, ShoreWatch

log = logging.getLogger(__name__)

_ALARMS = (*rules_shore.ALARMS, rules_shore.UNTAKEN)


def look(*, trip_id: UUID, now: datetime) -> bool:
    """Make the calls ashore of a trip equal to what ought to exist; returns whether it was done.

    A trip that cannot be looked at is put off, and raises nothing.
    """
    try:
        return _look(trip_id, now)
    except Exception as error:  # one trip must not keep the others from being looked at
        log.exception("the duty ashore of trip %s could not be looked at", trip_id)
        _put_off(trip_id, error, now)
        return False


def change(*, trip: Trip, now: datetime, **fields: Any) -> FloatPlan:
    """Change the float plan; fields as in `trips.services_shore.change_float_plan`."""
    plan = trips.change_float_plan(trip=trip, now=now, **fields)
    look(trip_id=trip.pk, now=now)
    return plan


def say(
    *,
    plan: FloatPlan,
    what: str,
    by: str,
    now: datetime,
    contact: ShoreContact | None = None,
    user: User | None = None,
) -> None:
    """Keep what a named person says, and take back the calls that it ends before anything more is sent."""
    trips.say(plan=plan, what=what, by=by, now=now, contact=contact, user=user)
    look(trip_id=plan.trip_id, now=now)


def erase(*, contact: ShoreContact, now: datetime) -> None:
    """Erase a contact; while the boat is waited for, raises as `trips.services_shore.erase_contact` does."""
    plan = contact.plan
    duty = selectors_shore.duty(plan.trip, plan)
    ended = selectors_shore.ended_by(duty, now)
    waited_for = rules_shore.is_armed(duty) and ended is None and contact.removed_at is None
    called = {one.to for one in rules_shore.told(duty, *rules_shore.ALARMS)}
    if contact.pk in called and rules_shore.alarms(duty, now):
        raise UnableToKeepTrip(
            f"{contact.name} was called and has to hear how it ends. Take them off the list now, and erase them "
            "once the alarm is over.",
            code="alarm_open",
            pointer="/contacts",
        )
    trips.erase_contact(contact=contact, now=now, waited_for=waited_for)
    look(trip_id=plan.trip_id, now=now)


@transaction.atomic
def after_restore(*, now: datetime) -> list[str]:
    """What a backup may have taken from those ashore: each contact is told anew until when they wait, since a change of
    after the copy is lost. Returns a sentence for each boat that may be out, for whoever restored it."""
    told = []
    since = now - selectors_shore.LINK_LASTS
    recent = Trip.objects.filter(starts_at__gte=since, starts_at__lte=now + timedelta(days=1), ended_at=None)
    for trip in recent.select_related("club", "float_plan").order_by("starts_at"):
        if trip.state != Trip.State.READY:
            told.append(
                f"{trip.club}: {trip.name} is not ready in this copy, so that nobody ashore is alarmed. If it is "
                "out, make it ready again and write its float plan."
            )
    waiting = FloatPlan.objects.filter(trip__state=Trip.State.READY, back_by__gte=since)
    waiting.update(version=F("version") + 1, changed_at=now)
    told.extend(
        f"{plan.trip.club}: those ashore of {plan.trip.name} are told again. What was said or changed after the copy "
        "is lost: look at its float plan."
        for plan in waiting.select_related("trip__club").order_by("back_by")
    )
    return told


def _look(trip_id: UUID, now: datetime) -> bool:
    position = deck.log_of(trip_id).position
    plan = plan_of(trip_id)
    if plan is None or plan.trip.state != Trip.State.READY:
        return False
    # Worked out before the transaction: it takes its time, and SQLite has one writer.
    duty = selectors_shore.duty(plan.trip, plan)
    wanted = rules_shore_calls.calls(duty, now)
    with transaction.atomic():
        # Whoever looked meanwhile, with more known or later, drops this picture; the row also is the lock.
        same = FloatPlan.objects.filter(pk=plan.pk, changed_at=plan.changed_at)
        if not same.update(changed_at=plan.changed_at) or deck.log_of(trip_id).position != position:
            return False
        watch = ShoreWatch.objects.filter(pk=trip_id).first()
        if watch is not None and now < watch.looked_at < now + selectors_shore.OVERTAKEN:
            return False
        ShoreWatch.objects.update_or_create(
            trip_id=trip_id,
            defaults={
                "plan_changed_at": plan.changed_at,
                "position": position,
                "looked_at": now,
                "stands": rules_shore.stands(duty, now),
                "look_again_at": rules_shore_calls.look_again_at(duty, now),
                "attempts": 0,
                "last_error": "",
            },
        )
        _reconcile(plan.trip, wanted, now)
    return True


def _reconcile(trip: Trip, wanted: Iterable[rules_shore_calls.Call], now: datetime) -> None:
    calls = list(wanted)
    contacts = set(ShoreContact.objects.filter(plan__trip=trip).values_list("pk", flat=True))
    Reminder.objects.bulk_create(
        [
            Reminder(
                trip=trip,
                contact_id=one.to if one.to in contacts else None,
                user_id=None if one.to in contacts else one.to,
                kind=one.kind,
                call=rules.ALARM if one.kind in _ALARMS else rules.REMINDER,
                subject=one.subject,
                due_at=one.due_at,
                try_at=one.due_at,
                facts=_facts(one),
                made_at=now,
            )
            for one in calls
        ],
        ignore_conflicts=True,
    )
    ashore = Reminder.objects.filter(trip=trip, diver=None)
    still = Q(pk=None)
    for one in calls:
        still |= Q(kind=one.kind, subject=one.subject) & (Q(contact=one.to) | Q(user=one.to))
    ashore.filter(state__in=rules.OPEN_STATES).exclude(still).update(**finished(rules.CANCELLED, now))
    # Taken back and asked for again: somebody said that all were home, and they were not.
    ashore.filter(still, state=rules.CANCELLED).update(
        state=rules.WAITING, try_at=now, attempts=0, finished_at=None, made_at=now
    )


def _facts(call: rules_shore_calls.Call) -> dict[str, Any]:
    if not call.about:
        return {}
    return {
        "about": call.about,
        "troubles": _kept(call.troubles),
        "beside": [[kind, _kept(troubles)] for kind, troubles in call.beside],
    }


def _kept(troubles: Iterable[rules_shore.Trouble]) -> list[list[str]]:
    return [[one.person, one.since.isoformat()] for one in troubles]


def _put_off(trip_id: UUID, error: Exception, now: datetime) -> None:
    plan = FloatPlan.objects.filter(trip=trip_id).first()
    if plan is None:
        return
    watch = ShoreWatch.objects.filter(pk=trip_id).first()
    attempts = 1 if watch is None else watch.attempts + 1
    ShoreWatch.objects.update_or_create(
        trip_id=trip_id,
        defaults={
            "plan_changed_at": plan.changed_at,
            "looked_at": now,
            "look_again_at": now + rules.wait_after(attempts),
            "attempts": attempts,
            "last_error": said(error),
        },
    )
