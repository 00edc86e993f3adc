"""Entries of a newer phone, or that nobody understands: kept and shown, and in the way of nothing else."""

from __future__ import annotations

from typing import Any

import pytest

from teamdive.boatlog import chain
from teamdive.deck import record, sheets
from teamdive.deck.models import DiverStatus
from teamdive.reminders import selectors_shore
from tests.boat_scene import Phone
from tests.shore_cast import Shore, called, hand_in, left_without_b, sweep, utc

pytestmark = pytest.mark.django_db

ODD: list[dict[str, Any]] = [
    {"fix": {}},
    {"fix": {"lat_e6": "north", "lon_e6": None, "accuracy_m": []}},
    {"fix": {"grid": "27T WG 1234 5678"}},
    {"fix": "at the buoy"},
    {"depth": {"unit": "m", "hundredths": "deep"}},
    {"depth": {"unit": 3, "value": None}},
    {
        "boat": {"a": 1},
        "place": ["x"],
        "dive": 5,
        "team": [],
        "members": [None, 3],
        "people": "ab",
        "seen": {},
    },
    {"earliest": "early", "latest": [], "at": {}, "bottom_time_s": "long", "wave_cm": 9007199254740991},
    {"offset_ms": "x", "subject": 5, "data": 7, "void": "maybe"},
    {"a": {"b": {"c": [1, {"d": None}]}}, "text": "x" * 5000},
]
# One that nobody here knows yet, and some whose data is then not understood, or has more than is known of it.
KINDS = ("tide_read", "departed", "down", "surfaced", "clock_compared", "joined", "trip_ended", "note")


@pytest.mark.parametrize("data", ODD, ids=lambda data: "-".join(data))
@pytest.mark.parametrize("kind", KINDS)
def test_an_entry_that_nobody_understands_takes_no_log_away(
    shore: Shore, kind: str, data: dict[str, Any]
) -> None:
    newer, phone = Phone("p2"), left_without_b()
    last = newer.write("note", "trip", "10:30")
    drawn = {"trip": last.trip, "device": last.device, "by": last.by, "at": last.at, "subject": last.subject}
    newer.entries.append(
        chain.append(
            chain.Head(last.seq, last.hash),
            last.clock,
            last.clock.ms + 1000,
            b"0123456789",
            {**drawn, "kind": kind, "data": data},
        )
    )
    hand_in(shore, newer, "10:52")
    hand_in(shore, phone, "10:52")
    sweep(shore, "10:53")
    assert not selectors_shore.page(shore.club.trip, shore.plan, utc("10:53")).unread
    assert called() == [("not_accounted_for", "Bryn Tal", 0)]
    assert DiverStatus.objects.count() == 2
    known, labels = record.as_known(shore.club.trip.pk, at=utc("10:55")), record.labels(shore.club.trip.pk)
    assert kind.replace("_", " ") in sheets.page(known, "Boat log", "Atlantic/Azores", labels)
    assert sheets.table(known, "Atlantic/Azores", labels).count("\r\n") >= len(known.entries)
