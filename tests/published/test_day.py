"""A diver's day against the handbook's procedure, step by step, and what must be refused or not known.

The numbers are read off Tables 9-7 and 9-8 (US Navy Diving Manual, Revision 7) by hand; the procedure is
chapter 9: group after the dive, group after the interval, residual nitrogen time, equivalent single dive time.
"""

import json

import pytest

from teamdive.calculations.body import parse_json
from teamdive.calculations.day import day
from teamdive.calculations.json_text import DEEPEST_NESTING
from teamdive.calculations.problem import Problem

AIR = {"o2_fraction": 0.21}


def feet(*dives, **more):
    return day({"depth_unit": "ft", "dives": [{**AIR, **d} for d in dives], **more})


def after(minutes, depth, bottom):
    return {"surface_interval_min": minutes, "depth": depth, "bottom_time_min": bottom}


def first(depth, bottom):
    return {"depth": depth, "bottom_time_min": bottom}


def table(item):
    names = ("group_before", "residual_nitrogen_time_min", "equivalent_single_dive_time_min")
    return (*(item[n] for n in names), item["adjusted_no_stop_limit_min"], item["group_after"])


def test_a_repetitive_dive_and_one_after_it():
    """90/12 is D (14); 75 min: D to C (0:53 to 1:47); C at 50 fsw 23 min; 53 min is H (56); 120 min: H to F."""
    answer = feet(first(90, 12), after(75, 50, 30), after(120, 40, 20), method="table")
    assert table(answer["dives"][0]) == (None, 0, 12, 33, "D")
    assert table(answer["dives"][1]) == ("C", 23, 53, 92 - 23, "H")
    # F at 40 fsw 55 min; 75 min is I (84).
    assert table(answer["dives"][2]) == ("F", 55, 75, 163 - 55, "I")
    assert answer["now"] == {"group": "I", "table_not_repetitive_after_min": 584}


@pytest.mark.parametrize(
    ("interval", "group"),
    [(52, "H"), (52.99, "H"), (53, "G"), (104, "G"), (105, "F"), (532, "A"), (533, None)],
)
def test_band_edges_are_inclusive_and_fractions_get_the_lower_credit(interval, group):
    """Table 9-8, row H: 0:10-0:52 H, 0:53-1:44 G ... A to 8:52, then not repetitive."""
    answer = feet(first(60, 45), after(interval, 50, 10), method="table")
    assert answer["dives"][0]["group_after"] == "H"
    assert answer["dives"][1]["group_before"] == group


@pytest.mark.parametrize(("bottom", "group"), [(39, "G"), (39.001, "H"), (39.5, "H"), (40, "H")])
def test_bottom_time_rounds_up(bottom, group):
    """Table 9-7, 60 fsw: G to 39 min, H to 45."""
    assert feet(first(60, bottom))["dives"][0]["group_after"] == group


def test_dagger_at_25_feet():
    """Groups O and Z at 25 fsw take residual time and limit of the 30 fsw row (Table 9-8)."""
    answer = feet(first(35, 232), after(60, 25, 5), method="table")
    assert answer["dives"][0]["group_after"] == "Z"
    assert answer["dives"][1]["table_depth_fsw"] == 30
    assert table(answer["dives"][1]) == ("O", 308, 313, 371 - 308, "Z")


def test_undetermined_residual_time_is_not_known():
    """Table 9-8 prints ** for group F at 10 fsw and above: never zero; the next day is known again."""
    answer = feet(first(60, 33), after(30, 10, 30), after(60, 40, 10), after(1440, 40, 10), method="table")
    second, third, fourth = answer["dives"][1:]
    assert second["group_before"] == "F"
    for name in (
        "residual_nitrogen_time_min",
        "adjusted_no_stop_limit_min",
        "group_after",
        "within_limits",
        "limit_min",
    ):
        assert "undetermined" in second[name]["not_known"][0]
        if name != "within_limits":
            assert "not_known" in third[name]
    assert second["tissue_within_limit"] is True
    assert fourth["group_before"] is None


