"""What a plan makes of gas: the law, a fill that cools, the turn, the club's breathing model, a diver's own log."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem
from teamdive.calculations.teams import teams
from tests.parity import team_bodies
from tests.parity.gas_bodies import GROUP, MODEL, REAL, asked, logged
from tests.parity.plan_bodies import Body, diver, metric
from tests.property.test_hostile_bodies import SEVERAL

BODIES = {name: body for name, _, body in asked()}


def answered(body: Body) -> Any:
    return plan(copy.deepcopy(body))


def warned(found: Any) -> list[str]:
    return [one["code"] for one in found["warnings"] if one["code"] != "longer_than_limit"]


def gas_min(found: Any, who: int = 0) -> float:
    return float(found["divers"][who]["limits"]["gas"]["min"])


def pair(top: Body | None = None, start: float = 210, **dive: Any) -> Any:
    return answered(metric([diver(name, start_pressure=start) for name in "ab"], top, **dive))


def test_without_a_law_the_published_one_counts() -> None:
    assert pair() == pair({"gas_law": "published"})
    found = pair()
    assert found["gas_law"] == "published"
    assert found["divers"][0]["cylinder"] == {"start_in_water": 210, "counts_as": 210, "usable_l": 1440}


@pytest.mark.parametrize("start", [180, 200, 215, 232])
def test_real_gas_is_less_at_high_pressure(start: float) -> None:
    real, published = pair(REAL, start), pair(start=start)
    assert gas_min(real) < gas_min(published)
    assert (
        real["divers"][0]["cylinder"]["counts_as"] < published["divers"][0]["cylinder"]["counts_as"] <= start
    )


def test_published_never_counts_more_than_is_there_above_232_bar() -> None:
    found = pair(start=300, water_temp_c=12)["divers"][0]["cylinder"]
    real = pair(REAL, 300, water_temp_c=12)["divers"][0]["cylinder"]
    assert found["counts_as"] == real["counts_as"] < 280


def test_a_warning_once_where_less_gas_is_there_than_is_counted() -> None:
    assert warned(pair(start=210)) == ["less_gas_than_counted"]
    assert warned(pair(start=150)) == []
    assert warned(pair(REAL, 210)) == []
    # Above 232 bar the published law counts what is there.
    assert warned(pair(start=300)) == ["over_working_pressure"] * 2


def test_teams_count_by_the_same_law() -> None:
    body = team_bodies.eight()
    both = [teams({**copy.deepcopy(body), "gas_law": law}) for law in ("published", "real")]
    assert "less_gas_than_counted" in warned(both[0]) and "less_gas_than_counted" not in warned(both[1])
    own = [[one["limit_min"] for one in found["teams"]] for found in both]
    assert own[0] != own[1]


def test_a_warm_fill_is_counted_as_the_water_leaves_it() -> None:
    warm = pair({"fill_temp_c": 40}, water_temp_c=5)
    assert warm["divers"][0]["cylinder"]["start_in_water"] < 190
    assert gas_min(warm) < gas_min(pair(water_temp_c=5))
    assert pair({"fill_temp_c": 5}, water_temp_c=20)["divers"] == pair(water_temp_c=20)["divers"]
    assert "fill_temperature_not_counted" in warned(pair({"fill_temp_c": 40}))


def test_a_cylinders_own_fill_temperature_comes_first() -> None:
    own = diver("b")
    own["cylinders"][0]["fill_temp_c"] = 50
    found = answered(metric([diver("a"), own], {"fill_temp_c": 20}, water_temp_c=10))
    a, b = (one["cylinder"]["start_in_water"] for one in found["divers"])
    assert b < a < 210


def test_thirds_turn_before_halves_before_all() -> None:
    for way in ("same_point", "free_ascent"):
        turns = [
            pair({"turn_rule": rule}, **{"return": way})["divers"][0]
            for rule in ("thirds", "halves", "all_usable")
        ]
        assert [one["turn_pressure"] for one in turns] == [170, 150, 90]
        assert turns[2]["turn_pressure"] == turns[2]["minimum_gas"]
    assert [pair(**{"return": way})["divers"][0]["turn_rule"] for way in ("same_point", "free_ascent")] == [
        "halves",
        "all_usable",
    ]


@pytest.mark.parametrize("law", ["real", "published"])
def test_a_turn_is_the_same_litres_for_unequal_cylinders(law: str) -> None:
    divers = [diver("a", volume=15), diver("b", volume=10, start_pressure=200)]
    found = answered(metric(divers, {"gas_law": law}))["divers"]
    out = [(210 - found[0]["turn_pressure"]) * 15, (200 - found[1]["turn_pressure"]) * 10]
    least = min(one["cylinder"]["usable_l"] for one in found)
    # Rounded up to 10 bar, nobody goes out on more than half of the least (a real litre is less than it shows here).
    assert all(litres <= least / 2 * 1.08 for litres in out)


def test_a_current_moves_the_turn_and_may_leave_no_way_back() -> None:
    with_it, against = (
        pair(along_current={"first": first, "swim_kn": 0.8, "current_kn": 0.3})["divers"][0]["turn_pressure"]
        for first in ("with", "against")
    )
    still = pair()["divers"][0]["turn_pressure"]
    assert with_it > still > against
    none = pair(along_current={"first": "with", "swim_kn": 0.5, "current_kn": 0.5})["divers"][0][
        "turn_pressure"
    ]
    assert none == {
        "not_known": ["a way back: the current is as fast as the team swims (dive.along_current)"]
    }


def test_the_clubs_own_model_is_used_and_named() -> None:
    found = pair(MODEL, work="hard", current_kn=0.4)["divers"][0]["breathing"]
    assert found["model"] == "club"
    assert found["multiplier"] == pytest.approx(1.5 * 1.25, abs=0.011)
    past = pair(MODEL, current_kn=1.1)["divers"][0]
    assert "not_known" in past["limits"]["gas"]["min"]


def test_a_model_in_which_harder_is_easier_is_refused() -> None:
    for name, where in (
        ("model-falling", {"/breathing/swimming/1/0", "/breathing/swimming/1/1"}),
        ("model-easier", {"/breathing/work/hard"}),
    ):
        with pytest.raises(Problem) as raised:
            answered(BODIES[name])
        assert {(e.pointer, e.code) for e in raised.value.errors} == {(at, "out_of_order") for at in where}


def test_a_log_of_few_dives_is_drawn_to_the_group() -> None:
    found = answered(metric([logged("a", [14.0]), logged("b", [14.0] * 20)], GROUP))["divers"]
    few, many = (one["breathing"] for one in found)
    assert 14 < many["rmv_l_min"] < few["rmv_l_min"] < 19
    assert few["planned_l_min"] > many["planned_l_min"]
    assert few["log"] == {"dives": 1, "own_weight_percent": 74} and many["log"]["dives"] == 20


def test_a_log_needs_its_group_and_stands_alone() -> None:
    for name, at in (("log-no-group", "/rmv_group"), ("log-and-rate", "/divers/0/rmv_log")):
        with pytest.raises(Problem) as raised:
            answered(BODIES[name])
        assert [e.pointer for e in raised.value.errors] == [at]


def test_work_and_current_are_taken_out_of_a_logged_rate() -> None:
    hard = logged("a", [])
    hard["rmv_log"] = [{"rmv_l_min": 30, "work": "hard", "current_kn": 0.2}]
    plain = answered(metric([logged("a", [18.0]), diver("b")], GROUP))["divers"][0]["breathing"]
    worked = answered(metric([hard, diver("b")], GROUP))["divers"][0]["breathing"]
    assert worked["rmv_l_min"] == pytest.approx(plain["rmv_l_min"], rel=1e-12)


def test_a_day_of_dives_names_the_dive_whose_water_is_missing() -> None:
    body = copy.deepcopy(SEVERAL)
    for item in body["dives"]:
        item["dive"].pop("water_temp_c", None)
        item["dive"].get("demands", {}).pop("water_temp_c", None)
    for each in body["divers"]:
        each["cylinders"][0]["fill_temp_c"] = 30
    found = [w["pointer"] for w in teams(body)["warnings"] if w["code"] == "fill_temperature_not_counted"]
    assert found == ["/dives/0/dive/water_temp_c"]
