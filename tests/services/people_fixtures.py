"""One invented club with one account of each role: the cast of the people and trips tests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from teamdive.people import services
from teamdive.people.models import Club, Diver, User

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


@dataclass(frozen=True)
class Cast:
    club: Club
    organiser: User
    leader: User
    diver: User
    diver_record: Diver
    other_record: Diver
    stranger: User


def cast() -> Cast:
    """A club with an organiser, a leader, a diver with a record, another's record; and a stranger of another club."""
    club = services.add_club(name="Varrow Bay divers", time_zone="Atlantic/Azores")
    record = services.add_diver(club=club, name="Noor Haddow", email="noor@varrow.example")
    other = services.add_diver(club=club, name="Kit Lavery", email="kit@varrow.example", notes="asked twice")
    elsewhere = services.add_club(name="Sallow Head divers")
    return Cast(
        club=club,
        organiser=services.add_member(club=club, email="organiser@varrow.example", role="organiser"),
        leader=services.add_member(club=club, email="leader@varrow.example", role="leader"),
        diver=services.add_member(club=club, email="noor@varrow.example", role="diver", diver=record),
        diver_record=record,
        other_record=other,
        stranger=services.add_member(club=elsewhere, email="stranger@sallow.example", role="organiser"),
    )
