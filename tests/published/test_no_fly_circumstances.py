"""Roads, departures, symptoms, other gases and dives beyond a limit, before flying or going to altitude.

Sources: Flying After Recreational Diving Workshop, Durham, 2 May 2002 (air, cabins of 2,000 to 8,000 ft; after a dive
with stops "substantially longer than 18 h", no number agreed; nitrox and symptoms not covered) and Table 9-6 of the
US Navy Diving Manual, Revision 7. That a road over 2,000 ft counts like a cabin is our choice.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from teamdive.calculations.day import day
from teamdive.calculations.problem import Problem

PASSED = "the waiting time from these dives has passed; this is not a clearance to fly"


def dive(depth, minutes, interval=None, o2=0.21, **more):
    made = {"depth": depth, "bottom_time_min": minutes, "o2_fraction": o2, **more}
    return made if interval is None else {"surface_interval_min": interval, **made}


def answered(*dives, **more):
    return day({"depth_unit": "ft", "days_of_diving": 1, "dives": list(dives), **more})


def wait(*dives, **more):
    return answered(*dives, **more)["no_fly"]


H = dive(60, 40)  # group H: 11:04 to 8,000 ft, 1:06 to 4,000 ft (Table 9-6)
BEYOND = dive(100, 40)


def codes(answer):
    return [w["code"] for w in answer["warnings"]]


def test_the_words_stand_when_the_time_has_passed_and_not_a_minute_before():
    assert wait(H, minutes_since_surfacing=719.9)["message"] is None
    assert wait(H, minutes_since_surfacing=719.9)["remaining_min"] == 1
    assert wait(H, minutes_since_surfacing=720)["message"] == PASSED
    assert wait(BEYOND, minutes_since_surfacing=20_000)["message"] is None


def test_a_road_over_2000_ft_counts():
    """Below the consensus' range the table alone speaks, and the answer says so; from 2,000 ft on both count."""
    low, high = (wait(H, no_fly={"by": "road", "to_altitude_ft": ft}) for ft in (1999, 2000))
    assert (low["consensus_wait_min"], low["wait_min"]) == (0, 0)
    assert any("the table alone speaks" in text for text in low["assumptions"])
    assert high["consensus_wait_min"] == high["wait_min"] == 720
    assert any("a road as high counts like one" in text for text in high["assumptions"])
    metres = wait(H, no_fly={"by": "road", "to_altitude_m": 1000})
    assert metres["to_altitude_ft"] == 3281
    assert metres["table_wait_min"] == 66  # H at 4,000 ft
    # 610 m is 2,001.3 ft: rounded up, so it counts.
    assert wait(H, no_fly={"by": "road", "to_altitude_m": 610})["wait_min"] == 720
    assert "not_known" in wait(H, no_fly={"by": "road", "to_altitude_ft": 8001})["wait_min"]


def test_every_figure_says_what_it_assumes():
    flight = wait(H)
    for words in (
        "Consensus of 2002: air",
        "does not remove it",
        "highest group of the last 24 h",
        "8,000 ft",
    ):
        assert any(words in text for text in flight["assumptions"])
    assert any("Altitude not given" in text for text in flight["assumptions"])
    assert not any("Altitude not given" in t for t in wait(H, no_fly={"to_altitude_ft": 8000})["assumptions"])
    assert any("counted as several" in text for text in wait(H, days_of_diving=None)["assumptions"])
    unknown = day({"depth_unit": "ft", "dives": [{"depth": 60, "bottom_time_min": 20}]})["no_fly"]
    assert any("gas of a dive is not known" in text for text in unknown["assumptions"])
    at_site = wait(dive(60, 10), site_altitude_ft=8000, hours_at_altitude=48, method="table")
    assert (at_site["table_wait_min"], at_site["wait_min"]) == (0, 720)
    assert any("No higher than the dive site" in text for text in at_site["assumptions"])


def test_several_destinations_in_one_question():
    """The longest on top, each beside it; H: 3,000 ft nothing, 4,000 ft 1:06, 8,000 ft 11:04."""
    to = [
        {"to_altitude_m": 500, "by": "road"},
        {"to_altitude_ft": 4000, "by": "road"},
        {"to_altitude_ft": 8000, "by": "flight"},
    ]
    answer = wait(H, no_fly={"to": to})
    assert [one["table_wait_min"] for one in answer["destinations"]] == [0, 66, 664]
    assert [one["wait_min"] for one in answer["destinations"]] == [0, 720, 720]
    assert [one["by"] for one in answer["destinations"]] == ["road", "road", "flight"]
    assert answer["wait_min"] == 720
    # The single old field beside the list is one more destination, and the unknown one comes first.
    both = wait(H, no_fly={"to_altitude_ft": 9500, "to": to})
    assert len(both["destinations"]) == 4
    assert "not_known" in both["wait_min"] and both["to_altitude_ft"] == 9500
    assert "destinations" not in wait(H)