def test_unlimited_rows():
    """10, 15, 20 fsw have no no-stop limit; the group is the row's highest (F, I, L)."""
    answer = feet(first(20, 1000))
    made = answer["dives"][0]
    assert (made["no_stop_limit_min"], made["adjusted_no_stop_limit_min"], made["group_after"]) == (
        None,
        None,
        "L",
    )
    shallow = feet(first(15, 500))["dives"][0]
    assert shallow["unlimited"] is True
    assert (shallow["tissue_no_stop_limit_min"], shallow["limit_min"], shallow["limited_by"]) == (
        None,
        None,
        None,
    )


def test_under_ten_minutes_is_one_dive_at_the_deepest_depth():
    answer = feet(first(40, 20), after(9.99, 60, 10), after(5, 30, 3))
    assert answer["dives"][0] == {"joined_with": [1, 2]}
    assert answer["dives"][1] == {"joined_with": [0, 2]}
    last = answer["dives"][2]
    assert last["joined_with"] == [0, 1]
    assert (last["table_depth_fsw"], *table(last)) == (60, None, 0, 33, 63, "F")
    alone = feet(first(60, 33))["dives"][0]
    assert last["tissue_no_stop_limit_min"] == alone["tissue_no_stop_limit_min"]
    assert answer["no_fly"]["consensus_wait_min"] == 1080  # days are not given
    parted = feet(first(40, 20), after(10, 60, 10))
    assert "joined_with" not in parted["dives"][1]
    assert parted["dives"][1]["group_before"] == "B"


def test_a_joined_dive_never_loads_less_than_the_dives_as_made():
    joined = feet(first(60, 20), after(9, 60, 15), after(60, 60, 10))
    parted = feet(first(60, 20), after(10, 60, 15), after(60, 60, 10))
    assert joined["dives"][2]["tissue_no_stop_limit_min"] <= parted["dives"][2]["tissue_no_stop_limit_min"]


def test_beyond_the_limit():
    """Past the governing method: a warning with what to do, no-fly not known, later dives refused for 24 h."""
    answer = feet(first(60, 70), after(300, 30, 10), after(1439, 30, 10), after(1440, 30, 10))
    made, refused, also, next_day = answer["dives"]
    assert made["within_limits"] is False
    assert made["group_after"] is None
    assert refused["refused"]["code"] == also["refused"]["code"] == "after_beyond_limit"
    assert (next_day["group_before"], next_day["within_limits"]) == (None, True)
    assert [w["code"] for w in answer["warnings"] if w["pointer"] == "/dives/0"] == ["beyond_limit"]
    ended = feet(first(60, 70), minutes_since_surfacing=60)
    assert "not_known" in ended["now"]["group"]
    assert "not_known" in ended["no_fly"]["wait_min"]
    assert "refused" in feet(first(60, 70), after(5, 30, 10))["dives"][1]


def test_the_governing_method_decides():
    """60 fsw for 50 min: within the table's 63, past the tissue model's 41.4."""
    dive = first(60, 50)
    by = {m: feet(dive, after(120, 30, 10), method=m) for m in ("shorter", "table", "tissue")}
    assert [by[m]["dives"][0]["within_limits"] for m in by] == [False, True, False]
    assert by["table"]["dives"][0]["limit_min"] == 63
    assert by["tissue"]["dives"][0]["limited_by"] == by["shorter"]["dives"][0]["limited_by"] == "tissue"
    assert "beyond_tissue_limit" in [w["code"] for w in by["table"]["warnings"]]
    assert by["table"]["dives"][1]["group_before"] == "G"  # 50 is I (51), 120 min later G
    assert "refused" in by["tissue"]["dives"][1]


