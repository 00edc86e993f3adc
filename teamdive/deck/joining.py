"""Enrolling a phone at the dock with a short code or its picture: no account and no password on deck."""

from __future__ import annotations

import secrets
from datetime import datetime

from django.db import transaction

from teamdive.people.models import User
from teamdive.trips.models import Trip
from teamdive.web.problems import Unable

from . import rules, services
from .models import Device, JoinCode
from .selectors import token_hash


class UnableToJoin(Unable):
    code = "join_code_not_valid"
    status = 404


@transaction.atomic
def make_code(*, trip: Trip, by: User, now: datetime) -> tuple[str, datetime]:
    """A new code for the trip and when it ends; the one before no longer works."""
    code = "".join(secrets.choice(rules.CODE_LETTERS) for _ in range(rules.CODE_LENGTH))
    expires_at = now + rules.CODE_LASTS
    JoinCode.objects.update_or_create(
        trip=trip,
        defaults={
            "code_hash": token_hash(code),
            "made_by": by,
            "expires_at": expires_at,
            "left": rules.PHONES_A_CODE,
        },
    )
    return code, expires_at


@transaction.atomic
def join(*, code: str, label: str, public_key: str, now: datetime) -> tuple[Device, str]:
    """Enrol a phone that was shown a code, in its maker's name. Raises UnableToJoin, UnableToEnrol."""
    found = (
        JoinCode.objects.select_for_update(of=("self",))
        .select_related("trip", "made_by")
        .filter(code_hash=token_hash(rules.code_typed(code)), expires_at__gt=now, left__gt=0)
        .first()
    )
    if found is None:
        raise UnableToJoin(
            "This code is not valid, or no longer. Ask a leader to show a new one.", pointer="/code"
        )
    JoinCode.objects.filter(pk=found.pk).update(left=found.left - 1)
    return services.enrol(trip=found.trip, label=label, public_key=public_key, by=found.made_by, now=now)
