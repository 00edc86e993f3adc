"""Random days against the handbook's procedure written out anew from the printed cells.

US Navy Diving Manual, Revision 7, chapter 9: the worksheet of repetitive dives. The procedure here reads the
transcription as printed (h:mm, letters) and shares no code with the tables of the house.
"""

import json
from fractions import Fraction
from math import ceil, floor
from pathlib import Path
from random import Random

from teamdive.calculations.day import day
from teamdive.physics import tables

DATA = Path(tables.__file__).parent / "data"
NO_STOP = json.loads((DATA / "navy_air_no_stop.json").read_text("utf-8"))
INTERVALS = json.loads((DATA / "navy_air_surface_interval.json").read_text("utf-8"))["rows"]
RESIDUAL = json.loads((DATA / "navy_air_residual_nitrogen.json").read_text("utf-8"))["rows"]
DAYS = 400


def minutes(text):
    hours, rest = text.split(":")
    return 60 * int(hours) + int(rest)


def group_of(row, time):
    for letter in NO_STOP["groups"]:
        longest = row["max_bottom_time_min"][letter]
        if longest is not None and time <= longest:
            return letter
    return row["unlimited_group"]


def rest(group, interval):
    if group is None:
        return None
    row = next(r for r in INTERVALS if r["start_group"] == group)
    if interval > minutes(row["not_repetitive_after"]):
        return None
    return next(b["new_group"] for b in row["bands"] if minutes(b["from"]) <= interval <= minutes(b["to"]))


def worksheet(dives):
    """Yields (table row, group before, residual time, single dive time, limit, group after), None where ** stands.

    Ends after the first dive past its limit or past what the table says.
    """
    group = None
    for depth, bottom, interval in dives:
        if interval is not None:
            group = rest(group, floor(interval))
        row = next(r for r in NO_STOP["rows"] if r["depth_fsw"] >= depth)
        cells = next(r for r in RESIDUAL if r["depth_fsw"] == row["depth_fsw"])
        residual = 0
        if group is not None:
            mark = cells.get("mark", {}).get(group)
            if mark == "undetermined":
                yield row["depth_fsw"], group, None, None, row["no_stop_limit_min"], None
                return
            if mark == "use_30_fsw":
                row = next(r for r in NO_STOP["rows"] if r["depth_fsw"] == 30)
                cells = next(r for r in RESIDUAL if r["depth_fsw"] == 30)
            residual = cells["rnt_min"][group]
        single = residual + ceil(bottom)
        before, group = group, group_of(row, single)
        yield row["depth_fsw"], before, residual, single, row["no_stop_limit_min"], group
        if group is None:
            return


def shown(item):
    names = (
        "table_depth_fsw",
        "group_before",
        "residual_nitrogen_time_min",
        "equivalent_single_dive_time_min",
        "no_stop_limit_min",
        "group_after",
    )
    return tuple(None if isinstance(item[n], dict) else item[n] for n in names)


def random_dives(random):
    dives = []
    for i in range(random.randint(1, 6)):
        depth = Fraction(random.randint(500, random.choice([2_500, 8_000, 13_000])), 100)
        limit = next(r for r in NO_STOP["rows"] if r["depth_fsw"] >= depth)["no_stop_limit_min"] or 400
        bottom = Fraction(random.randint(10, 10 * limit), 10 * random.randint(1, 4))
        interval = (
            None if i == 0 else Fraction(random.randint(100, random.choice([1_500, 5_000, 12_000])), 10)
        )
        dives.append((depth, max(bottom, Fraction(1, 2)), interval))
    return dives


def test_random_days_by_the_book():
    random = Random(9)
    seen = {"repetitive": 0, "undetermined": 0, "past": 0}
    for _ in range(DAYS):
        dives = random_dives(random)
        body = {"depth_unit": "ft", "method": "table", "dives": []}
        for depth, bottom, interval in dives:
            item = {"depth": float(depth), "bottom_time_min": float(bottom), "o2_fraction": 0.21}
            body["dives"].append(
                item if interval is None else {**item, "surface_interval_min": float(interval)}
            )
        answers = day(body)["dives"]
        for expected, item in zip(worksheet(dives), answers, strict=False):
            assert shown(item) == expected
            seen["repetitive"] += expected[1] is not None
            seen["undetermined"] += expected[2] is None
            seen["past"] += expected[3] is not None and expected[5] is None
    assert seen["repetitive"] > 300
    assert seen["undetermined"] > 20
    assert seen["past"] > 40


def test_every_printed_cell_through_the_whole_calculation():
    """Table 9-7: each printed time gives its group, a second more the next one or none; every row has its limit."""
    cells = 0
    for row in NO_STOP["rows"]:
        for time in sorted({t for t in row["max_bottom_time_min"].values() if t is not None}):
            for minute in (time, time + 1 / 60):
                body = {"depth_unit": "ft", "method": "table"}
                dive = {"depth": row["depth_fsw"], "bottom_time_min": minute, "o2_fraction": 0.21}
                item = day(body | {"dives": [dive]})["dives"][0]
                assert item["group_after"] == group_of(row, ceil(minute - 1e-9))
                assert item["no_stop_limit_min"] == item["limit_min"] == row["no_stop_limit_min"]
                limit = row["no_stop_limit_min"]
                assert item["table_within_limit"] is (limit is None or minute <= limit)
                cells += 1
    assert cells == 2 * sum(len({*row["max_bottom_time_min"].values()} - {None}) for row in NO_STOP["rows"])