def test_past_the_table_where_the_tissue_model_governs():
    """18 m 40 min, 35 min later 18 m 30 min: the tissue model allows it, the table does not."""
    dives = [
        {**AIR, "depth": 18, "bottom_time_min": 40},
        {**AIR, "surface_interval_min": 40, "depth": 18, "bottom_time_min": 30},
    ]
    answer = day({"depth_unit": "m", "method": "tissue", "dives": dives})
    second = answer["dives"][1]
    assert (second["within_limits"], second["table_within_limit"], second["group_after"]) == (
        True,
        False,
        None,
    )
    assert "not_known" in answer["no_fly"]["table_wait_min"]
    assert "not_known" in answer["now"]["group"]


def test_caution_shortens_both_methods():
    plain, one, two = (feet({**first(60, 20), "caution": n})["dives"][0] for n in (0, 1, 2))
    assert [d["group_after"] for d in (plain, one, two)] == ["D", "E", "F"]
    assert [d["adjusted_no_stop_limit_min"] for d in (plain, one, two)] == [63, 57, 51]
    lowered = feet(first(60, 20), gf=[0.4, 0.75])["dives"][0]
    assert one["tissue_no_stop_limit_min"] == lowered["tissue_no_stop_limit_min"]
    assert (
        plain["tissue_no_stop_limit_min"] > one["tissue_no_stop_limit_min"] > two["tissue_no_stop_limit_min"]
    )
    cold = feet({**first(60, 20), "cold_or_hard": True})["dives"][0]
    assert (cold["group_after"], cold["tissue_no_stop_limit_min"]) == ("E", plain["tissue_no_stop_limit_min"])
    assert feet(first(60, 20), caution=1)["dives"][0] == one


def test_a_square_profile_as_samples_is_the_same_dive():
    """100 s down to 30 m, to minute 12, 200 s up: the tissue state equals that of 30 m for 12 min."""
    square = [{**AIR, "depth": 30, "bottom_time_min": 12}]
    samples = [{**AIR, "samples": [[0, 0], [100 / 60, 30], [12, 30], [12 + 200 / 60, 0]]}]
    second = {**AIR, "surface_interval_min": 90, "depth": 18, "bottom_time_min": 10}
    a, b = (day({"depth_unit": "m", "dives": [*d, second]}) for d in (square, samples))
    assert a["dives"][1]["tissue_no_stop_limit_min"] == b["dives"][1]["tissue_no_stop_limit_min"]
    assert b["dives"][0]["equivalent_single_dive_time_min"] == 16  # the table takes the whole time
    assert b["dives"][0]["tissue_within_limit"] is True
    deep = {**AIR, "samples": [[0, 0], [2, 30], [30, 30], [33, 0]]}
    assert day({"depth_unit": "m", "dives": [deep]})["dives"][0]["tissue_within_limit"] is False


def test_multilevel_samples_are_judged_as_swum():
    """5 min at 30 m, then shallow: past the square limit of 30 m, yet no ceiling is met."""
    stepped = {**AIR, "samples": [[0, 0], [2, 30], [7, 30], [9, 10], [35, 8], [36, 0]]}
    made = day({"depth_unit": "m", "method": "tissue", "dives": [stepped]})["dives"][0]
    assert made["tissue_no_stop_limit_min"] == 14.1
    assert made["tissue_within_limit"] is True
    assert made["table_within_limit"] is False


