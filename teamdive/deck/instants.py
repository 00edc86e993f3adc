"""Instants of the boat log as dates. An entry may tell any instant, also one that no calendar has."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

# A day short of what a date can hold, so that it still can in any time zone.
_FIRST_MS = round(datetime(1, 1, 2, tzinfo=UTC).timestamp() * 1000)
_LAST_MS = round(datetime(9999, 12, 30, tzinfo=UTC).timestamp() * 1000)


def date_of(ms: int) -> datetime:
    """The date of an instant (ms since 1970 UTC); beyond any calendar the first or last that there is."""
    return datetime.fromtimestamp(max(_FIRST_MS, min(ms, _LAST_MS)) / 1000, UTC)


def clock_words(ms: int, zone: str) -> str:
    """An instant (ms since 1970 UTC) as date and time of day in a zone; one that no calendar has is said to be so."""
    if not _FIRST_MS <= ms <= _LAST_MS:
        return f"not a date ({ms} ms)"
    return date_of(ms).astimezone(ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M:%S")
