"""Reads of float plans: who ashore is told, and how each of them is reached."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import F

from teamdive.people.models import User

from . import rules_shore
from .models import FloatPlan, ShoreContact, Trip


def plan_of(trip: Trip | UUID) -> FloatPlan | None:
    """The float plan of a trip; None: nobody wrote one."""
    trip_id = trip.pk if isinstance(trip, Trip) else trip
    return FloatPlan.objects.select_related("trip__club", "trip__boat").filter(trip=trip_id).first()


def contacts_of(plan: FloatPlan) -> list[ShoreContact]:
    """Who ashore is told, the first to be called first."""
    return list(plan.contacts.filter(removed_at=None).select_related("diver"))


def account_of(contact: ShoreContact) -> User | None:
    """The account in which a contact is told, as it stands now: active, and still of the club."""
    club = F("memberships__club")
    return (
        User.objects.filter(divers=contact.diver_id, divers__club=club, is_active=True).first()
        if contact.diver_id
        else None
    )


def ashore(trip: Trip) -> rules_shore.Ashore | None:
    """What `rules_shore.not_ready` judges of a trip."""
    plan = plan_of(trip)
    if plan is None:
        return None
    club, contacts = trip.club, contacts_of(plan)
    # Whoever was named first and booked later.
    booked = set(trip.bookings.filter(cancelled_at=None, diver__isnull=False).values_list("diver", flat=True))
    return rules_shore.Ashore(
        plan.back_by,
        trip.starts_at,
        tuple(_reached(one) for one in contacts),
        club.shore_call_every_min,
        club.shore_calls_before_next,
        plan.told_otherwise_by,
        frozenset(number for number, one in enumerate(contacts) if one.diver_id in booked),
    )


def _reached(one: ShoreContact) -> tuple[str, bool, bool]:
    mail, account = bool(one.email), account_of(one) is not None
    return one.name, mail or account, account or (mail and settings.MAIL_SET_UP)


def labels(trip_id: UUID) -> dict[str, Any]:
    """Who ashore expects the boat by when (ms), for the phone to say as it leaves: as it stands now, kept nowhere.

    `told_otherwise`: this installation reaches none of them, so that those on the boat tell them themselves.
    """
    plan = plan_of(trip_id)
    if plan is None or plan.back_by is None:
        return {}
    contacts = contacts_of(plan)
    by_hand = not any(now for _, _, now in map(_reached, contacts))
    return {
        "back_by": round(plan.back_by.timestamp() * 1000),
        "ashore": [contact.name for contact in contacts[:1]],
        **({"told_otherwise": True} if by_hand else {}),
    }