def test_altitude():
    """Table 9-5: 6,000 ft is group E on arrival; after 6 h it is A, then not repetitive (Table 9-8, row E).

    60 ft at 5,000 ft is 72.1 fsw of sea (Rev 4 Change A, 9-12.1.1), row 80.
    """
    dive = first(60, 10)
    at_once = feet(dive, site_altitude_ft=6000, hours_at_altitude=0)["dives"][0]
    assert at_once["group_before"] == "E"
    assert feet(dive, site_altitude_ft=6000, hours_at_altitude=6)["dives"][0]["group_before"] == "A"
    rested = feet(dive, site_altitude_ft=6000, hours_at_altitude=7)["dives"][0]
    assert rested["group_before"] is None
    assert feet(dive, site_altitude_ft=5000, hours_at_altitude=48)["dives"][0]["table_depth_fsw"] == 80
    sea = feet(dive, site_altitude_ft=0)
    assert sea["dives"][0]["tissue_no_stop_limit_min"] > rested["tissue_no_stop_limit_min"]
    assert rested["tissue_no_stop_limit_min"] > at_once["tissue_no_stop_limit_min"]
    assert "sea_level_assumed" not in [w["code"] for w in sea["warnings"]]
    assert "sea_level_assumed" in [w["code"] for w in feet(dive)["warnings"]]
    unknown = feet(dive, site_altitude_m=1500)["dives"][0]
    for name in ("group_before", "tissue_no_stop_limit_min", "within_limits", "limit_min"):
        assert unknown[name] == {"not_known": ["hours_at_altitude"]}
    # From 6,000 ft a cabin of 8,000 ft is a rise of 2,000 ft only: J 0:41 (39 min on the row of 80 fsw is J).
    assert (
        feet(first(60, 39), site_altitude_ft=6000, hours_at_altitude=48, method="table")["no_fly"][
            "table_wait_min"
        ]
        == 41
    )


def test_deep_dives_are_answered_with_a_warning():
    assert "deeper_than_40_m" in [w["code"] for w in feet(first(131, 3))["warnings"]]
    assert "deeper_than_40_m" not in [w["code"] for w in feet(first(130, 3))["warnings"]]
    assert feet(first(190, 4))["dives"][0]["table_depth_fsw"] == 190
    assert (
        day({"depth_unit": "m", "dives": [{"depth": 58.22, "bottom_time_min": 4}]})["dives"][0][
            "table_depth_fsw"
        ]
        == 190
    )


def test_now():
    """H is not repetitive after 8:52 (532 min)."""

    def now(minutes):
        found = feet(first(60, 45), minutes_since_surfacing=minutes, method="table")["now"]
        return found["group"], found["table_not_repetitive_after_min"]

    assert now(60) == ("G", 472)
    assert now(5) == ("H", 527)
    assert now(532.9) == ("A", 1)
    assert now(533) == (None, 0)


def test_every_answer_carries_its_sources():
    answer = feet(first(60, 20))
    assert "Table 9-7" in answer["sources"]["no_stop_limit_min"]
    assert "from memory" in answer["sources"]["tissue_no_stop_limit_min"]
    assert "not compared with the printed manual" in answer["sources"]["no_stop_limit_min"]


GOOD = {"depth_unit": "m", "dives": [{"depth": 18, "bottom_time_min": 30}]}
NAN, INF = float("nan"), float("inf")

