"""A trip ready for the boat, and what its phones wrote, for everything that tests the deck room."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from teamdive.boatlog.entries import Entry, body
from teamdive.deck import services
from teamdive.deck.models import Device
from tests import reminders_cast
from tests.boat_scene import Phone, trip_body, uid

NOW = datetime(2027, 6, 12, 11, 0, tzinfo=UTC)


def at_sea(**kwargs: Any) -> reminders_cast.Cast:
    """The club, its trip and its people; person `s` leads."""
    return reminders_cast.at_sea(trip_body(**kwargs), uid("s"))


def bodies(*phones: Phone) -> list[dict[str, Any]]:
    return [body(entry) for phone in phones for entry in phone.entries]


def enrolled(cast: reminders_cast.Cast, phone: Phone, public_key: str = "") -> tuple[Device, str]:
    """The phone as a device of the trip, under the id it writes with."""
    device, token = services.enrol(
        trip=cast.trip, label=phone.name, public_key=public_key, by=cast.users[0], now=NOW
    )
    Device.objects.filter(pk=device.pk).update(id=uid(phone.name))
    return Device.objects.get(pk=uid(phone.name)), token


def a_day() -> Phone:
    """One team's dive, as one phone wrote it."""
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.down("09:40")
    phone.up("10:05")
    phone.depth("10:12", "a", 18)
    for name in "ab":
        phone.back("10:08", name)
    return phone


def ids(entries: list[Entry]) -> list[str]:
    return [entry.id for entry in entries]
