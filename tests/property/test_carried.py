"""Giving a state back is giving the dives: the same group, and tensions a billionth of a bar to the safe side."""

from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.calculations.day import day
from teamdive.calculations.problem import Problem
from teamdive.physics.carried import Carried, resumed
from teamdive.physics.dive import Settings
from teamdive.physics.known import Missing
from teamdive.physics.nitrogen import no_stop
from teamdive.physics.oxygen import AIR, AIR_N2_E4
from teamdive.physics.tissues import SEA_LEVEL_BAR, WATER_VAPOUR_BAR
from teamdive.physics.units import Depth

DIVE = st.fixed_dictionaries(
    {
        "depth": st.integers(50, 450).map(lambda dm: dm / 10),
        "bottom_time_min": st.integers(3, 40),
        "o2_fraction": st.sampled_from([0.21, 0.21, 0.32]),
        "analysed": st.just(True),
    }
)
INTERVAL = st.one_of(st.integers(10, 300), st.integers(300, 6000))
EARLIER = "_with_earlier_percent"
PLACES = st.sampled_from([{}, {"site_altitude_m": 0}, {"site_altitude_m": 1500, "hours_at_altitude": 400}])


def asked(dives, **more):
    return {"depth_unit": "m", "days_of_diving": 2, "dives": dives, **more}


@given(
    st.lists(st.tuples(DIVE, INTERVAL), min_size=1, max_size=4),
    st.lists(st.tuples(DIVE, INTERVAL), min_size=1, max_size=2),
    PLACES,
)
@settings(max_examples=80, deadline=None)
def test_a_state_given_back_is_the_dives_given(before, after, place):
    before_items = [
        {**d, **({"surface_interval_min": gap} if i else {})} for i, (d, gap) in enumerate(before)
    ]
    after_items = [{**d, "surface_interval_min": gap} for d, gap in after]
    whole = day(asked([*before_items, *after_items], **place))
    state = day(asked(before_items, **place))["state"]
    first, *rest = after_items
    gap = first["surface_interval_min"]
    if place.get("hours_at_altitude"):
        # The time at altitude is counted to the descent of the first dive given.
        place = {**place, "hours_at_altitude": 720}
    bare = {name: value for name, value in first.items() if name != "surface_interval_min"}
    split = day(asked([bare, *rest], state_before={**state, "minutes_before_descent": gap}, **place))
    for one, two in zip(whole["dives"][len(before) :], split["dives"], strict=True):
        assert one.keys() == two.keys()
        for name, value in one.items():
            if name in ("tissue_no_stop_limit_min", "limit_min") and isinstance(value, float):
                # A billionth of a bar is at most a second, which a tenth of a minute may show.
                assert value - 0.1001 <= two[name] <= value
            elif name in ("limited_by", "stops_owed", "tissue_within_limit", "within_limits"):
                assert (
                    value == two[name] or one["tissue_no_stop_limit_min"] != two["tissue_no_stop_limit_min"]
                )
            elif name == "oxygen":
                # A share is carried in whole units of 1e-9, rounded up: a tenth of a per cent may show it.
                for part, used in value.items():
                    more = 0.1001 if part.endswith(EARLIER) else 0
                    assert used == two[name][part] or used <= two[name][part] <= used + more
            else:
                assert value == two[name], name
    if whole["dives"][len(before) :] == split["dives"]:
        assert whole["now"] == split["now"]
        assert whole["no_fly"]["table_wait_min"] == split["no_fly"]["table_wait_min"]
        one, two = whole["state"]["tensions_e9"], split["state"]["tensions_e9"]
        if isinstance(one, list):
            assert all(x <= y <= x + 2 for x, y in zip(one, two, strict=True))


@given(st.lists(DIVE, min_size=1, max_size=2), st.integers(10, 2000), st.integers(0, 2000))
@settings(max_examples=40, deadline=None)
def test_a_longer_wait_never_shortens_and_no_wait_relaxes(made, gap, more):
    items = [{**d, **({"surface_interval_min": 60} if i else {})} for i, d in enumerate(made)]
    state = day(asked(items))["state"]
    next_dive = {"depth": 18, "bottom_time_min": 1, "o2_fraction": 0.21}

    def limit(minutes):
        item = day(asked([next_dive], state_before={**state, "minutes_before_descent": minutes}))["dives"][0]
        return item.get("tissue_no_stop_limit_min", {})

    soon, late, never = (
        limit(gap),
        limit(gap + more),
        day(asked([next_dive]))["dives"][0]["tissue_no_stop_limit_min"],
    )
    if isinstance(soon, float) and isinstance(late, float):
        assert soon <= late <= never


def kept(tension=0.9, altitude_ft=0, group="D", beyond=False):
    return Carried((round(tension * 10**9),) * 16, ((group, 0),), beyond, altitude_ft)


