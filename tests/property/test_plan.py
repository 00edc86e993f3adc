"""What must hold of every plan: more gas never shortens it, a deeper, harder or sooner dive never lengthens it."""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from teamdive.calculations.plan import plan
from tests.parity.plan_bodies import Body, diver, earlier, gas, metric

rmv = st.integers(120, 300).map(lambda x: x / 10)
spread = st.sampled_from([0, 1.5, 3, 5])
earlier_dives = st.one_of(
    st.just([]),
    st.builds(earlier, st.integers(8, 27), st.integers(5, 25), st.integers(0, 600)),
)
quick = settings(max_examples=40, deadline=None)


@st.composite
def one(draw: st.DrawFn, name: str) -> Body:
    o2 = draw(st.sampled_from([0.21, 0.21, 0.28, 0.32]))
    return diver(
        name,
        rmv_l_min=draw(rmv),
        rmv_sd_l_min=draw(spread),
        volume=draw(st.sampled_from([7, 10, 12, 15, 18])),
        start_pressure=draw(st.integers(60, 230)),
        gas=gas(name, o2),
        earlier_dives=draw(earlier_dives),
        caution=draw(st.integers(0, 2)),
        certified_depth=draw(st.sampled_from([20, 40, 40])),
    )


@st.composite
def question(draw: st.DrawFn, members: int = 0) -> Body:
    names = "abc"[: members or draw(st.sampled_from([2, 2, 3]))]
    top = {"method": draw(st.sampled_from(["shorter", "table", "tissue"]))}
    return metric(
        [draw(one(name)) for name in names],
        top,
        depth=draw(st.integers(6, 36)),
        bottom_time_min=draw(st.integers(5, 60)),
        work=draw(st.sampled_from(["light", "moderate", "hard"])),
        current_kn=draw(st.sampled_from([0, 0.5, 0.8])),
    )


def asked(body: Body) -> Any:
    return plan(copy.deepcopy(body))


def minutes(body: Body) -> float | None:
    """The team's limit; None where it is not known."""
    found = asked(body)["team"]["limit_min"]
    return found if isinstance(found, float) else None


def never_longer(body: Body, worse: Body) -> None:
    before, after = minutes(body), minutes(worse)
    assume(before is not None and after is not None)
    assert after <= before  # type: ignore[operator]


@quick
@given(question(), st.integers(0, 2), st.integers(1, 60))
def test_more_gas_never_shortens(body: Body, who: int, bar: int) -> None:
    cylinder = body["divers"][who % len(body["divers"])]["cylinders"][0]
    less = copy.deepcopy(body)
    cylinder["start_pressure"] += bar
    never_longer(body, less)
    cylinder["volume"] += 3
    never_longer(body, less)


@quick
@given(question(), st.integers(1, 10))
def test_deeper_is_never_longer(body: Body, metres: int) -> None:
    assume(body["dive"]["depth"] + metres <= 40)
    deeper = copy.deepcopy(body)
    deeper["dive"]["depth"] += metres
    never_longer(body, deeper)


@quick
@given(question(), st.integers(0, 2), st.floats(0.1, 15))
def test_a_heavier_breather_is_never_longer(body: Body, who: int, more: float) -> None:
    heavier = copy.deepcopy(body)
    heavier["divers"][who % len(body["divers"])]["rmv_l_min"] += more
    never_longer(body, heavier)


@quick
@given(question(), st.integers(0, 2), st.floats(0.1, 5))
def test_a_wider_spread_is_never_longer(body: Body, who: int, more: float) -> None:
    wider = copy.deepcopy(body)
    wider["divers"][who % len(body["divers"])]["rmv_sd_l_min"] += more
    never_longer(body, wider)


@quick
@given(question())
def test_harder_work_and_more_current_are_never_longer(body: Body) -> None:
    body["dive"] |= {"work": "light", "current_kn": 0.2}
    for harder in ({"work": "hard"}, {"work": "severe"}, {"current_kn": 0.7}, {"current_kn": 1.1}):
        worse = copy.deepcopy(body)
        worse["dive"] |= harder
        never_longer(body, worse)


