"""Writes to a float plan: back by when, who ashore is told, and what a named person says about it since.

Other than the plan of the dives it may change at any time: a boat that will be late is looked for too early else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import F, Max

from teamdive.people.models import User

from . import rules_shore, selectors
from .models import FloatPlan, ShoreContact, ShoreSaid, Site, Trip
from .selectors_shore import contacts_of
from .services import UnableToKeepTrip, keep

KEPT = ("name", "email", "phone", "diver")


@transaction.atomic
def change_float_plan(
    *,
    trip: Trip,
    back_by: datetime | None,
    if_not_heard: str,
    contacts: Sequence[Mapping[str, Any]],
    positions: Mapping[UUID, str],
    now: datetime,
    told_otherwise_by: str = "",
    user: User | None = None,
) -> FloatPlan:
    """Write the float plan of a trip whole. `contacts` in the order of calling: {id?, name, email, phone, diver?};
    who is not among them is told no more. `positions`: of sites of the club, by id. `told_otherwise_by`: who says that
    those ashore are told another way; kept where this installation reaches none of them. Raises UnableToKeepTrip."""
    trip = Trip.objects.select_for_update().select_related("club").get(pk=trip.pk)
    if back_by is not None and back_by <= trip.starts_at:
        raise UnableToKeepTrip(
            "The boat would be back before it leaves. Give a later time.",
            code="back_by_before_start",
            pointer="/back_by",
        )
    plan = FloatPlan.objects.filter(trip=trip).first()
    fresh = plan is None
    plan = plan or FloatPlan(trip=trip, changed_at=now)
    if back_by is not None and back_by != plan.back_by and back_by <= now:
        raise UnableToKeepTrip("That time is past already.", code="back_by_past", pointer="/back_by")
    if plan.back_by is not None and back_by is None and trip.state == Trip.State.READY:
        raise UnableToKeepTrip(
            "Those ashore wait for this boat. Say that all are home instead, or give a later time.",
            code="alarm_is_armed",
            pointer="/back_by",
        )
    if back_by != plan.back_by:
        plan.back_by_at = now
    plan.back_by, plan.if_not_heard, plan.changed_at = back_by, if_not_heard.strip(), now
    # Of the contacts as they were: said anew with each change, or asked for again.
    plan.told_otherwise_by = ""
    if trip.state == Trip.State.READY and back_by is not None and not contacts:
        raise UnableToKeepTrip(
            "Somebody ashore has to be told of it: name one.", code="nobody_ashore", pointer="/contacts"
        )
    keep(plan)
    if not fresh:
        FloatPlan.objects.filter(pk=plan.pk).update(version=F("version") + 1)
        plan.refresh_from_db()
    _write_contacts(plan, trip, contacts, now)
    for number, (site, position) in enumerate(positions.items()):
        if not Site.objects.filter(pk=site, club=trip.club).update(position=position.strip()[:80]):
            raise UnableToKeepTrip(
                "There is no such site. Take one of the club.",
                code="other_club",
                pointer=f"/positions/{number}/site",
            )
    judged = selectors.ashore(trip)
    if judged is not None and told_otherwise_by.strip() and rules_shore.needs_another_way(judged):
        said = say(plan=plan, what=rules_shore.TOLD_OTHERWISE, by=told_otherwise_by, now=now, user=user)
        plan.told_otherwise_by = said.by
        plan.save(update_fields=["told_otherwise_by"])
    if trip.state == Trip.State.READY:
        for reason in rules_shore.not_ready(selectors.ashore(trip)):
            pointer = reason.pointer.removeprefix("/float_plan")
            raise UnableToKeepTrip(f"{reason.message} {reason.remedy}", code=reason.code, pointer=pointer)
    return plan


def _write_contacts(
    plan: FloatPlan, trip: Trip, contacts: Sequence[Mapping[str, Any]], now: datetime
) -> None:
    standing = {one.pk: one for one in contacts_of(plan)}
    for position, told in enumerate(contacts):
        row = ShoreContact(plan=plan, position=position)
        for name in KEPT:
            setattr(row, name, told.get(name) or (None if name == "diver" else ""))
        _fill_in(row, trip, position)
        before = standing.get(told.get("id"))
        # Another address is another person: whoever was told under the one before is taken off, and hears the end.
        if before is not None and before.diver_id == row.diver_id and before.email in ("", row.email):
            row.pk = standing.pop(before.pk).pk
            row._state.adding = False
        keep(row)
    ShoreContact.objects.filter(pk__in=standing).update(removed_at=now)


def _fill_in(row: ShoreContact, trip: Trip, position: int) -> None:
    """Name and e-mail of somebody of the club from the record; whoever is on the boat is not ashore."""
    at = f"/contacts/{position}"
    if row.diver is not None:
        if row.diver.club_id != trip.club_id:
            raise UnableToKeepTrip("There is no such diver.", code="other_club", pointer=f"{at}/diver")
        if trip.bookings.filter(diver=row.diver, cancelled_at=None).exists():
            raise UnableToKeepTrip(
                f"{row.diver.name} is on the boat. Name somebody who stays ashore.",
                code="on_the_boat",
                pointer=f"{at}/diver",
            )
        row.name, row.email = row.name or row.diver.name, row.email or row.diver.email
    if not row.name.strip():
        raise UnableToKeepTrip("Say who it is.", code="name_missing", pointer=f"{at}/name")


@transaction.atomic
def say(
    *,
    plan: FloatPlan,
    what: str,
    by: str,
    now: datetime,
    contact: ShoreContact | None = None,
    user: User | None = None,
) -> ShoreSaid:
    """Keep what a named person says: home, not_home, acknowledged, handed_over, told_otherwise."""
    if what not in (*rules_shore.SAYINGS, rules_shore.TOLD_OTHERWISE):
        raise UnableToKeepTrip("This cannot be said here.", code="unknown", pointer="/what")
    if not by.strip():
        raise UnableToKeepTrip("Say who you are.", code="name_missing", pointer="/by")
    # Said beforehand, "all home" would stand while the boat is out, and nobody ashore would be alarmed.
    if (
        what in rules_shore.SAYINGS
        and not Trip.objects.filter(pk=plan.trip_id, state=Trip.State.READY).exists()
    ):
        raise UnableToKeepTrip(
            "Nobody ashore waits for this boat yet. Make the trip ready first.",
            code="trip_not_ready",
            pointer="/what",
        )
    # What is said last counts, also where the server's clock was put back since the one before.
    last = plan.said.aggregate(last=Max("at"))["last"]
    at = now if last is None or now > last else last + timedelta(microseconds=1)
    said = ShoreSaid.objects.create(
        plan=plan, what=what, at=at, by=by.strip()[:120], contact=contact, user=user
    )
    # As after a change: whoever tells the contacts looks again.
    FloatPlan.objects.filter(pk=plan.pk).update(changed_at=now)
    return said


@transaction.atomic
def erase_contact(*, contact: ShoreContact, now: datetime, waited_for: bool = False) -> None:
    """Erase who a contact was and how to reach them; that somebody was told, and when, stays.

    `waited_for`: the boat is, so somebody has to stay who is reached; raises UnableToKeepTrip else.
    """
    trip = Trip.objects.select_for_update().select_related("club").get(pk=contact.plan.trip_id)
    ShoreSaid.objects.filter(contact=contact).update(by=rules_shore.ERASED)
    ShoreContact.objects.filter(pk=contact.pk).update(
        name=rules_shore.ERASED, email="", phone="", diver=None, removed_at=contact.removed_at or now
    )
    judged = selectors.ashore(trip)
    if waited_for and judged is not None and not any(known for _, known, _ in judged.contacts):
        raise UnableToKeepTrip(
            "Those ashore wait for this boat, and nobody else of them is reached. Name somebody else first.",
            code="nobody_ashore",
            pointer="/contacts",
        )
