"""Dives that a diver made before a trip: those told at booking, and those that the boat logs of other trips tell."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from teamdive.logbook.models import MadeDive
from teamdive.logbook.selectors import made_dives

from . import rules
from .models import Booking, Trip
from .person_facts import DiveBefore

MOST = 40
"""The latest dives: as many as the boat's snapshot and the calculations take with the trip's own."""


def dives_before_trip(
    trip: Trip, bookings: Collection[Booking], at: datetime
) -> dict[UUID, tuple[DiveBefore, ...] | None]:
    """By booking, the dives of other days and boats that still count at an instant, oldest first; None: not known.

    Nothing known at booking stays not known, whatever the logs tell: there may have been others. A dive told at
    booking and found in a log as well is one dive, and its worse reading counts.
    """
    logged = made_dives([b.diver_id for b in bookings if b.diver_id], before=at, not_on=trip.pk)
    found: dict[UUID, tuple[DiveBefore, ...] | None] = {}
    for booking in bookings:
        told = _told(booking)
        made = _made(logged[booking.diver_id], at) if booking.diver_id else ()
        found[booking.pk] = None if told is None or made is None else _merged(told, made)[-MOST:]
    return found


def logged_before(trip: Trip, bookings: Collection[Booking], at: datetime) -> dict[UUID, int]:
    """By booking, how many dives of the last days the boat logs of other trips tell."""
    logged = made_dives([b.diver_id for b in bookings if b.diver_id], before=at, not_on=trip.pk)
    return {b.pk: len(logged[b.diver_id]) for b in bookings if b.diver_id}


def as_told(before: DiveBefore) -> dict[str, Any]:
    """A dive before a trip as the snapshot holds it. Nitrogen of a gas that nobody analysed counts as in air."""
    return {
        "depth": {"hundredths": before.depth_hundredths, "unit": before.depth_unit},
        "bottom_time_s": before.bottom_time_s,
        "o2_pm": rules.AIR_O2_PM if before.o2_pm is None else before.o2_pm,
        "surfaced_at": round(before.surfaced_at.timestamp() * 1000),
    }


def _told(booking: Booking) -> tuple[DiveBefore, ...] | None:
    if booking.earlier_dives is None:
        return None
    return tuple(
        DiveBefore(
            item["depth"]["hundredths"],
            item["depth"]["unit"],
            item["bottom_time_s"],
            item["o2_pm"],
            True,
            datetime.fromtimestamp(item["surfaced_at"] / 1000, UTC),
        )
        for item in booking.earlier_dives
    )


def _made(rows: Sequence[MadeDive], at: datetime) -> tuple[DiveBefore, ...] | None:
    """None where a log tells of a dive but not all of it, or of one that lasts beyond the instant asked about."""
    made = []
    for row in rows:
        if row.surfaced_at is None or row.surfaced_at > at:
            return None
        if row.depth_hundredths is None or row.bottom_time_s is None:
            return None
        made.append(
            DiveBefore(
                row.depth_hundredths,
                row.depth_unit,
                max(1, row.bottom_time_s),
                row.o2_pm,
                row.o2_pm is not None,
                row.surfaced_at,
            )
        )
    return tuple(made)


def _merged(told: Sequence[DiveBefore], made: Sequence[DiveBefore]) -> tuple[DiveBefore, ...]:
    merged: list[DiveBefore] = []
    for dive in sorted([*told, *made], key=lambda each: (each.surfaced_at, each.bottom_time_s)):
        last = merged[-1] if merged else None
        if last is not None and dive.surfaced_at - timedelta(seconds=dive.bottom_time_s) < last.surfaced_at:
            merged[-1] = _worse(last, dive)
        else:
            merged.append(dive)
    return tuple(merged)


def _worse(one: DiveBefore, other: DiveBefore) -> DiveBefore:
    """Two readings of one dive: the deeper, the longer, the later; the gas with more nitrogen, or the unknown one."""
    deeper = max(one, other, key=lambda each: rules.depth_cm(each.depth_hundredths, each.depth_unit))
    gas = min(one, other, key=lambda each: -1 if each.o2_pm is None else each.o2_pm)
    return replace(
        deeper,
        bottom_time_s=max(one.bottom_time_s, other.bottom_time_s),
        o2_pm=gas.o2_pm,
        analysed=gas.analysed,
        surfaced_at=max(one.surfaced_at, other.surfaced_at),
    )
