"""Reads of the boat logs: entries after a position, the folded state of a trip, heads for whoever reads on."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from teamdive.boatlog import entries as boatlog
from teamdive.boatlog import snapshot
from teamdive.boatlog.fold import State, fold
from teamdive.trips.selectors import snapshot_of

from .models import Device, Entry, Text, TripLog


@dataclass(frozen=True)
class Log:
    """Where a trip's log stands."""

    epoch: UUID | None
    position: int


@dataclass(frozen=True)
class Page:
    """Some entries with their positions and what was wrong with them, their texts, and where the log stands."""

    entries: list[dict[str, Any]]
    texts: list[dict[str, Any]]
    log: Log


def token_hash(token: str) -> str:
    """How a device's token is kept."""
    return sha256(token.encode()).hexdigest()


def device_of(token: str) -> Device | None:
    """The device that holds this token, revoked ones included."""
    return Device.objects.select_related("trip").filter(token_hash=token_hash(token)).first()


def devices(trip_id: UUID) -> QuerySet[Device]:
    """The devices of a trip."""
    return Device.objects.filter(trip=trip_id)


def phone_labels(trip_id: UUID) -> dict[str, str]:
    """What each enrolled phone of a trip is called, by its id; one that was taken off says so."""
    return {
        str(device.pk): device.label + (" (taken off)" if device.revoked_at else "")
        for device in devices(trip_id)
    }


def log_of(trip_id: UUID) -> Log:
    """Epoch and highest position of a trip's log; no epoch before anything touched it."""
    row = TripLog.objects.filter(pk=trip_id).first()
    return Log(None, 0) if row is None else Log(row.epoch, row.last_position)


def epoch_of(trip_id: UUID) -> UUID | None:
    """The epoch of a trip's log."""
    return log_of(trip_id).epoch


def heads() -> dict[UUID, int]:
    """The highest position of every trip that has entries."""
    return dict(TripLog.objects.filter(last_position__gt=0).values_list("trip_id", "last_position"))


def trips_with_entries_after(positions: Mapping[UUID, int]) -> list[UUID]:
    """The trips whose log goes on after the position last seen of each (0 for one not seen)."""
    return sorted(trip for trip, position in heads().items() if position > positions.get(trip, 0))


def page(trip_id: UUID, after: int, limit: int) -> Page:
    """Up to `limit` entries after a position, in order, with the texts that belong to them."""
    # The position first: what is stored meanwhile is for the next page, never skipped.
    log = log_of(trip_id)
    rows = list(Entry.objects.filter(trip=trip_id, position__gt=after).order_by("position")[:limit])
    texts = Text.objects.filter(entry__in=rows).select_related("entry")
    shown = [
        {"entry": str(text.entry.entry_id), "erased": True}
        if text.erased_at is not None
        else {"entry": str(text.entry.entry_id), "salt": text.salt, "text": text.text}
        for text in sorted(texts, key=lambda text: text.entry.position)
    ]
    return Page(
        [{"position": row.position, "entry": json.loads(row.body), "trouble": row.trouble} for row in rows],
        shown,
        log,
    )


def entries(trip_id: UUID, after: int = 0) -> list[boatlog.Entry]:
    """The entries of a trip after a position, in order of position."""
    bodies = (
        Entry.objects.filter(trip=trip_id, position__gt=after)
        .order_by("position")
        .values_list("body", flat=True)
    )
    return [boatlog.read(json.loads(body)) for body in bodies]


def state_of(trip_id: UUID) -> State | None:
    """The folded boat log of a trip; None before its snapshot was made."""
    kept = snapshot_of(trip_id)
    return None if kept is None else fold(snapshot.read(kept["snapshot"]), entries(trip_id))
