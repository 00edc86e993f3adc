"""The air tables of the US Navy Diving Manual, Revision 7, as pure look-ups.

Table 9-7 (no-stop limits and repetitive groups), Table 9-8 (surface interval credit and residual
nitrogen time), Table 9-6 (interval before ascent to altitude) and Table 9-5 (group on arrival at
altitude). The cells are the JSON files in `data/`, which say how they were transcribed and that they
have not been compared with the printed manual.

Depth goes up to the next row, bottom time up to the next column, an interval down to its whole
minute. Exceptions that only relax an answer (repeating a dive to the same depth, the residual
nitrogen time exception) are left out.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from teamdive.physics.known import Missing, missing
from teamdive.physics.rounding import ceil_div
from teamdive.physics.units import Depth

DATA = Path(__file__).parent / "data"


def load(name: str) -> Any:
    return json.loads((DATA / f"{name}.json").read_text(encoding="utf-8"))


@dataclass(frozen=True)
class NoStopRow:
    """One depth of Table 9-7: the printed (group, longest bottom time) pairs, shortest first."""

    depth_fsw: int
    no_stop_limit_min: int | None
    listed: tuple[tuple[str, int], ...]
    unlimited_group: str | None


@dataclass(frozen=True)
class Band:
    """One surface interval band of Table 9-8, both ends inclusive, in minutes."""

    from_min: int
    to_min: int
    new_group: str


@dataclass(frozen=True)
class Entry:
    """Where a time enters a row: the listed time and group, or None past the last column.

    On an unlimited row, past the last column, `time_min` is None and `group` the unlimited group.
    """

    time_min: int | None
    group: str | None
    within: bool


@dataclass(frozen=True)
class Residual:
    """Residual nitrogen time and the row it must be used on (one row deeper for a dagger)."""

    minutes: int | Missing
    row_fsw: int


def _no_stop_rows() -> dict[int, NoStopRow]:
    data = load("navy_air_no_stop")
    rows = {}
    for row in data["rows"]:
        cells = row["max_bottom_time_min"]
        listed = tuple((g, cells[g]) for g in data["groups"] if cells[g] is not None)
        rows[row["depth_fsw"]] = NoStopRow(
            row["depth_fsw"], row["no_stop_limit_min"], listed, row["unlimited_group"]
        )
    return rows


def _bands() -> dict[str, tuple[Band, ...]]:
    return {
        row["start_group"]: tuple(Band(b["from_min"], b["to_min"], b["new_group"]) for b in row["bands"])
        for row in load("navy_air_surface_interval")["rows"]
    }


GROUPS: tuple[str, ...] = tuple(load("navy_air_no_stop")["groups"])
ROWS: dict[int, NoStopRow] = _no_stop_rows()
DEPTHS_FSW: tuple[int, ...] = tuple(ROWS)
DEEPEST_FSW = DEPTHS_FSW[-1]
BANDS: dict[str, tuple[Band, ...]] = _bands()
NOT_REPETITIVE_AFTER_MIN: dict[str, int] = {
    row["start_group"]: row["not_repetitive_after_min"] for row in load("navy_air_surface_interval")["rows"]
}
RESIDUAL: dict[int, dict[str, int | None]] = {
    row["depth_fsw"]: row["rnt_min"] for row in load("navy_air_residual_nitrogen")["rows"]
}
RESIDUAL_MARK: dict[int, dict[str, str]] = {
    row["depth_fsw"]: row["mark"] for row in load("navy_air_residual_nitrogen")["rows"]
}
WAIT_MIN: dict[str, dict[str, int]] = {
    row["group"]: row["required_interval_min"] for row in load("navy_air_ascent_to_altitude")["rows"]
}
ARRIVAL_GROUP: dict[int, str] = {
    row["altitude_ft"]: row["group"] for row in load("navy_air_altitude")["group_on_arrival"]
}
HIGHEST_ALTITUDE_FT: int = load("navy_air_altitude")["max_altitude_ft"]

LEAST_INTERVAL_MIN = 10
DAGGER_ROW_FSW = 30


def row_for(depth: Depth) -> int | None:
    """The row a depth enters, in fsw: the least listed depth not shallower; None past the last."""
    fsw = depth.fsw_up
    for listed in DEPTHS_FSW:
        if listed >= fsw:
            return listed
    return None


def no_stop_limit_min(row_fsw: int) -> int | None:
    """Table 9-7 no-stop limit of a row; None where the no-stop time is unlimited."""
    return ROWS[row_fsw].no_stop_limit_min


def limit_with_steps_min(row_fsw: int, steps: int) -> int | None:
    """Longest time that is still within the limit when the table is entered `steps` columns longer.

    None where the no-stop time is unlimited; 0 where no column is left.
    """
    row = ROWS[row_fsw]
    if row.no_stop_limit_min is None:
        return None
    if steps >= len(row.listed):
        return 0
    return row.listed[len(row.listed) - 1 - steps][1]


def enter(row_fsw: int, time_min: int, steps: int = 0) -> Entry:
    """Enter a row with an equivalent single dive time, `steps` columns longer than it needs.

    A leading blank column is skipped (150 fsw and deeper start at B or C), never read as a lower group.
    """
    row = ROWS[row_fsw]
    column = 0
    while column < len(row.listed) and row.listed[column][1] < time_min:
        column += 1
    column += steps
    if column < len(row.listed):
        group, listed_min = row.listed[column]
        return Entry(listed_min, group, True)
    return Entry(None, row.unlimited_group, row.unlimited_group is not None)


def group_after(row_fsw: int, time_min: int, steps: int = 0) -> str | None:
    """Repetitive group after an equivalent single dive time; None past the no-stop limit."""
    return enter(row_fsw, time_min, steps).group


def group_after_interval(group: str, interval_min: int) -> str | None:
    """Group at the end of a surface interval in whole minutes; None once no longer repetitive.

    Under ten minutes the group has not changed (and the dives are one dive).
    """
    if interval_min < LEAST_INTERVAL_MIN:
        return group
    for band in BANDS[group]:
        if interval_min <= band.to_min:
            return band.new_group
    return None


def residual_nitrogen_time(group: str, row_fsw: int) -> Residual:
    """Residual nitrogen time at a row, and the row to use it on.

    25 fsw with group O or Z takes the 30 fsw row; a cell printed as undetermined is not known.
    """
    mark = RESIDUAL_MARK[row_fsw].get(group)
    row = DAGGER_ROW_FSW if mark == "use_30_fsw" else row_fsw
    minutes = RESIDUAL[row][group]
    if minutes is None:
        what = f"residual nitrogen time of group {group} at {row} fsw (undetermined in the table)"
        return Residual(missing(what), row)
    return Residual(minutes, row)


def higher_group(a: str | None, b: str | None) -> str | None:
    """The later letter of two groups; None is lower than every group."""
    if a is None or b is None:
        return a if b is None else b
    return b if GROUPS.index(b) > GROUPS.index(a) else a


def altitude_row_ft(altitude_ft: int) -> int:
    """An altitude rounded up to the next 1,000 ft, as Tables 9-5 and 9-6 ask."""
    return ceil_div(altitude_ft, 1000) * 1000


def wait_before_altitude_min(group: str, increase_ft: int) -> int | Missing:
    """Table 9-6: minutes from surfacing before going `increase_ft` higher, 0 where none is asked."""
    if increase_ft <= 0:
        return 0
    row = altitude_row_ft(increase_ft)
    if row > HIGHEST_ALTITUDE_FT:
        return missing(f"a wait for more than {HIGHEST_ALTITUDE_FT} ft (past the table)")
    return WAIT_MIN[group][str(row)]


def group_on_arrival(increase_ft: int) -> str | Missing | None:
    """Table 9-5: group on arrival `increase_ft` above the altitude one was used to; None for no rise."""
    if increase_ft <= 0:
        return None
    row = altitude_row_ft(increase_ft)
    if row > HIGHEST_ALTITUDE_FT:
        return missing(f"a group on arrival more than {HIGHEST_ALTITUDE_FT} ft higher (past the table)")
    return ARRIVAL_GROUP[row]
