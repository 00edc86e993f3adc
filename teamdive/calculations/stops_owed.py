"""What an overstay obliges, as the answers of `day` and `plan` write it."""

from __future__ import annotations

from typing import Any

from teamdive.physics.ascent import Ascent
from teamdive.physics.known import Missing
from teamdive.physics.units import depth_text

NOT_A_PLAN = (
    "This says what an overstay obliges; it is never a plan. Stops are for divers trained for them: training and "
    "makers' manuals come first."
)


def stops_owed(ascent: Ascent | Missing) -> dict[str, Any]:
    """The stops in the depths of the question and whole minutes, the ceiling, and the whole ascent with them."""
    if isinstance(ascent, Missing):
        return ascent.as_json()
    return {
        "ceiling": ascent.ceiling.number,
        "stops": [{"depth": stop.depth.number, "min": stop.minutes} for stop in ascent.stops],
        "stop_min": ascent.stop_min,
        "ascent_min": ascent.minutes,
        "message": f"Past the tissue limit: this dive owes {stops_text(ascent)}.",
        "caution": NOT_A_PLAN,
    }


def stops_text(ascent: Ascent) -> str:
    """As the end of a sentence: `12 min of stops, the first at 6 m`."""
    if not ascent.stops:
        return "no stop"
    return f"{ascent.stop_min} min of stops, the first at {depth_text(ascent.stops[0].depth)}"
