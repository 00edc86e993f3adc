"""Questions to `plan` at random, most of them plausible."""

from __future__ import annotations

import random
from collections.abc import Iterator

from tests.parity import gas_bodies
from tests.parity.plan_bodies import (
    Body,
    diver,
    earlier,
    feet,
    gas,
    imperial,
    metric,
)


def random_cases(count: int, seed: int) -> Iterator[tuple[str, str, Body]]:
    rng = random.Random(seed)
    for i in range(count):
        yield f"random-{i}", "made at random", random_body(rng)


def random_body(rng: random.Random) -> Body:
    """A question in either system of units, most of it plausible, some of it missing or out of range."""
    in_feet = rng.random() < 0.4
    divers = [_random_diver(rng, name, in_feet) for name in "abc"[: rng.choice((2, 2, 3))]]
    depth = (
        rng.randint(20, 130) if in_feet else rng.choice((rng.randint(6, 40), rng.randint(600, 4000) / 100))
    )
    dive = {
        "depth": depth,
        "bottom_time_min": rng.randint(5, 60),
        "work": rng.choice(("light", "moderate", "moderate", "hard")),
        "current_kn": rng.choice((None, 0.2, 0.7, 1.0)),
        "return": rng.choice(("same_point", "same_point", "free_ascent")),
        "task_unit_min": rng.choice((None, 3, 4.5)),
        "safety_stop": rng.choice((None, {"depth": 15 if in_feet else 5, "min": rng.randint(0, 5)})),
    }
    top = {
        "method": rng.choice(("shorter", "shorter", "table", "tissue")),
        "what_if": rng.random() < 0.5,
        "overstay": rng.random() < 0.5,
        "find": rng.choice((None, "surface_interval")),
        "gas_margin_percent": rng.choice((None, 0, 20)),
    }
    make = imperial if in_feet else metric
    body = make(divers, top, **dive)
    _ask_backwards(rng, body, in_feet)
    if rng.random() < 0.2:
        spoilt = rng.choice((*body.get("dives", ()), *filter(None, [body.get("dive")]), *body["divers"]))
        name = rng.choice(sorted(spoilt))
        if rng.random() < 0.7:
            del spoilt[name]
        else:
            spoilt[name] = rng.choice((-1, 1e6, "x", True, [], None))
    return body


def random_gas_body(rng: random.Random) -> Body:
    """A random question with what few bodies say of gas."""
    body = random_body(rng)
    gas_bodies.spice(rng, body)
    return body


def _ask_backwards(rng: random.Random, body: Body, in_feet: bool) -> None:
    """Some of what a plan answers backwards, added to a random body."""
    if rng.random() < 0.3:
        body["interval_steps"] = True
    if rng.random() < 0.3:
        body["next_dive"] = {
            "depth": rng.randint(20, 80) if in_feet else rng.randint(6, 25),
            "bottom_time_min": 30,
        }
    if rng.random() < 0.3:
        body["alternatives"] = [_random_diver(rng, "x", in_feet)]
    if rng.random() < 0.2:
        body["no_fly"] = rng.choice(
            (
                {},
                {"to_altitude_ft": 3000},
                {"to_altitude_m": 1500, "club_wait_min": 1000},
                {"club_wait_other_gas_min": 1440, "club_wait_beyond_limit_min": 2880},
            )
        )
    for item in body["divers"]:
        if rng.random() < 0.2:
            item["flight"] = {"in_min": rng.randint(0, 2000)}
            if rng.random() < 0.5:
                item["flight"]["days_of_diving"] = rng.randint(1, 3)
        if rng.random() < 0.05:
            item["earlier_dives_of"] = "a"
            if rng.random() < 0.8:
                item.pop("earlier_dives", None)
    if rng.random() < 0.15:
        body["find"] = "order"
        first = body.pop("dive")
        others = [
            {
                "depth": rng.randint(20, 110) if in_feet else rng.randint(6, 34),
                "bottom_time_min": rng.randint(5, 25),
            }
            for _ in range(rng.choice((1, 1, 2)))
        ]
        body["dives"] = [{**first, "bottom_time_min": rng.randint(5, 25)}, *others]


def _random_diver(rng: random.Random, name: str, in_feet: bool) -> Body:
    o2 = rng.choice((0.21, 0.21, 0.32, 0.36))
    made = []
    ago = rng.randint(0, 400)
    for _ in range(rng.choice((0, 0, 1, 1, 2))):
        depth = rng.randint(30, 100) if in_feet else rng.randint(8, 30)
        made.append(earlier(depth, rng.randint(5, 40), ago)[0])
        ago += rng.randint(60, 300)
    changes: Body = {
        "rmv_l_min": rng.randint(130, 280) / 10,
        "rmv_sd_l_min": rng.choice((None, 0, 2.5, 4)),
        "gas": gas(name, o2),
        "earlier_dives": made,
        "caution": rng.choice((0, 0, 0, 1)),
        "stretched": rng.random() < 0.2,
    }
    if in_feet:
        start = rng.randint(2000, 3300)
        return feet(name, volume=rng.choice((63, 80, 100)), start_pressure=start, **changes)
    return diver(name, volume=rng.choice((10, 12, 12.2, 15)), start_pressure=rng.randint(120, 230), **changes)
