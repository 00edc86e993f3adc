"""Every cell of the US Navy air tables (Revision 7) against the answers of `day`, and every edge of them.

The cells are read here as printed (h:mm, letters) by code that shares nothing with the look-ups; they are a
transcription that has not been compared with the printed manual.
"""

import json
from itertools import pairwise
from pathlib import Path

import pytest

from teamdive.calculations.day import day
from teamdive.calculations.problem import Problem
from teamdive.physics import tables
from teamdive.physics.known import Missing
from teamdive.physics.units import Depth, depth

DATA = Path(tables.__file__).parent / "data"
FOR_EACH = {"depth_unit": "ft", "method": "table", "days_of_diving": 1}


def printed(name):
    return json.loads((DATA / f"{name}.json").read_text("utf-8"))


def minutes(text):
    hours, mins = text.split(":")
    return int(hours) * 60 + int(mins)


NO_STOP = printed("navy_air_no_stop")
LETTERS = NO_STOP["groups"]
FIRST = {
    letter: next(
        (row["depth_fsw"], row["max_bottom_time_min"][letter])
        for row in reversed(NO_STOP["rows"])
        if row["max_bottom_time_min"][letter] is not None
    )
    for letter in LETTERS
}
"""For each letter the deepest dive that ends in it."""


def dive(deep, bottom, interval=None):
    made = {"depth": deep, "bottom_time_min": bottom, "o2_fraction": 0.21}
    return made if interval is None else {"surface_interval_min": interval, **made}


def feet(*dives, **more):
    return day({**FOR_EACH, "dives": list(dives), **more})


def after(letter):
    return dive(*FIRST[letter])


@pytest.mark.parametrize("row", NO_STOP["rows"], ids=lambda row: str(row["depth_fsw"]))
def test_every_no_stop_cell(row):
    """Table 9-7: the listed time gives its letter, a second more the next column or none."""
    cells = [(letter, row["max_bottom_time_min"][letter]) for letter in LETTERS]
    listed = [(letter, longest) for letter, longest in cells if longest is not None]
    for i, (letter, longest) in enumerate(listed):
        made = feet(dive(row["depth_fsw"], longest))["dives"][0]
        assert (made["group_after"], made["table_entry_time_min"]) == (letter, longest)
        assert made["no_stop_limit_min"] == row["no_stop_limit_min"]
        assert made["table_within_limit"] is True
        over = feet(dive(row["depth_fsw"], longest + 1 / 60))["dives"][0]
        coming = listed[i + 1][0] if i + 1 < len(listed) else row["unlimited_group"]
        assert over["group_after"] == coming
        assert over["table_within_limit"] is (coming is not None)


def test_every_band_of_every_surface_interval():
    """Table 9-8, upper part: both ends of a band are in it; past the last one nothing is left."""
    for row in printed("navy_air_surface_interval")["rows"]:
        start = row["start_group"]
        for band in row["bands"]:
            for text in (band["from"], band["to"]):
                made = feet(after(start), dive(30, 5, minutes(text)))["dives"][1]
                assert made["group_before"] == band["new_group"], (start, text)
        last = minutes(row["not_repetitive_after"])
        for interval, expected in ((last + 59 / 60, row["bands"][-1]["new_group"]), (last + 1, None)):
            made = feet(after(start), dive(30, 5, interval))["dives"][1]
            assert made["group_before"] == expected
            now = feet(after(start), minutes_since_surfacing=interval)["now"]
            assert now["group"] == expected
            assert now["table_not_repetitive_after_min"] == (0 if expected is None else 1)
        assert made["residual_nitrogen_time_min"] == 0


