"""Writes to the log of a diver."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from teamdive.people.models import Diver
from teamdive.web.problems import Unable

from .models import LoggedDive, MadeDive


class UnableToLogDive(Unable):
    code = "unable_to_log_dive"
    status = 400


@transaction.atomic
def log_dive(
    *,
    diver: Diver,
    on: date,
    depth_hundredths: int,
    depth_unit: str,
    count: int = 1,
    bottom_time_s: int | None = None,
    o2_pm: int | None = None,
    current_kn: Decimal | None = None,
    visibility_m: Decimal | None = None,
    water_temp_c: Decimal | None = None,
    night: bool | None = None,
    task_kind: str = "",
    task_level: int | None = None,
    evidence: str = "said",
    source: UUID | None = None,
) -> LoggedDive:
    """One dive, or `count` equal ones with the day of the latest. With a `source` (a trip's dive) it is written
    once and then brought up to date, however often it is called; raises UnableToLogDive naming the field."""
    row = LoggedDive.objects.filter(diver=diver, source=source).first() if source is not None else None
    row = row or LoggedDive(diver=diver, source=source)
    row.on, row.count = on, count
    row.depth_hundredths, row.depth_unit = depth_hundredths, depth_unit
    row.bottom_time_s, row.o2_pm = bottom_time_s, o2_pm
    row.current_kn, row.visibility_m, row.water_temp_c, row.night = (
        current_kn,
        visibility_m,
        water_temp_c,
        night,
    )
    row.task_kind, row.task_level, row.evidence = task_kind, task_level, evidence
    try:
        row.full_clean()
    except ValidationError as refused:
        errors = [
            {"pointer": "" if field == "__all__" else f"/{field}", "code": "invalid", "message": message}
            for field, messages in refused.message_dict.items()
            for message in messages
        ]
        raise UnableToLogDive(errors[0]["message"], errors=errors) from refused
    row.save()
    return row


@transaction.atomic
def keep_made_dives(*, trip: UUID, made: Iterable[MadeDive]) -> None:
    """What the boat log of a trip amounts to, in place of what was kept of it before."""
    rows = list(made)
    kept = {(row.diver_id, row.number): row for row in MadeDive.objects.filter(trip=trip)}
    for row in rows:
        before = kept.pop((row.diver_id, row.number), None)
        if before is not None:
            row.pk = before.pk
            row._state.adding = False
        row.save()
    MadeDive.objects.filter(pk__in=[row.pk for row in kept.values()]).delete()