BAD = [
    (
        [],
        [
            ("", "wrong_type"),
        ],
    ),
    ({}, [("/depth_unit", "required"), ("/dives", "required")]),
    ({**GOOD, "depth_unit": "feet"}, [("/depth_unit", "not_one_of")]),
    ({**GOOD, "dives": []}, [("/dives", "out_of_range")]),
    ({**GOOD, "dives": {}}, [("/dives", "wrong_type")]),
    ({**GOOD, "divs": 1}, [("/divs", "unknown_field")]),
    ({**GOOD, "dives": [{}]}, [("/dives/0/depth", "required"), ("/dives/0/bottom_time_min", "required")]),
    (
        {**GOOD, "dives": [{"depth": True, "bottom_time_min": "30"}]},
        [("/dives/0/depth", "wrong_type"), ("/dives/0/bottom_time_min", "wrong_type")],
    ),
    (
        {**GOOD, "dives": [{"depth": NAN, "bottom_time_min": INF}]},
        [("/dives/0/depth", "not_finite"), ("/dives/0/bottom_time_min", "not_finite")],
    ),
    (
        {**GOOD, "dives": [{"depth": 0, "bottom_time_min": 0}]},
        [("/dives/0/depth", "out_of_range"), ("/dives/0/bottom_time_min", "out_of_range")],
    ),
    (
        {**GOOD, "dives": [{"depth": 58.23, "bottom_time_min": 1441}]},
        [("/dives/0/depth", "out_of_range"), ("/dives/0/bottom_time_min", "out_of_range")],
    ),
    (
        {**GOOD, "dives": [{"depth": -5, "bottom_time_min": 10**400}]},
        [("/dives/0/depth", "out_of_range"), ("/dives/0/bottom_time_min", "out_of_range")],
    ),
    (
        {**GOOD, "dives": [GOOD["dives"][0], GOOD["dives"][0]]},
        [("/dives/1/surface_interval_min", "required")],
    ),
    (
        {**GOOD, "dives": [{**GOOD["dives"][0], "surface_interval_min": 60}]},
        [("/dives/0/surface_interval_min", "not_allowed")],
    ),
    (
        {**GOOD, "dives": [{**GOOD["dives"][0], "o2_fraction": 21}]},
        [("/dives/0/o2_fraction", "out_of_range")],
    ),
    (
        {**GOOD, "dives": [{**GOOD["dives"][0], "analysed": 1, "cold_or_hard": "yes", "caution": 3}]},
        [
            ("/dives/0/analysed", "wrong_type"),
            ("/dives/0/caution", "out_of_range"),
            ("/dives/0/cold_or_hard", "wrong_type"),
        ],
    ),
    ({**GOOD, "gf": [0.8, 0.4]}, [("/gf", "out_of_order")]),
    ({**GOOD, "gf": [0.4]}, [("/gf", "out_of_range")]),
    ({**GOOD, "gf": [0, 1.1]}, [("/gf/0", "out_of_range"), ("/gf/1", "out_of_range")]),
    ({**GOOD, "method": "longer"}, [("/method", "not_one_of")]),
    (
        {**GOOD, "site_altitude_m": 300, "site_altitude_ft": 1000, "hours_at_altitude": 5},
        [("/site_altitude_ft", "not_allowed")],
    ),
    ({**GOOD, "hours_at_altitude": 5}, [("/hours_at_altitude", "not_allowed")]),
    ({**GOOD, "site_altitude_ft": 10_001, "hours_at_altitude": 5}, [("/site_altitude_ft", "out_of_range")]),
    (
        {**GOOD, "days_of_diving": 1.5, "minutes_since_surfacing": -1},
        [("/minutes_since_surfacing", "out_of_range"), ("/days_of_diving", "wrong_type")],
    ),
    (
        {**GOOD, "no_fly": {"to_altitude_m": 2438, "to_altitude_ft": 8000, "x": 1}},
        [("/no_fly/to_altitude_ft", "not_allowed"), ("/no_fly/x", "unknown_field")],
    ),
    (
        {**GOOD, "water": "brackish", "ascent_rate": 100},
        [("/water", "not_one_of"), ("/ascent_rate", "out_of_range")],
    ),
    (
        {**GOOD, "dives": [{"samples": [[0, 0], [0, 5], [1], ["a", 3]], "depth": 3}]},
        [
            ("/dives/0/samples/1/0", "out_of_order"),
            ("/dives/0/samples/2", "wrong_type"),
            ("/dives/0/samples/3/0", "wrong_type"),
            ("/dives/0/depth", "not_allowed"),
        ],
    ),
    ({**GOOD, "dives": [{"samples": [[0, 0], [5, 0]]}]}, [("/dives/0/samples", "out_of_range")]),
]


@pytest.mark.parametrize(("body", "expected"), BAD, ids=range(len(BAD)))
def test_bad_input_names_every_field(body, expected):
    with pytest.raises(Problem) as raised:
        day(body)
    problem = raised.value.as_json()
    assert [(e["pointer"], e["code"]) for e in problem["errors"]] == expected
    assert problem["status"] == 400
    assert all(e["message"] for e in problem["errors"])


