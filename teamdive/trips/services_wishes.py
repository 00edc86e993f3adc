"""Writes of private wishes."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from uuid import UUID

from django.db import transaction

from teamdive.people.models import User

from .models import Booking, RatherNot
from .selectors_wishes import choices
from .services import UnableToKeepTrip


@transaction.atomic
def keep_rather_nots(*, booking: Booking, about: Collection[UUID], by: User, now: datetime) -> None:
    """Of the people of this trip, whom this person would rather not dive with; what concerns others stays.

    Raises UnableToKeepTrip for a name that is not on the trip.
    """
    if booking.diver is None:
        raise UnableToKeepTrip("Only a diver with a record has such wishes.", code="no_record")
    here = {one.pk: one.diver_id for one in choices(booking)}
    if not set(about) <= set(here):
        raise UnableToKeepTrip(
            "That person does not dive on this trip. Choose among those who do.",
            code="person_not_known",
            pointer="/about",
        )
    wanted = {here[person] for person in about}
    mine = RatherNot.objects.filter(diver=booking.diver, about__in=here.values())
    mine.exclude(about__in=wanted).delete()
    kept = set(mine.values_list("about", flat=True))
    for diver in sorted(wanted - kept, key=str):
        RatherNot.objects.create(diver=booking.diver, about_id=diver, entered_by=by, entered_at=now)
