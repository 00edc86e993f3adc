"""What the log says about flying and mountain roads: the published waits, and the club's own."""

from teamdive.boatlog import schema, snapshot
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.nitrogen import next_dive, no_fly
from teamdive.boatlog.questions import due
from tests.boat_scene import Phone, at, metres, one_dive, state, trip_body, uid

HOUR_MS = 3_600_000


def test_a_mountain_road_has_its_own_wait_beside_the_plane() -> None:
    found = no_fly(state(one_dive()), uid("a"))
    assert found is not None and found["to_altitude_ft"] == 8000
    road = found["road"]
    # 1,000 m is 3,281 ft: the consensus counts from 2,000 ft on, Table 9-6 is entered at 4,000 ft.
    assert road["to_altitude_ft"] == 3281
    assert road["until"] == found["until"] == at("10:05") + 12 * 3_600_000
    assert road["table_wait_min"] < found["table_wait_min"]
    assert any("a road as high counts like one" in text for text in road["assumptions"])
    assert not any("a road" in text for text in found["assumptions"])


def test_two_dives_wait_eighteen_hours() -> None:
    phone = one_dive()
    phone.down("12:00", team="t1b", dive="d2")
    phone.up("12:30", team="t1b", dive="d2")
    phone.depth("12:40", "b", 15, dive="d2")
    found = no_fly(state(phone), uid("a"))
    # The same workshop: at least 18 h after more than one dive.
    assert found is not None and found["until"] == at("12:30") + 18 * 3_600_000


def test_held_from_diving_withdraws_limits_and_no_fly_time() -> None:
    phone = one_dive()
    phone.write("held_from_diving", "a", "10:30", released=False)
    told = state(phone)
    found = no_fly(told, uid("a"))
    assert found is not None and "not_known" in found["road"]["until"]
    assert found is not None and "not_known" in found["until"]
    assert {duty.person for duty in due(told.snapshot, told, at("11:00"))} == {uid("b")}


def test_a_dive_of_the_last_days_makes_several_days() -> None:
    """The workshop: 18 h after several days of diving; it says no number of days after which a row of them is over."""
    earlier = [
        {
            "depth": metres(12),
            "bottom_time_s": 1200,
            "o2_pm": 210,
            "surfaced_at": at("10:00") - 3 * 24 * HOUR_MS,
        }
    ]
    found = no_fly(state(one_dive(), earlier=earlier), uid("a"))
    assert found is not None and found["wait_min"] == 18 * 60


def with_own(phone: Phone, **own: int) -> State:
    body = trip_body(depths=(30, 10), bottom_min=(25, 10))
    body["settings"] |= own
    return fold(snapshot.read(body), phone.entries)


def beyond() -> Phone:
    """25 min at 30 m, past both limits (table 25 min at 100 fsw: the 30.48 m row; tissue 14 min)."""
    return one_dive(depth=30)


def test_after_a_dive_beyond_its_limit_the_clubs_own_wait_counts() -> None:
    none = no_fly(with_own(beyond()), uid("a"))
    assert none is not None and "no published figure" in none["until"]["not_known"][0]
    found = no_fly(with_own(beyond(), club_wait_beyond_limit_min=2880), uid("a"))
    assert found is not None and found["until"] == at("10:05") + 48 * HOUR_MS
    assert found["road"]["until"] == found["until"]
    assert found["rule"] == "the club's own wait after a dive beyond its limit"
    told = with_own(beyond(), club_wait_beyond_limit_min=2880)
    flying = [duty for duty in due(told.snapshot, told, at("11:00")) if duty.kind == "no_fly_passed"]
    assert flying and all(duty.due_at == at("10:05") + 48 * HOUR_MS for duty in flying)


def test_after_another_gas_than_air_the_longer_counts() -> None:
    phone = one_dive()
    for person in "ab":
        full = {"unit": "bar", "value": 200}
        phone.write(
            "gas_checked", person, "09:20", cylinder="c1", pressure=full, o2_pm=320, analysed_by=uid(person)
        )
    usual, own, short = (
        no_fly(with_own(phone, **more), uid("a"))
        for more in ({}, {"club_wait_other_gas_min": 1440}, {"club_wait_other_gas_min": 60})
    )
    assert usual is not None and own is not None and short is not None
    assert (usual["wait_min"], own["wait_min"], short["wait_min"]) == (720, 1440, 720)


def test_the_clubs_rest_after_a_dive_beyond_its_limit() -> None:
    """24 h where the club says nothing; a longer time stands, a shorter one is no snapshot."""
    for own, hours in (({}, 24), ({"rest_after_beyond_limit_min": 2880}, 48)):
        told = with_own(beyond(), **own)
        barred, free = (
            next_dive(told, uid("a"), at("10:05") + wait, uid("d2"))
            for wait in (hours * HOUR_MS - 1000, hours * HOUR_MS)
        )
        assert barred is not None and free is not None
        assert isinstance(barred["limit_s"], dict) and isinstance(free["limit_s"], int)
    wrong = trip_body()
    wrong["settings"]["rest_after_beyond_limit_min"] = 1439
    found = schema.problems(schema.SNAPSHOT, wrong, schema.SNAPSHOT)
    assert [trouble.pointer for trouble in found] == ["/settings/rest_after_beyond_limit_min"]