@pytest.mark.parametrize(
    ("text", "pointer", "code"),
    [
        ('{"a": 1, "b": {"c~/d": 1, "c~/d": 2}}', "/b/c~0~1d", "duplicate"),
        ('{"a": [1, NaN]}', "/a/1", "not_finite"),
        ('{"a": -Infinity}', "/a", "not_finite"),
        ('{"a": 1e999}', "/a", "not_finite"),
        ("{", "", "not_json"),
        ("", "", "not_json"),
        ("[" * 100 + "]" * 100, "", "not_json"),
        ("[" * 100_000, "", "not_json"),
        ('{"a": ' + "9" * 400 + "}", "/a", "not_finite"),
        ('{"a": ' + "9" * 5000 + "}", "/a", "not_finite"),
        # RFC 8259, 8.2: half of a surrogate pair is no Unicode text; it could not be written again.
        (r'{"a": ["\ud83d\ude00", "x\ud83d"]}', "/a/1", "not_unicode"),
        (r'{"a": {"\ude00": 1}}', "/a", "not_unicode"),
        (b"\xff\xfe{}", "", "not_json"),
    ],
)
def test_json_that_cannot_be_read(text, pointer, code):
    with pytest.raises(Problem) as raised:
        parse_json(text)
    assert [(e.pointer, e.code) for e in raised.value.errors] == [(pointer, code)]


@pytest.mark.parametrize("within", ["", "1", '"é"', "{}"])
def test_json_nests_as_deep_as_it_may_and_no_deeper(within):
    """64 levels below the outermost are read, one more is not (our own choice)."""
    levels = DEEPEST_NESTING + (0 if within else 1)
    told = "[" * levels + within + "]" * levels
    value = parse_json(told)
    for _ in range(DEEPEST_NESTING):
        (value,) = value
    assert value == json.loads(within or "[]")
    with pytest.raises(Problem, match="Nested more than 64 deep"):
        parse_json(f"[{told}]")


def test_json_as_bytes():
    assert parse_json(b'\xef\xbb\xbf{"a": "\xc3\xa9"}') == {"a": "\u00e9"}


def test_two_readings_of_one_ascent():
    """Two phones, four minutes apart (tables by hand): 18 m for 25 min is E, 53 min later D; 29 min is F, 49 min F.

    Then 15 m (50 fsw, limit 92): D leaves 92 - 29 = 63 min, F 92 - 42 = 50; from 53 min on E leaves 92 - 35 = 57.
    """

    def left(bottom, interval):
        dives = [
            {**AIR, "depth": 18, "bottom_time_min": bottom},
            {**AIR, "surface_interval_min": interval, "depth": 15, "bottom_time_min": 20},
        ]
        second = day({"depth_unit": "m", "dives": dives})["dives"][1]
        return second["group_before"], second["adjusted_no_stop_limit_min"]

    assert left(25, 53) == ("D", 63)
    assert left(29, 49) == ("F", 50)
    assert left(29, 53) == ("E", 57)


def test_oxygen_is_shared_out_among_the_dives_of_a_day():
    """NOAA single exposure limit at 1.4 atm is 150 min; 40 % at 23 m with its margin is 0.41 x 3.3 / 1.013 = 1.34.

    52 min are a third of it: three pass it together, not the second; a day after the last, one alone does not.
    """
    dive = {"depth": 23, "bottom_time_min": 52, "o2_fraction": 0.4, "analysed": True}
    body = {
        "depth_unit": "m",
        "method": "tissue",
        "dives": [dive, *[dive | {"surface_interval_min": n} for n in (300, 300, 1440)]],
    }
    found = day(body)
    assert all(34 < answer["oxygen_limit_used_percent"] < 38 for answer in found["dives"])
    passed = [w["pointer"] for w in found["warnings"] if w["code"] == "oxygen_limit_passed"]
    assert passed == ["/dives/2"]
