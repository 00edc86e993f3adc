"""Questions to `plan` in which a diver's state stands in the place of their dives."""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

from teamdive.calculations.day import day
from tests.parity.day_bodies import state_before

Body = dict[str, Any]


def with_states(body: Body, rng: random.Random) -> Body:
    """The same question with the dives of some divers given as a state, now and then beside them."""
    for item in body["divers"]:
        if rng.random() < 0.6:
            if rng.random() < 0.95:
                item.pop("earlier_dives", None)
            item["state_before"] = state_before(rng, body["depth_unit"])
    if rng.random() < 0.2:
        body["site_altitude_m"] = 1500
        if rng.random() < 0.7:
            body["hours_at_altitude"] = rng.choice([1, 30, 100])
    return body


def left(*dives: Body, minutes: float, **more: Any) -> Body:
    """The state after a day of these dives in metres, that many minutes later."""
    state: Body = day({"depth_unit": "m", "dives": list(dives), **more})["state"]
    return {**state, "minutes_before_descent": minutes}


def made(depth: float, minutes: float, o2: float = 0.21) -> Body:
    return {"depth": depth, "bottom_time_min": minutes, "o2_fraction": o2, "analysed": True}


def chosen(diver: Any, metric: Any, ordered: Any) -> Iterator[tuple[str, str, Body]]:
    """Cases chosen by hand; the makers of a diver and of a question are those of the plan's vectors."""

    def team(*states: Body) -> list[Body]:
        return [
            diver(name, earlier_dives=None, state_before=state)
            for name, state in zip("ab", states, strict=True)
        ]

    hour = team(left(made(18, 40), minutes=60), left(made(27, 12), minutes=90))
    asked = {"find": "surface_interval", "interval_steps": True, "what_if": True, "overstay": True}
    yield "state", "a state in the place of the dives, asked backwards too", metric(hour, asked)
    nitrox = team(left(made(30, 20, 0.32), minutes=60), left(made(18, 20), minutes=1440))
    yield "state-oxygen", "what a state says of oxygen counts", metric(nitrox)
    bare = left(made(18, 20), minutes=100)
    del bare["oxygen"]
    yield "state-no-oxygen", "a state that says nothing of oxygen", metric(team(bare, bare))
    beyond = left(made(30, 40), minutes=2000)
    yield (
        "state-beyond",
        "after a dive beyond its limit, within the club's rest",
        metric(team(beyond, beyond), {"rest_after_beyond_limit_min": 2880}),
    )
    lake = {"site_altitude_m": 1500, "hours_at_altitude": 2, "method": "tissue"}
    yield (
        "state-elsewhere",
        "no interval counts from coming to another altitude",
        metric(hour, {**lake, "find": "surface_interval"}),
    )
    dives = [{"depth": 18, "bottom_time_min": 30}, {"depth": 27, "bottom_time_min": 10}]
    yield "state-order", "an order after a state", ordered(hour, dives)
    both = [diver("a", state_before=left(made(18, 40), minutes=60)), diver("b")]
    yield "state-and-dives", "a state and dives", metric(both)
    partner = [hour[0], diver("b", earlier_dives=None, earlier_dives_of="a")]
    yield "state-partner", "a state stands for one diver", metric(partner)
