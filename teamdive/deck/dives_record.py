"""The written record of each diver's dives, as lines to print.

What such a record has to hold: names, who dived together, whether a dive computer was read, who says so, when each left
the surface and came up, for how long, how deep, and any incident or discomfort (Queensland, Recreational Water
Activities Regulation 2024, s 23; other places ask for other things, local law stands).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from teamdive.boatlog.claims import readings
from teamdive.boatlog.dives import Attempt
from teamdive.boatlog.facts import Facts
from teamdive.boatlog.fold import State, about

# What is told of how a diver fared, of those kinds only that something was: what was felt is text beside the log.
_OF_THE_DIVE = ("ascended_too_fast", "stop_missed", "symptoms_asked")
_OF_THE_PERSON = ("held_from_diving", "incident", "oxygen_started")


@dataclass(frozen=True)
class DiveLine:
    """One dive of one person: [earliest, latest] in ms, `depth` the deepest reported in the team or None.

    `computer`: whether a depth of theirs was read off an instrument. `by`: whoever entered it. `told`: ids of the
    entries that tell of an incident or of how they were; `asked`: whether anybody asked.
    """

    person: str
    dive: str
    teams: tuple[str, ...]
    mates: tuple[str, ...]
    down: tuple[int, int]
    surfaced: tuple[int, int] | None
    depth: dict[str, Any] | None
    computer: bool
    by: tuple[str, ...]
    told: tuple[str, ...]
    asked: bool


def dives_record(state: State, known: Facts) -> tuple[DiveLine, ...]:
    """Every dive of everyone, in order of descent."""
    lines = [
        _line(state, person, attempt, attempts[number + 1] if number + 1 < len(attempts) else None)
        for person, attempts in known.attempts.items()
        for number, attempt in enumerate(attempts)
    ]
    return tuple(sorted(lines, key=lambda line: (line.down, line.dive, line.teams, line.person)))


def _line(state: State, person: str, attempt: Attempt, following: Attempt | None) -> DiveLine:
    by = {entry.by for id in attempt.entries for entry in state.by_id.get(id, ()) if entry.by is not None}
    told: list[str] = []
    asked = computer = False
    for entry in about(state, person):
        claims = readings(state, entry).claims
        if not claims:
            continue
        at = claims[0].at
        during = attempt.down[0] <= at and (following is None or at < following.down[0])
        if (
            entry.kind == "depth_reported"
            and entry.data["dive"] == attempt.dive
            and claims[0].subject == person
        ):
            computer = computer or entry.data.get("from") == "instrument"
        elif entry.kind in _OF_THE_DIVE and entry.subject == person and entry.data["dive"] == attempt.dive:
            asked = asked or entry.kind == "symptoms_asked"
            if entry.kind != "symptoms_asked" or entry.data["said"] == "not_well":
                told.append(entry.id)
        elif entry.kind in _OF_THE_PERSON and during and not entry.data.get("released", False):
            told.append(entry.id)
    return DiveLine(
        person=person,
        dive=attempt.dive,
        teams=attempt.teams,
        mates=attempt.mates,
        down=attempt.down,
        surfaced=attempt.surfaced,
        depth=None if attempt.depth is None else dict(attempt.depth),
        computer=computer,
        by=tuple(sorted(by)),
        told=tuple(told),
        asked=asked,
    )