def test_every_cell_of_residual_nitrogen():
    """Table 9-8, lower part, ten minutes after surfacing; an undetermined cell is not known, with all that follows."""
    rows = printed("navy_air_residual_nitrogen")["rows"]
    at_30 = next(row for row in rows if row["depth_fsw"] == 30)["rnt_min"]
    undetermined = 0
    for row in rows:
        for letter in LETTERS:
            answer = feet(after(letter), dive(row["depth_fsw"], 1, 10))
            made = answer["dives"][1]
            mark = row.get("mark", {}).get(letter)
            assert made["group_before"] == letter
            if mark == "undetermined":
                undetermined += 1
                for name in (
                    "residual_nitrogen_time_min",
                    "adjusted_no_stop_limit_min",
                    "group_after",
                    "limit_min",
                ):
                    assert "undetermined" in made[name]["not_known"][0]
                assert "not_known" in answer["no_fly"]["wait_min"]
            else:
                expected = at_30[letter] if mark == "use_30_fsw" else row["rnt_min"][letter]
                assert made["residual_nitrogen_time_min"] == expected
                assert made["table_depth_fsw"] == (30 if mark == "use_30_fsw" else row["depth_fsw"])
    assert undetermined == sum(list(row.get("mark", {}).values()).count("undetermined") for row in rows) > 0


@pytest.mark.parametrize("row", printed("navy_air_ascent_to_altitude")["rows"], ids=lambda row: row["group"])
def test_every_cell_of_the_wait_before_altitude(row):
    """Table 9-6, at the printed rise and a foot above the one before it."""
    rises = [(int(rise), minutes(text)) for rise, text in row["required_interval"].items()]
    to = [{"to_altitude_ft": at, "by": "road"} for rise, _ in rises for at in (rise, rise - 999)]
    found = feet(after(row["group"]), no_fly={"to": to})["no_fly"]["destinations"]
    assert [one["table_wait_min"] for one in found] == [wait for _, wait in rises for _ in range(2)]
    level = feet(after(row["group"]), no_fly={"to_altitude_ft": 0})["no_fly"]
    assert (level["table_wait_min"], level["wait_min"]) == (0, 0)


ARRIVAL = [(row["altitude_ft"], row["group"]) for row in printed("navy_air_altitude")["group_on_arrival"]]


def test_every_group_on_arrival_at_altitude():
    """Table 9-5: altitude rounded up; the difference to where one lived; nothing for who lives there."""
    for altitude, group in ARRIVAL:
        for at in (altitude, altitude - 999):
            made = feet(dive(10, 1), site_altitude_ft=at, hours_at_altitude=0)["dives"][0]
            assert made["group_before"] == group
        for home, expected in ARRIVAL:
            if altitude + home <= 10_000:
                site = {"site_altitude_ft": altitude + home, "home_altitude_ft": altitude}
                made = feet(dive(10, 1), hours_at_altitude=0, **site)["dives"][0]
                assert made["group_before"] == expected
        lives = feet(dive(10, 1), site_altitude_ft=altitude, home_altitude_ft=altitude)["dives"][0]
        assert lives["group_before"] is None


def test_second_ascent():
    """US Navy Diving Manual, Rev 4 Change A, p. 9-41: from 6,000 to 10,000 ft is a difference of 4,000 ft, group C."""
    site = {"site_altitude_ft": 10_000, "home_altitude_ft": 6000}
    assert feet(dive(30, 5), hours_at_altitude=0, **site)["dives"][0]["group_before"] == "C"
    # Of two lives the lower loads more; who lives higher than the site is at rest there.
    limits = [
        feet(dive(60, 5), site_altitude_ft=6000, hours_at_altitude=0, home_altitude_ft=home)["dives"][0]
        for home in (0, 3000, 6000, 9000)
    ]
    times = [made["tissue_no_stop_limit_min"] for made in limits]
    assert times == sorted(times) and times[0] < times[2] == times[3]
    assert limits[3]["group_before"] is None
    # Home is rounded down, the safe side: 914.3 m is 2,999.7 ft, and 6,000 ft more than 3,000 ft higher.
    near = feet(dive(10, 1), site_altitude_ft=6000, home_altitude_m=914.3, hours_at_altitude=0)["dives"][0]
    assert near["group_before"] == dict(ARRIVAL)[4000] != dict(ARRIVAL)[3000]


def test_home_needs_a_site():
    with pytest.raises(Problem) as raised:
        feet(dive(10, 1), home_altitude_ft=3000)
    assert [(e.pointer, e.code) for e in raised.value.errors] == [("/home_altitude_ft", "not_allowed")]