def test_another_altitude():
    """Time away from the site counts at sea level; the group is not known within 24 h, the tissues are."""
    mountain = Settings(altitude_ft=5000, at_altitude_s=7200)
    state = resumed(kept(), 4 * 3600, mountain)
    assert isinstance(state.group(), Missing)
    stayed = resumed(kept(altitude_ft=5000), 4 * 3600, Settings(altitude_ft=5000, at_altitude_s=10**6))
    limits = [no_stop(s, Depth(1800, "m"), AIR, mountain).tissue_limit_s for s in (state, stayed)]
    assert limits[0] < limits[1]
    assert stayed.group() == "A"  # US Navy Diving Manual, Revision 7, Table 9-8: D after 4:00
    assert resumed(kept(), 4 * 3600, Settings(altitude_ft=5000)).surfaced_tissues == Missing(
        ("hours_at_altitude",)
    )
    assert isinstance(resumed(kept(), 3600, mountain).surfaced_tissues, Missing)
    next_day = resumed(kept(beyond=True), 90_000, mountain)
    assert next_day.group() is not None and not next_day.barred
    rest = (SEA_LEVEL_BAR - WATER_VAPOUR_BAR) * AIR_N2_E4 / 10_000
    assert all(rest < x for x in next_day.surfaced_tissues[8:])


def test_a_state_that_cannot_be_is_refused():
    state = day(asked([{"depth": 18, "bottom_time_min": 30, "o2_fraction": 0.21}]))["state"]
    good = {**state, "minutes_before_descent": 60}
    for change, at in (
        ({"minutes_before_descent": 9.9}, "minutes_before_descent"),
        ({"minutes_before_descent": None}, "minutes_before_descent"),
        ({"beyond": None}, "beyond"),
        ({"altitude_ft": None}, "altitude_ft"),
        ({"groups": []}, "groups"),
        ({"groups": [{"group": "D", "before_s": 60}]}, "groups"),
        ({"groups": [{"before_s": 0}]}, "groups/0/group"),
        ({"tensions_e9": [1] * 17}, "tensions_e9"),
        ({"tensions_e9": [0.5] * 16}, "tensions_e9"),
        ({"tensions_e9": [-1] * 16}, "tensions_e9/0"),
        ({"oxygen": [{**state["oxygen"][0], "end_before_s": 86_400}]}, "oxygen"),
        ({"oxygen": [{**state["oxygen"][0], "single_e9": -1}]}, "oxygen/0/single_e9"),
        ({"oxygen": {"not_known": []}}, "oxygen/not_known"),
        ({"gas": "water"}, "gas"),
        ({"gas": {"not_known": 1}}, "gas/not_known"),
        ({"more": 1}, "more"),
    ):
        try:
            day(
                asked(
                    [{"depth": 18, "bottom_time_min": 30, "o2_fraction": 0.21}],
                    state_before={**good, **change},
                )
            )
        except Problem as problem:
            assert problem.errors[0].pointer == f"/state_before/{at}"
        else:
            raise AssertionError(change)


def test_a_state_of_the_last_four_days_makes_it_more_than_one_dive():
    """The consensus of 2002: 12 h after a single dive, 18 h after more."""
    dive = {"depth": 18, "bottom_time_min": 30, "o2_fraction": 0.21}
    state = day(asked([dive]))["state"]
    waits = {
        minutes: day(
            {**asked([dive], state_before={**state, "minutes_before_descent": minutes}), "days_of_diving": 1}
        )["no_fly"]["consensus_wait_min"]
        for minutes in (120, 1440, 5759, 5760)
    }
    assert waits == {120: 1080, 1440: 1080, 5759: 1080, 5760: 720}


def test_a_state_says_on_what_gas_it_was_left():
    """The consensus speaks of air; after helium no figure is published. What a state does not say is not known."""
    air = {"depth": 18, "bottom_time_min": 20, "o2_fraction": 0.21}
    nitrox = {**air, "o2_fraction": 0.32, "analysed": True}
    helium = {**air, "he_fraction": 0.35, "analysed": True}
    club = {"club_wait_min": 0, "club_wait_other_gas_min": 2000}
    for made, gas, wait in (
        (air, "air", 1080),
        (nitrox, "nitrox", 2000),
        (helium, "helium", 2000),
        ({**air, "o2_fraction": None}, {"not_known": ["gas of the dives before"]}, 1080),
    ):
        first = {name: value for name, value in made.items() if value is not None}
        state = day(asked([first], trimix_enabled=True))["state"]
        assert state["gas"] == gas
        body = asked([air], state_before={**state, "minutes_before_descent": 1500}, no_fly=club)
        assert day(body)["no_fly"]["wait_min"] == wait
        assert day(body)["state"]["gas"] == gas
        late = asked([air], state_before={**state, "minutes_before_descent": 5760}, no_fly=club)
        assert (day(late)["no_fly"]["wait_min"], day(late)["state"]["gas"]) == (1080, "air")
    without = {name: value for name, value in day(asked([nitrox]))["state"].items() if name != "gas"}
    answer = day(asked([air], state_before={**without, "minutes_before_descent": 300}))
    assert any("gas of a dive is not known" in text for text in answer["no_fly"]["assumptions"])