def test_against_a_flight_and_backwards():
    """12 h after the dive: a flight 13 h after it leaves an hour, one 11 h after it is an hour too early."""
    late = wait(H, minutes_since_surfacing=60, no_fly={"flight_in_min": 720})["departure"]
    assert late == {"in_min": 720, "margin_min": 60, "too_early_min": 0, "latest_surfacing_in_min": 0}
    early = wait(H, minutes_since_surfacing=60, no_fly={"flight_in_min": 600})["departure"]
    assert early == {"in_min": 600, "margin_min": 0, "too_early_min": 60, "latest_surfacing_in_min": -120}
    # At the limit it fits; what is finer than a minute counts against the flight.
    assert wait(H, no_fly={"flight_in_min": 720})["departure"]["too_early_min"] == 0
    assert wait(H, no_fly={"flight_in_min": 719.9})["departure"]["too_early_min"] == 1
    beyond = wait(BEYOND, no_fly={"flight_in_min": 3000})["departure"]
    assert all("not_known" in beyond[name] for name in beyond if name != "in_min")


def test_the_tightest_departure_stands_on_top():
    to = [
        {"to_altitude_ft": 4000, "by": "road", "in_min": 60},
        {"by": "flight"},
        {"by": "flight", "in_min": 5000},
    ]
    answer = wait(H, no_fly={"to": to, "flight_in_min": 900})
    assert [one["departure"]["too_early_min"] for one in answer["destinations"]] == [660, 0, 0]
    assert [one["departure"]["margin_min"] for one in answer["destinations"]] == [0, 180, 4280]
    assert answer["departure"] == answer["destinations"][0]["departure"]


def test_after_a_dive_beyond_its_limit_the_club_s_own_wait():
    none = wait(BEYOND)
    assert "club_wait_beyond_limit_min" in none["wait_min"]["not_known"][0]
    own = wait(BEYOND, no_fly={"club_wait_beyond_limit_min": 2880}, minutes_since_surfacing=100)
    assert (own["wait_min"], own["remaining_min"]) == (2880, 2780)
    assert own["rule"] == "the club's own wait after a dive beyond its limit"
    assert "not_known" in own["consensus_wait_min"] and "not_known" in own["table_wait_min"]
    assert (
        wait(BEYOND, no_fly={"club_wait_beyond_limit_min": 1500, "club_wait_min": 2000})["wait_min"] == 2000
    )
    # It says nothing of dives within their limits.
    assert wait(H, no_fly={"club_wait_beyond_limit_min": 2880})["wait_min"] == 720


@pytest.mark.parametrize("name", ["club_wait_beyond_limit_min", "club_wait_symptoms_min"])
def test_no_more_than_18_h_is_refused_where_the_consensus_says_longer(name):
    with pytest.raises(Problem) as raised:
        wait(H, no_fly={name: 1080})
    assert [(e.pointer, e.code) for e in raised.value.errors] == [(f"/no_fly/{name}", "out_of_range")]
    wait(H, no_fly={name: 1080.5})


def test_the_wait_after_a_dive_beyond_its_limit_goes_on_under_a_later_dive():
    later = [BEYOND, dive(30, 10, 1440)]
    plain = wait(*later)
    own = wait(*later, no_fly={"club_wait_beyond_limit_min": 4320})
    assert plain["wait_min"] == 1080
    run = 10 + 2  # 30 ft up at 9 m/min: 61 s and the rest of a second
    assert own["wait_min"] == 4320 - 1440 - run + 1
    assert own["rule"] == "the club's own wait after a dive beyond its limit"
    assert wait(*later, no_fly={"club_wait_beyond_limit_min": 2000})["wait_min"] == 1080


def test_later_dives_are_refused_for_the_club_s_own_time():
    """At least 24 h; the club may state more, never less."""
    for rest, interval, refused in (
        (None, 1439, True),
        (None, 1440, False),
        (2880, 1440, True),
        (2880, 2879, True),
        (2880, 2880, False),
    ):
        answer = answered(BEYOND, dive(30, 10, interval), rest_after_beyond_limit_min=rest)
        assert ("refused" in answer["dives"][1]) is refused
    named = answered(BEYOND, dive(30, 10, 1440), rest_after_beyond_limit_min=2880)["dives"][1]["refused"]
    assert "2880 min after surfacing" in named["message"]
    now = answered(BEYOND, rest_after_beyond_limit_min=2880, minutes_since_surfacing=2000)["now"]
    assert "not_known" in now["group"]
    with pytest.raises(Problem) as raised:
        answered(BEYOND, rest_after_beyond_limit_min=1439)
    assert raised.value.errors[0].pointer == "/rest_after_beyond_limit_min"


