"""What must hold of every plan answered backwards: least means least, and waiting never lowers a limit."""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from teamdive.calculations.plan import plan
from tests.parity.plan_bodies import Body, diver, earlier, metric, ordered

quick = settings(max_examples=25, deadline=None)
method = st.sampled_from(["shorter", "table", "tissue"])
ROOMY = {"volume": 40, "start_pressure": 230, "rmv_l_min": 8, "rmv_sd_l_min": 0}
before = st.one_of(
    st.just([]), st.builds(earlier, st.integers(10, 24), st.integers(8, 18), st.integers(10, 200))
)


@st.composite
def second_dive(draw: st.DrawFn) -> Body:
    divers = [diver(n, **ROOMY, earlier_dives=draw(before)) for n in "abc"[: draw(st.integers(2, 3))]]
    top = {"method": draw(method), "interval_steps": True, "what_if": True, "find": "surface_interval"}
    return metric(divers, top, depth=draw(st.integers(10, 27)), bottom_time_min=draw(st.integers(10, 50)))


def later(body: Body, minutes: int) -> Body:
    """The same dive that much later."""
    moved = copy.deepcopy(body)
    for item in moved["divers"]:
        for made in item["earlier_dives"]:
            made["surfaced_min_before_descent"] += minutes
    return moved


def asked(body: Body) -> Any:
    return plan(copy.deepcopy(body))


@quick
@given(second_dive())
def test_each_step_is_the_plan_of_that_moment_and_no_sooner(body: Body) -> None:
    found = asked(body)["interval_steps"]
    reached = int(found["limit_min"])
    for step in found["steps"][:4]:
        team = asked(later(body, step["after_min"]))["team"]
        assert (team["limit_min"], team["limited_by"], team["limiting_diver"]) == (
            step["limit_min"],
            step["limited_by"],
            step["diver"],
        )
        assert step["gain_min"] == int(step["limit_min"]) - int(found["limit_min"])
        if step["after_min"] > 1:
            assert int(asked(later(body, step["after_min"] - 1))["team"]["limit_min"]) == reached
        reached = int(step["limit_min"])
    last = found["steps"][-1] if found["steps"] else found
    assert found["more"] or int(found["ends"]["min"]) == int(last["limit_min"])


@quick
@given(second_dive(), st.integers(1, 400))
def test_waiting_never_lowers_a_limit(body: Body, minutes: int) -> None:
    assert asked(later(body, minutes))["team"]["limit_min"] >= asked(body)["team"]["limit_min"]


@quick
@given(second_dive())
def test_deeper_longer_sooner_never_get_a_longer_limit(body: Body) -> None:
    answer = asked(body)
    now = answer["team"]["limit_min"]
    for change in answer["what_if"]:
        if change["change"] == "longer":
            assert change["limit_min"] <= max(now, change["to"])
            assert (change["limit_min"] == change["to"]) == (change["obliges"]["beyond_min"] == 0)
        elif "refused" not in change:
            assert change["limit_min"] <= now
        assert change["message"].endswith(".")


@quick
@given(second_dive())
def test_the_team_waits_for_its_longest_member_and_sitting_out_never_lengthens(body: Body) -> None:
    found = asked(body)["surface_interval"]
    if "min" not in found:
        return
    assert found["min"] == max(own["min"] for own in found["divers"])
    for own in found["divers"]:
        parts = [own[name] for name in ("table_min", "tissue_min") if isinstance(own[name], int)]
        assert own["min"] <= max(parts)
    for each in found["without"]:
        assert each["min"] <= found["min"]


@settings(max_examples=15, deadline=None)
@given(
    method,
    st.lists(st.tuples(st.integers(12, 30), st.integers(8, 16)), min_size=2, max_size=3),
)
def test_every_order_waits_enough_and_the_best_waits_least(method_: str, made: list[tuple[int, int]]) -> None:
    dives = [{"depth": depth, "bottom_time_min": minutes} for depth, minutes in made]
    answer = plan(ordered([diver(n, **ROOMY) for n in "ab"], dives, {"method": method_}))["order"]
    possible = [o for o in answer["orders"] if isinstance(o.get("waiting_min"), int)]
    assume(possible)
    assert answer["best"] == possible[0]["dives"]
    assert [o["waiting_min"] for o in possible] == sorted(o["waiting_min"] for o in possible)
    for each in possible:
        assert each["waiting_min"] == sum(leg["wait_min"] for leg in each["legs"])
        for leg in each["legs"]:
            assert leg["wait_min"] >= leg["interval_min"]
            hidden = {"shorter": "", "table": "tissue_no_stop", "tissue": "table_no_stop"}[method_]
            assert leg["limit_min"] == dives[leg["dive"]]["bottom_time_min"] or leg["limited_by"] == "gas"
            assert leg["limited_by"] != hidden


@quick
@given(second_dive(), st.integers(600, 3000), st.integers(1, 300))
def test_an_earlier_flight_never_leaves_more_time(body: Body, minutes: int, sooner: int) -> None:
    body["divers"][0]["flight"] = {"in_min": minutes}
    first = asked(body)["divers"][0].get("flight")
    assume(first is not None and isinstance(first["latest_surfacing_min"], int))
    body["divers"][0]["flight"] = {"in_min": minutes - sooner}
    second = asked(body)["divers"][0]["flight"]
    assert second["latest_surfacing_min"] == first["latest_surfacing_min"] - sooner
    assert first["spare_min"] == first["latest_surfacing_min"] - first["surfaces_min"]
