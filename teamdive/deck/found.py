"""What was found at sea about one diver's dive: the sea, the gauge before and after, how hard it was. Pure.

As experience the easier reading counts: of two currents found on a dive the weaker, of two visibilities the better.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from teamdive.boatlog.claims import Claim, decided
from teamdive.boatlog.dives import Attempt
from teamdive.boatlog.fold import State
from teamdive.boatlog.order import told


@dataclass(frozen=True)
class Found:
    """Knots, metres, degrees Celsius as found; gauges in `pressure_unit`; effort 1 to 5. None: not entered."""

    current_kn: Decimal | None
    visibility_m: Decimal | None
    water_temp_c: Decimal | None
    effort: int | None
    pressure_start: int | None
    pressure_end: int | None
    pressure_unit: str
    cylinder_dl: int | None


def found_on(state: State, person: str, attempt: Attempt, others: list[Attempt]) -> Found:
    """What the log tells of this dive of the person; `others`: all their dives, this one included."""
    start = _reading(_before(state, person, attempt, others))
    end = _reading(_after(state, person, attempt, others))
    same = start is not None and end is not None and start["unit"] == end["unit"]
    unit = (start or end or {"unit": ""})["unit"]
    return Found(
        current_kn=_easier(state, attempt, "current_tenths_kn", 10, min),
        visibility_m=_easier(state, attempt, "visibility_cm", 100, max),
        water_temp_c=_easier(state, attempt, "water_tenths_c", 10, max),
        effort=_effort(state, person, attempt, others),
        pressure_start=None if start is None else start["value"],
        pressure_end=end["value"] if end is not None and (same or start is None) else None,
        pressure_unit=unit,
        cylinder_dl=_cylinder_dl(state, person, attempt),
    )


def _easier(
    state: State, attempt: Attempt, name: str, parts: int, pick: Callable[[list[int]], int]
) -> Decimal | None:
    values = [
        claim.data[name]
        for claim in decided(state, "conditions_found")
        if claim.entry.subject == attempt.dive and claim.data.get(name) is not None
    ]
    return Decimal(pick(values)) / parts if values else None


def _before(
    state: State, person: str, attempt: Attempt, others: list[Attempt]
) -> list[tuple[Claim, dict[str, Any]]]:
    """Gauges read since the diver last came up and before this descent."""
    ended = [each.surfaced[1] for each in others if each.surfaced is not None and each.down < attempt.down]
    since, until = max(ended, default=0), attempt.down[1]
    read = [(claim, claim.data["pressure"]) for claim in _of(state, "gas_checked", person)]
    for claim in decided(state, "team_check_done"):
        read.extend((claim, each["pressure"]) for each in claim.data["pressures"] if each["person"] == person)
    return [(claim, pressure) for claim, pressure in read if since <= claim.at <= until]


def _after(
    state: State, person: str, attempt: Attempt, others: list[Attempt]
) -> list[tuple[Claim, dict[str, Any]]]:
    """Gauges read once the diver was up and before the next descent."""
    read = [
        *_of(state, "pressure_reported", person),
        *(claim for claim in _of(state, "back_aboard", person) if claim.data.get("pressure") is not None),
    ]
    return [(claim, claim.data["pressure"]) for claim in _since_up(read, attempt, others)]


def _effort(state: State, person: str, attempt: Attempt, others: list[Attempt]) -> int | None:
    said = [
        *_of(state, "effort_said", person),
        *(claim for claim in _of(state, "back_aboard", person) if claim.data.get("effort") is not None),
    ]
    last = _last(_since_up(said, attempt, others))
    return None if last is None else int(last.data["effort"])


def _since_up(claims: list[Claim], attempt: Attempt, others: list[Attempt]) -> list[Claim]:
    if attempt.surfaced is None:
        return []
    since = attempt.surfaced[0]
    later = [each.down[0] for each in others if each.down > attempt.down]
    until = min(later, default=None)
    return [
        claim
        for claim in claims
        if claim.data.get("dive", attempt.dive) == attempt.dive
        and claim.at >= since
        and (until is None or claim.at <= until)
    ]


def _of(state: State, kind: str, person: str) -> list[Claim]:
    return [claim for claim in decided(state, kind) if claim.entry.subject == person]


def _last(claims: list[Claim]) -> Claim | None:
    return max(claims, key=lambda claim: told(claim.at, claim.entry), default=None)


def _reading(read: list[tuple[Claim, dict[str, Any]]]) -> dict[str, Any] | None:
    last = max(read, key=lambda each: told(each[0].at, each[0].entry), default=None)
    return None if last is None else last[1]


def _cylinder_dl(state: State, person: str, attempt: Attempt) -> int | None:
    divers = (
        diver
        for dive in state.snapshot.dives
        if dive.id == attempt.dive
        for team in dive.teams
        for diver in team.divers
    )
    return next((diver.cylinder_dl for diver in divers if diver.id == person), None)
