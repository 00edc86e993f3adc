"""Questions to `plan` about dives before it, the place, how two share, and who dives."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tests.parity.plan_bodies import (
    diver,
    earlier,
    metric,
)


def day_cases() -> Iterator[tuple[str, str, Any]]:
    """(id, why, body)"""
    pair = [diver("a"), diver("b", rmv_l_min=20, rmv_sd_l_min=4)]
    morning = [diver(n, earlier_dives=earlier(18, 40, 90)) for n in ("a", "b")]
    for method in ("shorter", "table", "tissue"):
        body = metric(
            morning,
            {"method": method, "find": "surface_interval", "what_if": True},
            depth=18,
            bottom_time_min=30,
        )
        yield f"after-{method}", f"second dive, {method} governs", body
    for ago in (0, 9.9, 10, 52, 53, 200, 1500):
        again = [diver(n, earlier_dives=earlier(27, 12, ago)) for n in ("a", "b")]
        yield (
            f"interval-{ago}",
            "the interval at and beside the edges of the table",
            metric(again, depth=18, bottom_time_min=20),
        )
    yield (
        "interval-none",
        "no interval makes it possible",
        metric(
            morning, {"find": "surface_interval"}, depth=18, bottom_time_min=80, **{"return": "free_ascent"}
        ),
    )
    yield (
        "interval-gas",
        "gas, not the interval, is too short",
        metric(morning, {"find": "surface_interval"}, bottom_time_min=40),
    )
    yield "interval-first", "no dive before", metric(pair, {"find": "surface_interval"}, bottom_time_min=5)
    yield (
        "interval-club",
        "a club's own least interval",
        metric(
            [diver("a", earlier_dives=earlier(12, 20, 30)), diver("b")],
            {"find": "surface_interval", "least_surface_interval_min": 60},
            depth=12,
        ),
    )
    yield (
        "interval-unknown",
        "not known without earlier dives",
        metric([diver("a"), diver("b", earlier_dives=None)], {"find": "surface_interval"}),
    )
    yield (
        "beyond-earlier",
        "an earlier dive beyond its limit",
        metric([diver("a"), diver("b", earlier_dives=earlier(30, 60, 120))]),
    )
    two = [*earlier(24, 15, 240), *earlier(15, 30, 80)]
    yield (
        "two-earlier",
        "two dives before",
        metric([diver("a", earlier_dives=two), diver("b")], depth=15, bottom_time_min=40),
    )
    yield (
        "earlier-nitrox",
        "an earlier dive on a gas not analysed",
        metric([diver("a", earlier_dives=earlier(20, 30, 90, 0.32)), diver("b")]),
    )
    analysed = [earlier(20, 30, 90, 0.32)[0] | {"analysed": True}]
    yield (
        "earlier-analysed",
        "an earlier dive on analysed nitrox",
        metric([diver("a", earlier_dives=analysed), diver("b")]),
    )
    for steps in (1, 2):
        yield (
            f"caution-{steps}",
            "caution enters the table longer and lowers GF high",
            metric([diver("a", caution=steps), diver("b")]),
        )
    yield "cold", "cold enters the table longer", metric(pair, cold_or_hard=True, water_temp_c=6)
    yield "cold-warned", "cold water is warned of", metric(pair, water_temp_c=6)
    yield "gf", "stricter gradient factors", metric(pair, {"gf": [0.3, 0.7]})
    yield "gf-raised", "raised gradient factors", metric(pair, {"gf": [0.5, 0.9]})
    yield "rates", "other rates", metric(pair, {"descent_rate": 12, "ascent_rate": 10})
    yield "altitude", "a lake at altitude", metric(pair, {"site_altitude_m": 800, "hours_at_altitude": 3})
    yield "altitude-unknown", "arrived when?", metric(pair, {"site_altitude_m": 800})
    yield "no-place", "no altitude given", metric(pair, {"site_altitude_m": None})
    yield "no-sharing", "defaults for sharing", metric(pair, {"sharing": None})
    yield "sharing-some", "some defaults for sharing", metric(pair, {"sharing": {"stressed_rmv_l_min": 35}})
    yield (
        "heavy-own",
        "own working rate above the stressed rate",
        metric([diver("a", rmv_l_min=32), diver("b")]),
    )
    yield (
        "reserve-high",
        "a high surface reserve",
        metric(
            pair, {"sharing": {"stressed_rmv_l_min": 20, "delay_at_depth_min": 0, "surface_reserve": 110}}
        ),
    )
    yield (
        "below-minimum",
        "a start pressure below minimum gas",
        metric([diver("a"), diver("b", start_pressure=60)]),
    )
    yield "empty", "an empty cylinder", metric([diver("a"), diver("b", start_pressure=0)])
    yield (
        "overfilled",
        "above working pressure, above ideal gas",
        metric([diver("a", start_pressure=300), diver("b")]),
    )
    spare = diver("b")
    spare["cylinders"].append(
        {"id": "p", "volume": 3, "working_pressure": 232, "start_pressure": 230, "use": "redundant"}
    )
    yield "redundant", "a redundant cylinder never counts", metric([diver("a"), spare])
    yield (
        "junior",
        "a junior never shares",
        metric([diver("a"), diver("b", born="2014-03-01", certified_depth=18)], depth=12),
    )
    yield (
        "supervised",
        "supervised divers never share",
        metric([diver("a"), diver("b", supervised=True)], depth=12),
    )
    yield "one", "one diver", metric([diver("a")])
    yield "planned", "the plan is what ends it", metric(pair, depth=12, bottom_time_min=20)
    yield "qualified", "deeper than certified", metric([diver("a", certified_depth=18), diver("b")])
    yield "forty", "40 m is the edge", metric(pair, depth=40, bottom_time_min=8)
    yield (
        "beyond-enabled",
        "50 m where the keeper enabled it",
        metric(
            [diver("a", certified_depth=60), diver("b", certified_depth=60)],
            {"beyond_40_m_enabled": True, "what_if": True},
            depth=50,
            bottom_time_min=5,
        ),
    )
    yield "overstay", "what five and ten minutes past the limit would owe", metric(pair, {"overstay": True})
    yield (
        "overstay-planned",
        "the time asked is past it",
        metric(pair, {"overstay": True}, bottom_time_min=30),
    )
    unknown = [diver("a", earlier_dives=None), diver("b")]
    yield "overstay-unknown", "earlier dives not known", metric(unknown, {"overstay": True})
    yield "overstay-unlimited", "no limit to pass", metric(pair, {"overstay": True}, depth=5)
    yield "what-if-edge", "deeper would be past 40 m", metric(pair, {"what_if": True}, depth=38)
    yield (
        "what-if-earlier",
        "deeper, longer, sooner",
        metric(morning, {"what_if": True}, depth=15, bottom_time_min=30),
    )
