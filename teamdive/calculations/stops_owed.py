"""What an overstay obliges, as the answers of `day` and `plan` write it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from teamdive.physics.ascent import Ascent
from teamdive.physics.diver import DiverLimits, TeamDive, TeamSettings, said
from teamdive.physics.known import Missing
from teamdive.physics.overstay import Overstay, overstays
from teamdive.physics.rounding import tenths_of_minutes_down, tenths_up
from teamdive.physics.units import depth_text

NOT_A_PLAN = (
    "This says what an overstay obliges; it is never a plan. Stops are for divers trained for them: training and "
    "makers' manuals come first."
)


NO_STOP_YET = "no stop yet, for the limit is a few seconds on the safe side"
"""A straight ascent in whole seconds is past it and one exactly at the rate is not."""


def stops_owed(ascent: Ascent | Missing) -> dict[str, Any]:
    """The stops in the depths of the question and whole minutes, the ceiling, and the whole ascent with them."""
    if isinstance(ascent, Missing):
        return ascent.as_json()
    return _ascent(ascent, f"Past the tissue limit: this dive owes {stops_text(ascent)}.")


def _ascent(ascent: Ascent, message: str) -> dict[str, Any]:
    return {
        "ceiling": ascent.ceiling.number,
        "stops": [{"depth": stop.depth.number, "min": stop.minutes} for stop in ascent.stops],
        "stop_min": ascent.stop_min,
        "ascent_min": ascent.minutes,
        "message": message,
        "caution": NOT_A_PLAN,
    }


def overstay(
    dive: TeamDive, members: Sequence[DiverLimits], settings: TeamSettings, asked: bool
) -> list[dict[str, Any]] | dict[str, list[str]] | None:
    """The team's overstays; None where nobody asked and the time planned is within the limit or it is not known."""
    found = overstays(dive, members, settings, asked)
    if isinstance(found, Missing):
        return found.as_json() if asked else None
    return [_overstay(item) for item in found] if asked or found else None


def _overstay(item: Overstay) -> dict[str, Any]:
    past_min = tenths_up(item.past_s / 60)
    owes = stops_text(item.ascent)
    return {
        "past_min": past_min,
        "bottom_time_min": tenths_of_minutes_down(item.bottom_time_s),
        "diver": item.diver,
        **_ascent(
            item.ascent,
            f"{said(past_min)} min past the tissue limit would owe {owes} (diver {item.diver}); "
            "minimum gas does not count it.",
        ),
    }


def stops_text(ascent: Ascent) -> str:
    """As the end of a sentence: `12 min of stops, the first at 6 m`."""
    if not ascent.stops:
        return NO_STOP_YET
    return f"{ascent.stop_min} min of stops, the first at {depth_text(ascent.stops[0].depth)}"
