"""Writes to the log of a diver."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction

from teamdive.people.models import Diver
from teamdive.web.problems import Unable

from . import rules
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
    site_kind: Iterable[str] = (),
    effort: int | None = None,
    rmv_l_min: Decimal | None = None,
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
    row.site_kind = rules.words(site_kind)
    row.effort, row.rmv_l_min = effort, rmv_l_min
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
    # A dive that is no longer told, or no longer the same, must not stay experience as it was.
    kept = {(row.diver_id, row.number): row for row in MadeDive.objects.filter(trip=trip)}
    for row in rows:
        before = kept.pop((row.diver_id, row.number), None)
        if before is not None:
            row.pk = before.pk
            row._state.adding = False
            same = all(getattr(row, name) == getattr(before, name) for name in _CONFIRMED)
            row.task_done = before.task_done
            row.confirmed_at = before.confirmed_at if same else None
        row.save()
        if before is not None and before.confirmed_at is not None:
            _follow(row)
    gone = [row.pk for row in kept.values()]
    LoggedDive.objects.filter(source__in=gone).delete()
    MadeDive.objects.filter(pk__in=gone).delete()


_CONFIRMED = ("down_at", "surfaced_at", "bottom_time_s", "depth_hundredths", "depth_unit", "o2_pm")


class UnableToConfirm(Unable):
    code = "not_all_known"


@transaction.atomic
def confirm_made_dive(*, made: MadeDive, task_done: bool, now: datetime) -> MadeDive:
    """The diver says that the dive was as the boat log tells it: it becomes experience. Again changes nothing.

    What the log leaves open stays open and is shown beside it. Raises UnableToConfirm while depth or surfacing is
    not known: an experience of unknown depth is none.
    """
    made = MadeDive.objects.select_for_update(of=("self",)).select_related("diver__club").get(pk=made.pk)
    if made.surfaced_at is None or made.depth_hundredths is None:
        missing = "when you surfaced" if made.surfaced_at is None else "how deep you were"
        raise UnableToConfirm(f"The boat log does not know {missing}. A leader can enter it there.")
    made.task_done = task_done and made.task_kind != ""
    made.confirmed_at = made.confirmed_at or now
    made.save(update_fields=["task_done", "confirmed_at"])
    _follow(made)
    return made


def _follow(made: MadeDive) -> None:
    """Bring the logged dive of a made one up to date; one whose depth is no longer known is no experience."""
    if made.depth_hundredths is None:
        LoggedDive.objects.filter(diver=made.diver_id, source=made.pk).delete()
        return
    log_dive(
        diver=made.diver,
        on=made.down_at.astimezone(ZoneInfo(made.diver.club.time_zone)).date(),
        depth_hundredths=made.depth_hundredths,
        depth_unit=made.depth_unit,
        bottom_time_s=made.bottom_time_s,
        o2_pm=made.o2_pm,
        current_kn=made.current_kn,
        visibility_m=made.visibility_m,
        water_temp_c=made.water_temp_c,
        effort=made.effort,
        rmv_l_min=made.rmv_l_min,
        task_kind=made.task_kind if made.task_done else "",
        task_level=made.task_level if made.task_done else None,
        site_kind=made.site_kind,
        evidence="logged",
        source=made.pk,
    )
