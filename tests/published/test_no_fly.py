"""Flying after diving: the workshop of 2002 and Table 9-6 of the US Navy Diving Manual, Revision 7."""

import pytest

from teamdive.calculations.day import day

# Flying After Recreational Diving Workshop, Durham, 2 May 2002: 12 h after a single no-stop dive, 18 h after
# more than one dive a day or several days; cabins of 2,000 to 8,000 ft.


def wait(dives, **more):
    return day({"depth_unit": "ft", "dives": dives, **more})["no_fly"]


ONE = [{"depth": 60, "bottom_time_min": 40, "o2_fraction": 0.21}]
TWO = [*ONE, {"surface_interval_min": 120, "depth": 50, "bottom_time_min": 30, "o2_fraction": 0.21}]


def test_consensus():
    assert wait(ONE, days_of_diving=1)["consensus_wait_min"] == 12 * 60
    assert wait(ONE, days_of_diving=2)["consensus_wait_min"] == 18 * 60
    assert wait(TWO, days_of_diving=1)["consensus_wait_min"] == 18 * 60
    # Days not given count as several: the longer wait.
    assert wait(ONE)["consensus_wait_min"] == 18 * 60
    assert wait(ONE, days_of_diving=1, no_fly={"to_altitude_ft": 1999})["consensus_wait_min"] == 0
    assert "not_known" in wait(ONE, days_of_diving=1, no_fly={"to_altitude_ft": 9000})["consensus_wait_min"]


@pytest.mark.parametrize(
    ("minutes", "group", "table_wait"),
    [(28, "E", 4 * 60 + 39), (45, "H", 11 * 60 + 4), (63, "K", 15 * 60 + 35)],
)
def test_table_wait_to_a_cabin(minutes, group, table_wait):
    """Table 9-6 to 8,000 ft (the manual's figure for a commercial cabin): E 4:39, H 11:04, K 15:35."""
    answer = day(
        {
            "depth_unit": "ft",
            "method": "table",
            "days_of_diving": 1,
            "dives": [{"depth": 60, "bottom_time_min": minutes, "o2_fraction": 0.21}],
        }
    )
    assert answer["dives"][0]["group_after"] == group
    assert answer["no_fly"]["table_wait_min"] == table_wait
    assert answer["no_fly"]["wait_min"] == max(12 * 60, table_wait)


def test_the_highest_group_of_the_last_24_hours_counts():
    """A long first dive and a short last one hours later: Table 9-6 is entered with the first one's group."""
    dives = [
        {"depth": 60, "bottom_time_min": 40, "o2_fraction": 0.21},
        {"surface_interval_min": 600, "depth": 30, "bottom_time_min": 10, "o2_fraction": 0.21},
    ]
    answer = day({"depth_unit": "ft", "dives": dives})
    assert [d["group_after"] for d in answer["dives"]] == ["H", "A"]
    assert answer["no_fly"]["table_wait_min"] == 11 * 60 + 4
    dives[1]["surface_interval_min"] = 1500
    assert day({"depth_unit": "ft", "dives": dives})["no_fly"]["table_wait_min"] == 0


def test_road_over_a_pass():
    """Table 9-6 at 3,000 ft: I 0:56 (from the table)."""
    dives = [{"depth": 60, "bottom_time_min": 51, "o2_fraction": 0.21}]
    answer = wait(dives, method="table", days_of_diving=1, no_fly={"to_altitude_ft": 2500})
    assert answer["table_wait_min"] == 56


def test_the_longest_counts_and_the_rest_runs_down():
    answer = wait(ONE, days_of_diving=1, no_fly={"club_wait_min": 1440}, minutes_since_surfacing=100.5)
    assert (answer["wait_min"], answer["remaining_min"], answer["rule"]) == (
        1440,
        1340,
        "the club's own wait",
    )
    assert wait(ONE, days_of_diving=1, minutes_since_surfacing=5000)["remaining_min"] == 0


def test_no_figure_after_a_dive_beyond_its_limit():
    """The workshop agreed on no number after stop dives: none is given."""
    answer = wait([{"depth": 100, "bottom_time_min": 40, "o2_fraction": 0.21}], days_of_diving=1)
    for part in ("wait_min", "consensus_wait_min", "table_wait_min", "remaining_min"):
        assert "not_known" in answer[part]


def test_nitrox_has_no_published_figure():
    """The workshop spoke of air only: the answer says so."""
    codes = [
        [w["code"] for w in day({"depth_unit": "ft", "dives": [{**ONE[0], "o2_fraction": o2}]})["warnings"]]
        for o2 in (0.21, 0.32)
    ]
    assert ["no_fly_after_nitrox" in found for found in codes] == [False, True]
