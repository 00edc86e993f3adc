"""What is known of one person for one dive, before it becomes a body of a calculation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from .models import Booking, GasCheck


@dataclass(frozen=True)
class DiveBefore:
    """A dive of the same trip or shortly before it, as far as it is known."""

    depth_hundredths: int
    depth_unit: str
    bottom_time_s: int
    o2_pm: int | None
    analysed: bool
    surfaced_at: datetime


@dataclass(frozen=True)
class PersonFacts:
    """One diver for one dive. `before` None: not known. `gas` None: nothing recorded for this dive."""

    booking: Booking
    experience: Mapping[str, Any]
    before: tuple[DiveBefore, ...] | None
    gas: GasCheck | None
    # Bookings of this trip whose diver is a guardian of this one.
    guardians: tuple[str, ...] = ()