def test_symptoms():
    answer = answered(H, no_fly={"symptoms": True, "to_altitude_ft": 3000})
    for part in ("wait_min", "consensus_wait_min", "table_wait_min", "remaining_min"):
        assert "club_wait_symptoms_min" in answer["no_fly"][part]["not_known"][0]
    assert "symptoms" in codes(answer)
    assert any("a diving doctor decides" in text for text in answer["no_fly"]["assumptions"])
    own = answered(H, no_fly={"symptoms": True, "club_wait_symptoms_min": 4320})
    assert own["no_fly"]["wait_min"] == 4320 and "symptoms" in codes(own)
    # Symptoms after a dive beyond its limit: both of the club's own are needed, and the longer counts.
    half = wait(BEYOND, no_fly={"symptoms": True, "club_wait_symptoms_min": 4320})
    assert half["wait_min"]["not_known"] == wait(BEYOND)["wait_min"]["not_known"]
    both = {"symptoms": True, "club_wait_symptoms_min": 4320, "club_wait_beyond_limit_min": 5000}
    assert wait(BEYOND, no_fly=both)["wait_min"] == 5000
    assert "symptoms" not in codes(answered(H, no_fly={"symptoms": False}))


def test_nitrox_keeps_the_figure_for_air_unless_the_club_s_own_is_longer():
    nitrox = dive(60, 40, o2=0.32, analysed=True)
    plain = answered(nitrox)
    assert plain["no_fly"]["wait_min"] == 720 and "no_fly_after_nitrox" in codes(plain)
    assert any("for nitrox" in text for text in plain["no_fly"]["assumptions"])
    longer = answered(nitrox, no_fly={"club_wait_other_gas_min": 1440})
    assert longer["no_fly"]["wait_min"] == 1440 and "no_fly_after_nitrox" in codes(longer)
    assert longer["no_fly"]["rule"] == "the club's own wait after another gas than air"
    assert wait(nitrox, no_fly={"club_wait_other_gas_min": 600})["wait_min"] == 720
    assert wait(H, no_fly={"club_wait_other_gas_min": 1440})["wait_min"] == 720


def test_helium_has_the_club_s_own_wait_only():
    helium = dive(60, 10, he_fraction=0.35, analysed=True)
    none = answered(helium, trimix_enabled=True)
    assert "club_wait_other_gas_min" in none["no_fly"]["wait_min"]["not_known"][0]
    assert "no_fly_after_helium" in codes(none)
    own = answered(helium, trimix_enabled=True, no_fly={"club_wait_other_gas_min": 2880})["no_fly"]
    assert own["wait_min"] == 2880 and "not_known" in own["consensus_wait_min"]


@pytest.mark.parametrize(
    ("no_fly", "pointer", "code"),
    [
        ({"to": []}, "/no_fly/to", "out_of_range"),
        ({"to": [{"by": "road"}]}, "/no_fly/to/0/to_altitude_ft", "required"),
        ({"by": "road"}, "/no_fly/to_altitude_ft", "required"),
        ({"to": [{"by": "sea"}]}, "/no_fly/to/0/by", "not_one_of"),
        ({"to": [{"to_altitude_m": 1, "to_altitude_ft": 1}]}, "/no_fly/to/0/to_altitude_ft", "not_allowed"),
        ({"to": [{"altitude": 1}]}, "/no_fly/to/0/altitude", "unknown_field"),
        ({"to": [{"to_altitude_ft": 10_001}]}, "/no_fly/to/0/to_altitude_ft", "out_of_range"),
        ({"to": [{"in_min": -1}]}, "/no_fly/to/0/in_min", "out_of_range"),
        ({"to": [7]}, "/no_fly/to/0", "wrong_type"),
        ({"flight_in_min": True}, "/no_fly/flight_in_min", "wrong_type"),
        (
            {"flight_in_min": 9, "to": [{"by": "road", "to_altitude_ft": 9}]},
            "/no_fly/flight_in_min",
            "not_allowed",
        ),
        ({"symptoms": "none"}, "/no_fly/symptoms", "wrong_type"),
        ({"club_wait_other_gas_min": -1}, "/no_fly/club_wait_other_gas_min", "out_of_range"),
    ],
)
def test_bad_questions_name_their_field(no_fly, pointer, code):
    with pytest.raises(Problem) as raised:
        wait(H, no_fly=no_fly)
    assert (pointer, code) in [(e.pointer, e.code) for e in raised.value.errors]


FEET = st.integers(0, 8000)


@given(FEET, FEET, st.integers(5, 63), st.integers(5, 63), st.integers(0, 2000))
def test_higher_or_longer_never_waits_less(low, high, short, long, club):
    low, high, short, long = min(low, high), max(low, high), min(short, long), max(short, long)

    def minutes(to_altitude_ft, bottom, own):
        no_fly = {"to_altitude_ft": to_altitude_ft, "club_wait_min": own}
        return wait(dive(60, bottom), method="table", no_fly=no_fly)["wait_min"]

    assert minutes(low, short, 0) <= minutes(high, short, 0)
    assert minutes(high, short, 0) <= minutes(high, long, 0)
    assert minutes(high, long, club) == max(club, minutes(high, long, 0))
