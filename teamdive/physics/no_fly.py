"""How long before flying or going to altitude: the consensus, the table and the club's own rule.

All waits count from the last surfacing, in minutes. After a dive beyond its limit no figure is known.
"""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.physics import tables
from teamdive.physics.known import Missing, lacking, missing
from teamdive.physics.nitrogen import NitrogenState
from teamdive.physics.profile import Settings

_RULE = tables.load("no_fly")
SINGLE_MIN: int = _RULE["single_no_stop_dive_min"]
MORE_MIN: int = _RULE["more_dives_or_days_min"]
FROM_FT: int = _RULE["from_ft"]
TO_FT: int = _RULE["to_ft"]
USUAL_CABIN_FT: int = _RULE["usual_cabin_ft"]

NO_FIGURE = missing("a wait after a dive beyond its limit (no published figure)")


@dataclass(frozen=True)
class NoFly:
    """Waits in minutes from the last surfacing; `wait_min` is the longest, `rule` says which that is."""

    consensus_wait_min: int | Missing
    table_wait_min: int | Missing
    club_wait_min: int
    wait_min: int | Missing
    rule: str


def consensus_wait_min(to_altitude_ft: int, dives: int, days: int | None) -> int | Missing:
    """Workshop of 2002: 12 h after a single no-stop dive, 18 h after more dives or several days.

    Days of diving that are not known count as several. Nothing is asked below 2,000 ft, and nothing is
    said above 8,000 ft.
    """
    if to_altitude_ft > TO_FT:
        return missing(f"a consensus for more than {TO_FT} ft")
    if to_altitude_ft < FROM_FT:
        return 0
    return SINGLE_MIN if dives <= 1 and days == 1 else MORE_MIN


def table_wait_min(state: NitrogenState, increase_ft: int) -> int | Missing:
    """Table 9-6 with the highest group of the 24 h before the last surfacing."""
    highest: str | None = None
    for group, _ in state.groups:
        if isinstance(group, Missing):
            return group
        highest = tables.higher_group(highest, group)
    return 0 if highest is None else tables.wait_before_altitude_min(highest, increase_ft)


def no_fly(
    state: NitrogenState,
    settings: Settings,
    to_altitude_ft: int,
    dives: int,
    days: int | None,
    club_wait_min: int,
) -> NoFly:
    """The longest of the three waits before reaching `to_altitude_ft`, after `dives` dives on `days` days."""
    if state.beyond:
        return NoFly(
            NO_FIGURE,
            NO_FIGURE,
            club_wait_min,
            NO_FIGURE,
            "no published figure after a dive beyond its limit",
        )
    consensus = consensus_wait_min(to_altitude_ft, dives, days)
    table = table_wait_min(state, to_altitude_ft - settings.altitude_ft)
    if isinstance(consensus, Missing) or isinstance(table, Missing):
        return NoFly(consensus, table, club_wait_min, lacking(consensus, table), "not known")
    longest = max(consensus, table, club_wait_min)
    if longest == 0:
        rule = f"no wait asked for {to_altitude_ft} ft"
    elif longest == consensus:
        several = (
            "more than one dive or several days of diving"
            if consensus == MORE_MIN
            else "a single no-stop dive"
        )
        rule = f"consensus: {consensus // 60} h after {several}"
    elif longest == table:
        rule = "table: highest repetitive group of the last 24 h"
    else:
        rule = "the club's own wait"
    return NoFly(consensus, table, club_wait_min, longest, rule)
