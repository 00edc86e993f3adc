"""Reads of the log: a diver's experience in the terms of pairing."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, datetime
from decimal import Decimal
from typing import Any, cast
from uuid import UUID

from django.db.models import Q, QuerySet

from teamdive.people.models import Diver
from teamdive.physics.units import Depth, DepthUnit, deeper_in, shallower_in

from . import rules
from .models import LoggedDive, MadeDive


def experience(diver: Diver, *, on: date, depth_unit: str) -> dict[str, Any]:
    """`experience` of the teams calculation: totals, last dive, and `done` with its demands held together.

    What is not known is left out, never made up: a log with no dive in it says nothing, so it has no `done`.
    Depths come in `depth_unit`, rounded down. Dives after `on` are not experience yet.
    """
    return experiences([diver], on=on, depth_unit=depth_unit)[diver.pk]


def experiences(divers: Iterable[Diver], *, on: date, depth_unit: str) -> dict[UUID, dict[str, Any]]:
    """`experience` of several divers in one query, by diver id."""
    held = list(divers)
    rows: dict[UUID, list[LoggedDive]] = {diver.pk: [] for diver in held}
    for row in LoggedDive.objects.filter(diver__in=held, on__lte=on):
        rows[row.diver_id].append(row)
    return {diver.pk: _experience(diver, rows[diver.pk], on, depth_unit) for diver in held}


def _experience(diver: Diver, rows: list[LoggedDive], on: date, depth_unit: str) -> dict[str, Any]:
    logged = sum(row.count for row in rows) or None
    recent = rules.dives_in_the_year_before(((row.on, row.count) for row in rows), on) if rows else None
    last = rules.latest(diver.stated_last_dive, *(row.on for row in rows))
    known = {
        "dives": rules.most(diver.stated_dives, logged),
        "last_dive": last.isoformat() if last is not None and last <= on else None,
        "dives_last_year": rules.most(diver.stated_dives_last_year, recent),
        "done": [_done(row, depth_unit) for row in rows] or None,
    }
    return {name: value for name, value in known.items() if value is not None}


def _done(row: LoggedDive, depth_unit: str) -> dict[str, Any]:
    done = {
        "depth": shallower(row.depth_hundredths, row.depth_unit, depth_unit),
        "current_kn": _number(row.current_kn),
        "visibility_m": _number(row.visibility_m),
        "water_temp_c": _number(row.water_temp_c),
        "night": row.night,
        "count": row.count,
        "on": row.on.isoformat(),
    }
    known = {name: value for name, value in done.items() if value is not None}
    return {
        **known,
        "task": {"kind": row.task_kind, "level": row.task_level} if row.task_kind else None,
        **({"site_kind": row.site_kind} if row.site_kind else {}),
    }


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def made_dives(divers: Collection[UUID], *, before: datetime, not_on: UUID) -> dict[UUID, list[MadeDive]]:
    """The dives that boat logs tell of these divers and that still count at an instant, oldest first, by diver id.

    `not_on`: the trip asked about, whose own dives are known otherwise.
    """
    since = before - rules.REACH
    found: dict[UUID, list[MadeDive]] = {diver: [] for diver in divers}
    rows = MadeDive.objects.filter(diver__in=found, down_at__lt=before).exclude(trip=not_on)
    for row in rows.filter(Q(surfaced_at__gt=since) | Q(surfaced_at=None, down_at__gt=since)):
        found[row.diver_id].append(row)
    return found


def told_dives(diver: UUID) -> QuerySet[MadeDive]:
    """What boat logs tell of this diver's dives, newest first."""
    return MadeDive.objects.filter(diver=diver).order_by("-down_at", "-number")


def shallower(hundredths: int, unit: str, wanted: str) -> float:
    """A depth in the wanted unit, rounded down to a hundredth: experience is never made deeper."""
    return shallower_in(Depth(hundredths, cast(DepthUnit, unit)), cast(DepthUnit, wanted)).number


def deeper(hundredths: int, unit: str, wanted: str) -> float:
    """A depth in the wanted unit, rounded up to a hundredth: what was breathed in is never made shallower."""
    return deeper_in(Depth(hundredths, cast(DepthUnit, unit)), cast(DepthUnit, wanted)).number