@quick
@given(question(), st.integers(1, 30))
def test_a_sooner_dive_is_never_longer(body: Body, less: int) -> None:
    made = [item for one_ in body["divers"] for item in one_["earlier_dives"]]
    assume(made and all(item["surfaced_min_before_descent"] >= 10 + less for item in made))
    sooner = copy.deepcopy(body)
    for one_ in sooner["divers"]:
        for item in one_["earlier_dives"]:
            item["surfaced_min_before_descent"] -= less
    never_longer(body, sooner)


@quick
@given(question(members=3))
def test_one_more_diver_never_lengthens(body: Body) -> None:
    two = copy.deepcopy(body)
    two["divers"].pop()
    never_longer(two, body)


@quick
@given(question())
def test_the_least_binds_and_the_next_is_behind_it(body: Body) -> None:
    team = asked(body)["team"]
    assume(isinstance(team["limit_min"], float))
    hidden = {"shorter": None, "table": "tissue_no_stop", "tissue": "table_no_stop"}[body["method"]]
    known = [v["min"] for k, v in team["limits"].items() if k != hidden and isinstance(v["min"], float)]
    assert team["limit_min"] == min(known)
    if team["next_limit"] is not None:
        assert team["next_limit"]["min"] >= team["limit_min"]


@quick
@given(question())
def test_pressures_are_in_order_and_on_their_steps(body: Body) -> None:
    for item, answer in zip(body["divers"], asked(body)["divers"], strict=True):
        start = item["cylinders"][0]["start_pressure"]
        assert answer["minimum_gas"] % 5 == 0
        assert answer["minimum_gas"] >= 50
        assert answer["turn_pressure"] >= answer["minimum_gas"]
        assert answer["turn_pressure"] <= max(start, answer["minimum_gas"])
        if answer["gas_at_surface"] is not None:
            assert answer["gas_at_surface"] <= start


def unordered(value: Any) -> Any:
    """What is not known is listed in the order of the divers: that order aside."""
    if isinstance(value, dict):
        return {k: sorted(v) if k == "not_known" else unordered(v) for k, v in value.items()}
    return value


@quick
@given(question(), st.randoms())
def test_the_order_of_the_divers_changes_nothing_of_theirs(body: Body, rng: Any) -> None:
    before = asked(body)
    mixed = copy.deepcopy(body)
    rng.shuffle(mixed["divers"])
    after = asked(mixed)
    assert unordered(after["team"]["limit_min"]) == unordered(before["team"]["limit_min"])
    by_id = {d["id"]: d for d in after["divers"]}
    assert all(unordered(by_id[d["id"]]) == unordered(d) for d in before["divers"])


@quick
@given(question(), st.sampled_from(["rmv_l_min", "gas", "cylinders", "earlier_dives", "certified_depth"]))
def test_what_is_missing_never_becomes_a_longer_dive(body: Body, name: str) -> None:
    lacking = copy.deepcopy(body)
    del lacking["divers"][0][name]
    found = asked(lacking)["team"]
    assert found["limit_min"] == 0.0 or "diver a" in " ".join(found["limit_min"]["not_known"])


@quick
@given(
    st.sampled_from(["shorter", "table", "tissue"]),
    st.lists(st.tuples(st.integers(15, 24), st.integers(10, 20)), min_size=2, max_size=2),
    st.integers(15, 18),
    st.integers(20, 35),
)
def test_the_least_interval_is_enough_and_a_minute_less_is_not(
    method: str, first: list[tuple[int, int]], depth: int, bottom: int
) -> None:
    def team(minutes_: int) -> Body:
        divers = [
            diver(
                n,
                volume=30,
                start_pressure=230,
                rmv_l_min=10,
                rmv_sd_l_min=0,
                earlier_dives=earlier(*made, minutes_),
            )
            for n, made in zip("ab", first, strict=True)
        ]
        return metric(
            divers, {"method": method, "find": "surface_interval"}, depth=depth, bottom_time_min=bottom
        )

    found = asked(team(100))["surface_interval"]
    assert found["min"] >= 10
    assert asked(team(found["min"]))["team"]["limit_min"] == bottom
    if found["min"] > 10:
        assert asked(team(found["min"] - 1))["team"]["limit_min"] < bottom


@quick
@given(question())
def test_every_change_offered_does_what_it_says(body: Body) -> None:
    team = asked(body)["team"]
    for change in team["buys_time"]:
        assert change["gain_min"] == 0 or change["gain_min"] >= 2
        assert abs(change["limit_min"] - team["limit_min"] - change["gain_min"]) < 1e-9
