"""Questions to `plan` asked backwards: intervals, steps, flights, orders, who else could dive."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tests.parity.plan_bodies import (
    Body,
    diver,
    earlier,
    feet,
    gas,
    imperial,
    metric,
    ordered,
)


def backwards_cases() -> Iterator[tuple[str, str, Any]]:
    """Intervals, steps, orders, flights and changes of partner."""

    def team(*before: list[Body] | None, **of_all: Any) -> list[Body]:
        roomy = {"volume": 30, "start_pressure": 230, "rmv_l_min": 10, "rmv_sd_l_min": 0, **of_all}
        return [diver(name, **roomy, earlier_dives=made) for name, made in zip("abc", before, strict=False)]

    second = {"depth": 18, "bottom_time_min": 35}
    morning = [earlier(21, 29, 60), earlier(27, 17, 60), []]
    for method in ("shorter", "table", "tissue"):
        top = {"method": method, "find": "surface_interval", "interval_steps": True}
        yield (
            f"waiting-{method}",
            "each member's interval, who sits out, the steps",
            metric(team(*morning), top, **second),
        )
    late = [earlier(21, 29, 5), earlier(15, 40, 90)]
    yield (
        "steps-joined",
        "steps start after the ten minutes that join",
        metric(team(*late), {"interval_steps": True}, **second),
    )
    yield (
        "steps-gas",
        "gas ends the waiting",
        metric(team(*morning, start_pressure=120), {"interval_steps": True}, **second),
    )
    yield (
        "steps-many",
        "more steps than are listed",
        metric(team(*morning), {"interval_steps": True, "method": "tissue"}, depth=12, bottom_time_min=200),
    )
    yield (
        "steps-unknown",
        "steps of a limit that is not known",
        metric(team(None, []), {"interval_steps": True}, **second),
    )
    alternatives = [diver("x", volume=15), diver("y", earlier_dives=earlier(18, 20, 60))]
    top = {"find": "surface_interval", "alternatives": alternatives}
    yield "alternatives", "who else could dive", metric(team(*morning), top, **second)
    yield (
        "alternatives-twice",
        "an alternative who dives already",
        metric(team([], []), {"alternatives": [diver("a")]}),
    )
    yield (
        "interval-never-but",
        "possible if one sits out",
        metric([diver("a", certified_depth=12), *team([], [])[1:]], top, **second),
    )
    coming = {"depth": 15, "bottom_time_min": 40}
    for minutes in (20, 45):
        yield (
            f"next-dive-{minutes}",
            "what dive two waits, and longer",
            metric(
                team([], []),
                {"next_dive": coming, "what_if": True},
                depth=18,
                bottom_time_min=minutes,
            ),
        )
    yield (
        "next-dive-never",
        "a dive two that no wait allows",
        metric(team([], []), {"next_dive": {"depth": 30, "bottom_time_min": 50}, "what_if": True}, **second),
    )
    flying = [
        diver("a", flight={"in_min": 1200, "days_of_diving": 1}),
        diver("b", flight={"in_min": 700}, earlier_dives=earlier(18, 20, 120)),
        diver("c", earlier_dives=None, flight={"in_min": 1500, "days_of_diving": 2}),
    ]
    yield "flights", "the latest surfacing of each", metric(flying, bottom_time_min=10)
    yield (
        "flights-altitude",
        "a road over a pass, the club's own wait",
        metric(flying[:2], {"no_fly": {"to_altitude_m": 1000, "club_wait_min": 1440}}, bottom_time_min=10),
    )
    yield "flights-wrong", "a flight without its time", metric([diver("a", flight={"at": 3}), diver("b")])
    partnered = [
        diver("a", earlier_dives=earlier(18, 20, 60)),
        diver("b", earlier_dives=None, earlier_dives_of="a"),
    ]
    yield "partner", "a partner's dives stand in", metric(partnered, **second)
    mixed = [diver("a", earlier_dives=earlier(18, 20, 60, 0.32)), partnered[1]]
    yield "partner-nitrox", "a partner's gas does not", metric(mixed, **second)
    for with_, own in (("z", None), ("b", None), ("a", [])):
        yield (
            f"partner-{with_}-{own is None}",
            "a partner who is nobody, oneself, or not needed",
            metric([diver("a"), diver("b", earlier_dives=own, earlier_dives_of=with_)]),
        )
    deep, long = {"depth": 27, "bottom_time_min": 17}, {"depth": 18, "bottom_time_min": 35}
    short = {"depth": 12, "bottom_time_min": 30, "work": "hard"}
    for method in ("shorter", "table", "tissue"):
        for name, dives in (("two", [long, deep]), ("three", [short, long, deep]), ("bounds", [short, deep])):
            yield (
                f"order-{name}-{method}",
                "every order and its price",
                ordered(team([], []), dives, {"method": method}),
            )
    yield (
        "order-earlier",
        "the wait before the first dive too",
        ordered(team(*morning), [long, deep], {"least_surface_interval_min": 60}),
    )
    yield (
        "order-never",
        "too long in any order",
        ordered(team([], []), [deep, {**long, "bottom_time_min": 90}]),
    )
    yield "order-unknown", "earlier dives not known", ordered(team([], None), [deep, long])
    yield "order-one", "one dive is no order", ordered(team([], []), [deep])
    yield "order-dive", "dive and dives", ordered(team([], []), [deep, long]) | {"dive": deep}
    yield "dives-alone", "dives without the question", metric(team([], []), {"dives": [deep, long]})
    leaner = [diver(n, gas=gas(n, 0.36)) for n in "ab"]
    yield "leaner", "a leaner gas where oxygen ends it", metric(leaner, depth=30)
    in_feet = [feet(n, volume=200, rmv_l_min=10, earlier_dives=earlier(80, 20, 45)) for n in "ab"]
    yield (
        "waiting-feet",
        "steps, interval and flights in feet",
        imperial(
            [{**in_feet[0], "flight": {"in_min": 1300}}, in_feet[1]],
            {"find": "surface_interval", "interval_steps": True, "what_if": True},
            depth=60,
            bottom_time_min=35,
        ),
    )
    yield (
        "order-feet",
        "an order in feet",
        ordered(
            in_feet,
            [{"depth": 60, "bottom_time_min": 30}, {"depth": 99, "bottom_time_min": 10}],
            make=imperial,
        ),
    )
