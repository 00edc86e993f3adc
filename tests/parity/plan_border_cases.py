"""Questions to `plan` in feet and psi, and bodies that it refuses."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tests.parity.plan_bodies import (
    diver,
    earlier,
    feet,
    gas,
    imperial,
    metric,
)


def border_cases() -> Iterator[tuple[str, str, Any]]:
    """(id, why, body)"""
    pair = [diver("a"), diver("b", rmv_l_min=20, rmv_sd_l_min=4)]
    yield "feet", "feet, psi and cu ft", imperial([feet("a"), feet("b", rmv_l_min=22)])
    yield (
        "feet-litres",
        "feet, psi and litres",
        imperial([feet("a", volume=12), feet("b", volume=10)], {"volume_unit": "l"}),
    )
    yield (
        "feet-bar",
        "feet and bar",
        imperial(
            [diver("a"), diver("b")],
            {"volume_unit": "l", "pressure_unit": "bar", "sharing": {"stressed_rmv_l_min": 30}},
            depth=60,
        ),
    )
    yield (
        "feet-unequal",
        "unequal cylinders in psi",
        imperial([feet("a"), feet("b", volume=63, working_pressure=3000)]),
    )
    no_working = feet("b")
    del no_working["cylinders"][0]["working_pressure"]
    yield "feet-no-working", "cu ft without a working pressure", imperial([feet("a"), no_working])
    yield (
        "feet-130",
        "130 ft is the edge",
        imperial([feet("a"), feet("b")], {"what_if": True}, depth=130, bottom_time_min=6),
    )
    yield "feet-defaults", "defaults in psi", imperial([feet("a"), feet("b")], {"sharing": None})
    yield "not-object", "the body is no object", [1, 2]
    yield "nothing", "an empty body", {}
    yield (
        "unknown-field",
        "unknown fields by name",
        metric(pair, {"colour": "red"}) | {"divers": [diver("a", hat=1), diver("b")]},
    )
    yield "beyond-40", "deeper than 40 m", metric(pair, depth=40.1)
    yield "beyond-130", "deeper than 130 ft", imperial([feet("a"), feet("b")], depth=130.5)
    yield "ppo2-17", "more than 1.6 bar", metric(pair, {"max_ppo2_bar": 1.61})
    yield "o2-41", "more than 40 %", metric([diver("a", gas=gas("a", 0.41)), diver("b")])
    yield "o2-20", "less than 21 %", metric([diver("a", gas=gas("a", 0.205, 0.21)), diver("b")])
    yield (
        "negative",
        "negative numbers",
        metric([diver("a", rmv_l_min=-1), diver("b", start_pressure=-5)], depth=-3),
    )
    yield (
        "types",
        "wrong types",
        metric(
            [diver("a", rmv_l_min="18"), diver("b", caution=0.5)],
            {"what_if": 1, "on": "12.6.2027"},
            depth=True,
        ),
    )
    yield "two-of-one-name", "two divers with one id", metric([diver("a"), diver("a")])
    twin = diver("b")
    twin["cylinders"].append({"id": "c1", "volume": 12, "start_pressure": 200})
    yield "two-mains", "two main cylinders with one id", metric([diver("a"), twin])
    yield "no-divers", "no divers", metric([])
    yield (
        "overlap",
        "earlier dives that overlap",
        metric([diver("a", earlier_dives=[*earlier(10, 30, 100), *earlier(10, 30, 80)]), diver("b")]),
    )
    yield (
        "bad-choices",
        "words that are none of the choices",
        metric(pair, {"gas_rule": "thirds", "find": "gold"}, work="fun", **{"return": "swim"}),
    )
    yield (
        "born-no-date",
        "an age needs the date of the dive",
        metric([diver("a", born="2014-03-01"), diver("b")], {"on": None}),
    )
    yield "bad-date", "a day that is none", metric(pair, {"on": "2027-02-29"})
