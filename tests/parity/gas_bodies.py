"""Questions to `plan` about gas: laws, temperatures, turns, breathing models, logs; by hand and at random."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random
from typing import Any

from tests.parity.plan_bodies import Body, diver, feet, gas, imperial, metric

REAL = {"gas_law": "real"}
GROUP = {"rmv_group": {"mean_l_min": 19, "between_divers": 0.25, "between_dives": 0.15}}
MODEL = {
    "breathing": {
        "work": {"light": 0.9, "moderate": 1, "hard": 1.5, "severe": 2.5},
        "swimming": [[0.2, 1], [0.6, 1.5], [1, 2.6]],
    }
}


def logged(name: str, rates: list[float], **changes: Any) -> Body:
    """A diver whose rate is known from past dives alone."""
    log = [{"rmv_l_min": rate} for rate in rates]
    return diver(name, rmv_l_min=None, rmv_sd_l_min=None, rmv_log=log, **changes)


def asked() -> Iterator[tuple[str, str, Any]]:
    """(id, why, body)"""
    pair = [diver("a"), diver("b", rmv_l_min=20, rmv_sd_l_min=4)]
    unequal = [diver("a", volume=15), diver("b", volume=10, start_pressure=200, rmv_l_min=20)]
    full = [diver(name, start_pressure=300, working_pressure=300) for name in "ab"]
    yield "gas-real", "real gas at 20 C", metric(pair, REAL)
    yield "gas-real-cold", "real gas in cold water", metric(pair, REAL, water_temp_c=4)
    yield "gas-real-300", "real gas at 300 bar", metric(full, REAL, water_temp_c=12)
    yield "gas-published-300", "published law at 300 bar", metric(full, water_temp_c=12)
    nitrox = [diver(name, gas=gas(name, 0.36), start_pressure=230) for name in "ab"]
    yield "gas-real-nitrox", "real nitrox", metric(nitrox, REAL, depth=24)
    yield "gas-cooled", "filled warm, dived cold", metric(pair, REAL | {"fill_temp_c": 38}, water_temp_c=6)
    yield "gas-cooled-published", "the same, published", metric(pair, {"fill_temp_c": 38}, water_temp_c=6)
    yield "gas-warmed", "a cold fill in warm water", metric(pair, REAL | {"fill_temp_c": 5}, water_temp_c=27)
    yield "gas-fill-no-water", "no water temperature", metric(pair, REAL | {"fill_temp_c": 38})
    waters: list[tuple[float | None, float | None]] = [(24, 4), (4, 24), (24, None), (None, 4)]
    for n, (one, other) in enumerate(waters):
        dives = [
            {"depth": deep, "bottom_time_min": 15} | ({} if water is None else {"water_temp_c": water})
            for deep, water in ((20, one), (18, other))
        ]
        low = [diver(name, start_pressure=115) for name in "ab"]
        order = {**metric(low, REAL | {"fill_temp_c": 40, "find": "order"}), "dives": dives}
        del order["dive"]
        yield f"gas-order-{n}", "an order of dives in two waters", order
    own = diver("b")
    own["cylinders"][0]["fill_temp_c"] = 50
    yield "gas-own-fill", "one filled warmer", metric([diver("a"), own], {"fill_temp_c": 20}, water_temp_c=10)
    in_feet = [feet("a"), feet("b", volume=63, start_pressure=2800)]
    yield "gas-real-feet", "real gas in psi", imperial(in_feet, REAL | {"fill_temp_c": 40}, water_temp_c=10)
    small = [diver("a"), diver("b", volume=1.5)]
    yield "gas-real-small", "a minimum gas no cylinder holds", metric(small, REAL)
    yield "gas-small", "the same, published", metric(small)
    for law in ("real", "published"):
        for rule in ("all_usable", "halves", "thirds"):
            for way in ("same_point", "free_ascent"):
                top = {"turn_rule": rule, "gas_law": law}
                yield f"turn-{rule}-{way}-{law}", "turning", metric(unequal, top, **{"return": way})
    for first in ("with", "against"):
        along = {"first": first, "swim_kn": 0.8, "current_kn": 0.3}
        yield f"turn-{first}", "out and back along a current", metric(unequal, along_current=along)
        strong = {"first": first, "swim_kn": 0.5}
        yield f"turn-{first}-strong", "no way back", metric(unequal, current_kn=0.5, along_current=strong)
    yield "model", "the club's own breathing model", metric(pair, MODEL, work="hard", current_kn=0.7)
    yield "model-past", "a current past the club's model", metric(pair, MODEL, current_kn=1.1)
    yield "model-empty", "a model that changes nothing", metric(pair, {"breathing": {}}, current_kn=0.7)
    falling = {"breathing": {"swimming": [[0.3, 1.1], [0.2, 1]]}}
    yield "model-falling", "speeds and multipliers that fall", metric(pair, falling)
    yield "model-easier", "hard work easier than light", metric(pair, {"breathing": {"work": {"hard": 0.6}}})
    few, many = [22.0], [14.0, 14.5, 13.0, 15.0, 14.0, 13.5, 14.2, 15.5, 13.8, 14.1]
    yield "log-few", "one dive and ten", metric([logged("a", few), logged("b", many)], GROUP)
    yield "log-none", "a diver without a dive", metric([logged("a", []), diver("b")], GROUP)
    yield "log-no-group", "a log and no group", metric([logged("a", few), diver("b")])
    both = metric([logged("a", few) | {"rmv_l_min": 18}, diver("b")], GROUP)
    yield "log-and-rate", "a log and a stated rate", both
    worked = logged("a", few)
    worked["rmv_log"] = [
        {"rmv_l_min": 30, "work": "hard", "current_kn": 0.85},
        {"rmv_l_min": 17, "current_kn": 0.2},
    ]
    yield "log-worked", "work and current taken out", metric([worked, diver("b")], GROUP | MODEL)
    yield (
        "log-current",
        "a logged current past the figures",
        metric([logged("a", few) | {"rmv_log": [{"rmv_l_min": 30, "current_kn": 2}]}, diver("b")], GROUP),
    )


def spice(rng: Random, body: Body) -> None:
    """Add to a body of `plan` or `teams` what few say of gas."""
    for name, value in (
        ("gas_law", rng.choice(("real", "real", "published"))),
        ("fill_temp_c", rng.choice((-5, 18, 27.5, 40, 60))),
        ("turn_rule", rng.choice(("all_usable", "halves", "thirds"))),
        ("breathing", rng.choice((MODEL["breathing"], {}, _model(rng)))),
    ):
        if rng.random() < 0.6:
            body[name] = value
    for dive in filter(lambda one: isinstance(one, dict), (*body.get("dives", ()), body.get("dive"))):
        if rng.random() < 0.7:
            dive["water_temp_c"] = rng.choice((-1.5, 4, 11.3, 20, 29))
        if rng.random() < 0.3:
            dive["along_current"] = {
                "first": rng.choice(("with", "against")),
                "swim_kn": rng.choice((0.5, 0.8, 1)),
                **rng.choice(({}, {"current_kn": rng.choice((0, 0.3, 0.5))})),
            }
    if rng.random() < 0.5:
        body["rmv_group"] = {
            "mean_l_min": rng.randint(140, 260) / 10,
            **rng.choice(({}, {"between_divers": 0.3}, {"between_dives": 0.2, "between_divers": 0.1})),
        }
    for item in filter(lambda one: isinstance(one, dict), body["divers"]):
        for cylinder in _objects(item.get("cylinders")):
            if rng.random() < 0.3:
                cylinder["start_pressure"] = rng.choice((0.5, 1, 1.04)) * cylinder.get(
                    "working_pressure", 200
                )
            if rng.random() < 0.2:
                cylinder["fill_temp_c"] = rng.choice((10, 35.5))
        if "rmv_group" in body and rng.random() < 0.4:
            item.pop("rmv_l_min", None)
            item.pop("rmv_sd_l_min", None)
            item["rmv_log"] = [_dived(rng) for _ in range(rng.choice((0, 1, 3, 12)))]


def _objects(items: Any) -> list[Body]:
    return [one for one in items if isinstance(one, dict)] if isinstance(items, list) else []


def _dived(rng: Random) -> Body:
    return {
        "rmv_l_min": rng.randint(120, 300) / 10,
        **rng.choice(({}, {"work": rng.choice(("light", "hard"))}, {"current_kn": rng.choice((0.3, 0.7))})),
    }


def _model(rng: Random) -> Body:
    """A club's own speeds and multipliers, both rising."""
    points, knots, by = [], 0.1, 1.0
    for _ in range(rng.randint(1, 4)):
        points.append([knots, by])
        knots, by = knots + rng.randint(1, 5) / 10, by + rng.randint(0, 9) / 10
    return {"swimming": points}
