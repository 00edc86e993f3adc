"""US Navy Diving Manual, Revision 7: Tables 9-7, 9-8, 9-6 and 9-5, cell by cell.

The cells are those of the transcription in teamdive/physics/data (not compared with the printed manual).
They are read here again as printed (h:mm, letters), by code that shares nothing with the look-ups.
"""

import json
from itertools import pairwise
from pathlib import Path

import pytest

from teamdive.physics import tables
from teamdive.physics.known import Missing
from teamdive.physics.units import Depth, depth

DATA = Path(tables.__file__).parent / "data"


def printed(name):
    return json.loads((DATA / f"{name}.json").read_text("utf-8"))


def minutes(text):
    hours, mins = text.split(":")
    return int(hours) * 60 + int(mins)


NO_STOP = printed("navy_air_no_stop")
LETTERS = NO_STOP["groups"]


def test_every_row_and_group_is_there():
    assert [row["depth_fsw"] for row in NO_STOP["rows"]] == [*range(10, 61, 5), *range(70, 191, 10)]
    assert [*"ABCDEFGHIJKLMNO", "Z"] == LETTERS
    assert tuple(row["depth_fsw"] for row in NO_STOP["rows"]) == tables.DEPTHS_FSW


@pytest.mark.parametrize("row", NO_STOP["rows"], ids=lambda row: str(row["depth_fsw"]))
def test_every_minute_of_every_no_stop_row(row):
    """The group is the first letter whose value is not less than the bottom time."""
    cells = [(letter, row["max_bottom_time_min"][letter]) for letter in LETTERS]
    limit = row["no_stop_limit_min"]
    assert tables.no_stop_limit_min(row["depth_fsw"]) == limit
    for time in range(1, 1200):
        fitting = [letter for letter, value in cells if value is not None and value >= time]
        expected = fitting[0] if fitting else row["unlimited_group"]
        assert tables.group_after(row["depth_fsw"], time) == expected
        if limit is not None:
            assert (expected is not None) == (time <= limit)


def test_unlimited_rows_and_leading_blanks():
    assert [tables.group_after(row, 10_000) for row in (10, 15, 20)] == ["F", "I", "L"]
    assert tables.group_after(150, 1) == "B"
    assert tables.group_after(170, 1) == "C"
    assert tables.group_after(190, 6) is None


@pytest.mark.parametrize(
    "row", printed("navy_air_surface_interval")["rows"], ids=lambda row: row["start_group"]
)
def test_every_minute_of_every_interval(row):
    start = row["start_group"]
    last = minutes(row["not_repetitive_after"])
    for time in range(10, last + 60):
        bands = [b for b in row["bands"] if minutes(b["from"]) <= time <= minutes(b["to"])]
        expected = bands[0]["new_group"] if bands else None
        assert len(bands) == (1 if time <= last else 0)
        assert tables.group_after_interval(start, time) == expected
    assert tables.group_after_interval(start, 9) == start


def test_interval_bands_are_additive():
    """Within a row bands touch; and letting a group decay in two steps never helps more than in one."""
    for start, bands in tables.BANDS.items():
        assert bands[0].from_min == 10
        assert all(a.to_min + 1 == b.from_min for a, b in pairwise(bands))
        assert [b.new_group for b in bands] == list(reversed(LETTERS[: LETTERS.index(start) + 1]))
    differences = [
        tables.NOT_REPETITIVE_AFTER_MIN[b] - tables.NOT_REPETITIVE_AFTER_MIN[a] for a, b in pairwise(LETTERS)
    ]
    assert all(52 <= d <= 76 for d in differences)


@pytest.mark.parametrize(
    "row", printed("navy_air_residual_nitrogen")["rows"], ids=lambda row: str(row["depth_fsw"])
)
def test_every_cell_of_residual_nitrogen(row):
    at_30 = next(r for r in printed("navy_air_residual_nitrogen")["rows"] if r["depth_fsw"] == 30)
    for letter in LETTERS:
        residual = tables.residual_nitrogen_time(letter, row["depth_fsw"])
        mark = row.get("mark", {}).get(letter)
        if mark == "undetermined":
            assert isinstance(residual.minutes, Missing)
        elif mark == "use_30_fsw":
            assert (residual.minutes, residual.row_fsw) == (at_30["rnt_min"][letter], 30)
        else:
            assert (residual.minutes, residual.row_fsw) == (row["rnt_min"][letter], row["depth_fsw"])


def test_the_dagger_stands_at_25_fsw_for_o_and_z_only():
    marked = [
        (fsw, letter)
        for fsw, marks in tables.RESIDUAL_MARK.items()
        for letter, m in marks.items()
        if m == "use_30_fsw"
    ]
    assert marked == [(25, "O"), (25, "Z")]


def test_residual_nitrogen_covers_what_the_group_stands_for():
    """A group's residual time is at least the longest bottom time that gave the group at that depth."""
    for fsw, row in tables.ROWS.items():
        for letter, longest in row.listed:
            if longest == row.no_stop_limit_min:
                continue  # the last column is cut at the no-stop limit
            residual = tables.RESIDUAL[fsw][letter]
            if residual is not None:
                assert residual >= longest


@pytest.mark.parametrize("row", printed("navy_air_ascent_to_altitude")["rows"], ids=lambda row: row["group"])
def test_every_cell_of_the_wait_before_altitude(row):
    for feet, text in row["required_interval"].items():
        assert tables.wait_before_altitude_min(row["group"], int(feet)) == minutes(text)
        assert tables.wait_before_altitude_min(row["group"], int(feet) - 999) == minutes(text)
    assert tables.wait_before_altitude_min(row["group"], 0) == 0
    assert isinstance(tables.wait_before_altitude_min(row["group"], 10_001), Missing)


def test_tables_are_monotone():
    for shallow, deep in pairwise(tables.DEPTHS_FSW):
        for time in range(1, 60):
            a, b = tables.group_after(shallow, time), tables.group_after(deep, time)
            assert b is None or (a is not None and LETTERS.index(b) >= LETTERS.index(a))
        # A deeper row never has more residual nitrogen time. Groups of the dagger are on the 30 fsw row.
        for letter in LETTERS:
            x, y = tables.RESIDUAL[shallow][letter], tables.RESIDUAL[deep][letter]
            assert x is None or y is None or y <= x
    waits = [[tables.WAIT_MIN[g][str(ft)] for ft in range(1000, 10_001, 1000)] for g in LETTERS]
    assert all(row == sorted(row) for row in waits)
    assert all(list(column) == sorted(column) for column in zip(*waits, strict=True))


def test_feet_find_their_own_row_and_metres_the_next():
    """A depth typed in feet enters the row of that many feet; 120.1 ft the next (US Navy: round depth up)."""
    for fsw in tables.DEPTHS_FSW:
        assert tables.row_for(depth(fsw, "ft")) == fsw
    assert tables.row_for(depth(120.1, "ft")) == 130
    assert tables.row_for(depth(191, "ft")) is None
    for cm in range(1, 6000):
        fitting = [fsw for fsw in tables.DEPTHS_FSW if 30643 * fsw >= 1000 * cm]
        assert tables.row_for(Depth(cm, "m")) == (fitting[0] if fitting else None)
    metres = {18: 60, 20: 70, 21: 70, 22: 80, 24: 80, 25: 90, 27: 90, 28: 100, 30: 100, 31: 110, 33: 110}
    assert {m: tables.row_for(depth(m, "m")) for m in metres} == metres