ICAO = {2000: 942.13, 5000: 843.07, 8000: 752.62, 10_000: 696.82}
"""Pressure of the standard atmosphere (ISO 2533), hPa, by altitude in feet."""


@pytest.mark.parametrize(("altitude", "hpa"), ICAO.items())
def test_sea_level_equivalent_depth(altitude, hpa):
    """Depth x 1013.25 / pressure, up to the next row (Rev 4 Change A, 9-12.1.1: 60 fsw at 5,000 ft is 72.1 fsw)."""
    rows = [row["depth_fsw"] for row in NO_STOP["rows"]]
    for deep in range(10, 191, 3):
        equal = deep * 1013.25 / hpa
        made = feet(dive(deep, 1), site_altitude_ft=altitude, home_altitude_ft=altitude)["dives"][0]
        fitting = [row for row in rows if row >= equal]
        if fitting:
            assert made["table_depth_fsw"] == fitting[0]
        else:
            for name in ("table_depth_fsw", "no_stop_limit_min", "group_after", "limit_min"):
                assert made[name] == {"not_known": ["a table row past 190 fsw"]}
    assert round(60 * 1013.25 / ICAO[5000], 1) == 72.1


def test_dives_made_before_going_to_altitude_are_not_guessed():
    """No table joins groups of two altitudes."""
    state = feet(dive(60, 20))["state"]
    kept = {**state, "minutes_before_descent": 300}
    up = feet(dive(30, 5), site_altitude_ft=4000, hours_at_altitude=2, state_before=kept)
    assert "not_known" in up["dives"][0]["group_before"]


def test_depth_at_every_edge():
    """0 is no dive, a row is itself, a hundredth of a foot beyond is the next row, past 190 fsw there is none."""
    for shallow, deep in pairwise(row["depth_fsw"] for row in NO_STOP["rows"]):
        for typed, row in ((shallow, shallow), (shallow + 0.1, deep), (shallow + 0.01, deep), (deep, deep)):
            assert feet(dive(typed, 1))["dives"][0]["table_depth_fsw"] == row
    assert feet(dive(0.01, 1))["dives"][0]["table_depth_fsw"] == 10
    assert tables.row_for(Depth(0, "ft")) == 10
    assert tables.row_for(depth(190, "ft")) == 190
    assert tables.row_for(depth(190.01, "ft")) is None
    for wrong in (0, 190.1, -1):
        with pytest.raises(Problem) as raised:
            feet(dive(wrong, 1))
        assert [(e.pointer, e.code) for e in raised.value.errors] == [("/dives/0/depth", "out_of_range")]
    metric = {**FOR_EACH, "depth_unit": "m"}
    assert day({**metric, "dives": [dive(58.22, 1)]})["dives"][0]["table_depth_fsw"] == 190
    with pytest.raises(Problem):
        day({**metric, "dives": [dive(58.23, 1)]})


def test_interval_of_nine_minutes_and_fifty_nine_seconds():
    """Under ten minutes is one dive; at ten the table is entered; a band ends with its last second."""
    short = feet(dive(60, 20), dive(60, 10, 9 + 59 / 60))["dives"]
    assert short[0] == {"joined_with": [1]} and short[1]["equivalent_single_dive_time_min"] == 30
    ten = feet(dive(60, 20), dive(60, 10, 10))["dives"]
    assert ten[1]["group_before"] == "D" and "joined_with" not in ten[1]
    at = {text: feet(dive(60, 40), dive(30, 5, n))["dives"][1]["group_before"] for text, n in EDGES.items()}
    assert at == {"0:52": "H", "0:52:59": "H", "0:53": "G"}


EDGES = {"0:52": 52, "0:52:59": 52 + 59 / 60, "0:53": 53}


def test_past_the_reference_files():
    for group in LETTERS:
        assert isinstance(tables.wait_before_altitude_min(group, 10_001), Missing)
    assert isinstance(tables.group_on_arrival(10_001), Missing)
    assert tables.group_on_arrival(0) is None
