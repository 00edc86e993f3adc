"""Questions to `plan` whose answers both languages must give alike, refusals and what is not known included."""

from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from typing import Any

from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem
from tests.parity import gas_bodies
from tests.parity.plan_bodies import (
    NO_MARGIN,
    Body,
    diver,
    earlier,
    feet,
    gas,
    imperial,
    metric,
    no_spread,
    survey,
)
from tests.parity.plan_state_bodies import chosen
from tests.parity.twins import kept


def _asked() -> Iterator[tuple[str, str, Any]]:
    """(id, why, body)"""
    who = survey()
    a, b = who["a"], who["b"]
    pair = [diver("a"), diver("b", rmv_l_min=20, rmv_sd_l_min=4)]
    yield "example", "the question as documented", metric(pair, depth=30, bottom_time_min=15, work="moderate")
    for first in ("a", "b", "g"):
        for second in ("c", "d", "e"):
            bodies = [copy.deepcopy(who[first]), copy.deepcopy(who[second])]
            yield f"survey-{first}{second}", "a leader with a stretched diver", metric(bodies, NO_MARGIN)
    larger = no_spread("d", 15, 200, 24)
    yield (
        "survey-larger-cylinder",
        "15 L in place of 10 L frees the team",
        metric([a, larger], NO_MARGIN, bottom_time_min=40),
    )
    three = [who["l"], who["m"], who["n"]]
    yield "three", "gas limits of three divers", metric(three, NO_MARGIN, depth=26, bottom_time_min=20)
    yield (
        "three-chances",
        "first to turn among three",
        metric(
            [diver("a"), diver("b", rmv_l_min=20, rmv_sd_l_min=4), diver("c", rmv_l_min=16, rmv_sd_l_min=0)]
        ),
    )
    yield (
        "first-to-turn",
        "who turns first, and with what probability",
        metric([diver("a", rmv_l_min=17, rmv_sd_l_min=2.55), diver("b", rmv_l_min=20, rmv_sd_l_min=4)]),
    )
    yield "free-ascent", "the boat follows: turn at minimum gas", metric(pair, **{"return": "free_ascent"})
    yield "no-return", "no turn pressure without the way back", metric(pair, **{"return": None})
    for work in ("light", "moderate", "hard", "severe"):
        yield f"work-{work}", "work multiplies the rate once", metric(pair, work=work)
    for kn in (0, 0.5, 0.6, 0.85, 0.93, 1, 1.2):
        yield f"current-{kn}", "current multiplies the rate once", metric(pair, current_kn=kn)
    yield "current-past", "no figure past 1.2 kn", metric(pair, current_kn=1.3)
    for unit in (2, 6, 14, 40):
        yield f"last-start-{unit}", "last start of a unit of work", metric(pair, task_unit_min=unit)
    yield (
        "last-start-stretched",
        "its time counts twice for a stretched diver",
        metric([diver("a"), diver("b", stretched=True)], task_unit_min=3),
    )
    yield "no-stop-asked", "no safety stop", metric(pair, safety_stop={"depth": 5, "min": 0})
    yield (
        "stop-deeper",
        "a stop below the dive is at its depth",
        metric(pair, depth=4, safety_stop={"depth": 6, "min": 5}),
    )
    yield "shallow", "unlimited by table and tissue", metric(pair, depth=4.5, bottom_time_min=200)
    yield "margin", "the mean raised by a margin", metric([a, b], {"gas_margin_percent": 25})
    yield (
        "margin-own",
        "a diver's own margin",
        metric([no_spread("a", 12, 210, 18, gas_margin_percent=40), b], NO_MARGIN),
    )
    yield "no-margin", "no spread and no margin: gas not known", metric([a, b])
    for name, field in (("rmv", "rmv_l_min"), ("cylinders", "cylinders"), ("gas", "gas")):
        yield (
            f"missing-{name}",
            f"{field} of one diver is missing",
            metric([diver("a"), diver("b", **{field: None})]),
        )
    yield (
        "missing-certified",
        "certified depth is missing",
        metric([diver("a", certified_depth=None), diver("b")]),
    )
    yield (
        "missing-earlier",
        "earlier dives are not known",
        metric([diver("a"), diver("b", earlier_dives=None)]),
    )
    yield (
        "missing-all",
        "several facts of several divers are missing",
        metric(
            [
                diver("a", earlier_dives=None, gas=None),
                diver("b", rmv_l_min=None, rmv_sd_l_min=None, cylinders=[]),
            ]
        ),
    )
    no_start = diver("b")
    del no_start["cylinders"][0]["start_pressure"]
    yield "missing-start", "start pressure is missing", metric([diver("a"), no_start])
    no_volume = diver("b")
    del no_volume["cylinders"][0]["volume"]
    yield "missing-volume", "volume is missing", metric([diver("a"), no_volume])
    yield (
        "missing-zero-known",
        "not certified is an answer though gas is not known",
        metric([diver("a", certified_depth=18), diver("b", rmv_l_min=None)]),
    )
    for change, why in (
        ({"by": "x"}, "analysed by another"),
        ({"cylinder": "c9"}, "of another cylinder"),
        ({"cylinder": None}, "of no cylinder"),
        ({"at": None}, "at no time"),
        ({"o2_fraction": None}, "without a reading"),
    ):
        mix = gas("b", 0.32)
        mix["analysis"] = {k: v for k, v in (mix["analysis"] | change).items() if v is not None}
        yield (
            f"analysis-{why.replace(' ', '-')}",
            f"analysis {why}",
            metric([diver("a"), diver("b", gas=mix)]),
        )
    yield (
        "analysis-none",
        "nitrox without an analysis",
        metric([diver("a"), diver("b", gas={"o2_fraction": 0.32})]),
    )
    air = diver("b", gas={"o2_fraction": 0.21})
    yield "analysis-air", "air without an analysis", metric([diver("a"), air])
    yield (
        "analysis-air-club",
        "a club that does not analyse air",
        metric([diver("a"), air], {"air_needs_analysis": False}),
    )
    yield (
        "analysis-refilled",
        "filled after the analysis",
        metric([diver("a"), diver("b", filled_at="2027-06-12T07:30:00Z")]),
    )
    yield (
        "analysis-after-fill",
        "analysed after the fill",
        metric([diver("a"), diver("b", filled_at="2027-06-12T06:00:00Z")]),
    )
    for id, at, filled in (
        ("offsets", "2027-06-12T09:00:00+02:00", "2027-06-12T07:30:00Z"),
        ("offsets-after", "2027-06-12T09:00+02:00", "2027-06-12T06:59:59.5Z"),
        ("one-offset", "2027-06-12T09:00:00", "2027-06-12T07:30:00Z"),
        ("no-time", "later", "2027-06-12"),
        ("midnight", "2027-06-12T00:10:00+0100", "2027-06-11 23:09:00-00:00"),
    ):
        mix = gas("b", 0.32)
        mix["analysis"]["at"] = at
        yield (
            f"analysis-{id}",
            "analysed after the fill, by instants",
            metric([diver("a"), diver("b", gas=mix, filled_at=filled)]),
        )
    for minutes in (0.01, 0.5, 1.49, 1.5, 2):
        yield (
            f"short-{minutes}",
            "a bottom time about as long as the descent",
            metric([diver("a"), diver("b")], bottom_time_min=minutes),
        )
    yield (
        "hundredth",
        "a hundredth past the certified depth",
        metric([diver("a"), diver("b", certified_depth=18)], depth=18.01),
    )
    yield "short-feet", "the same in feet", imperial([feet("a"), feet("b")], bottom_time_min=0.7)
    yield (
        "born-later",
        "born after the dive",
        metric([diver("a", born="2027-06-13"), diver("b")], {"on": "2027-06-12"}),
    )
    yield (
        "label-differs",
        "the reading counts, not the label",
        metric([diver("a"), diver("b", gas=gas("b", 0.36, 0.4))]),
    )
    yield (
        "air-read-209",
        "a reading near air is air",
        metric([diver("a"), diver("b", gas=gas("b", 0.21, 0.209))]),
    )
    for o2 in (0.28, 0.32, 0.36, 0.4):
        mixed = [diver(n, gas=gas(n, o2)) for n in ("a", "b")]
        yield f"nitrox-{o2}", "nitrox on both", metric(mixed)
    yield "nitrox-one", "nitrox on one of two", metric([diver("a"), diver("b", gas=gas("b", 0.32))])
    yield (
        "nitrox-16",
        "1.6 bar",
        metric([diver(n, gas=gas(n, 0.4)) for n in ("a", "b")], {"max_ppo2_bar": 1.6}),
    )
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
    yield from _backwards()
    yield from _random(40, 20270612)


def _backwards() -> Iterator[tuple[str, str, Any]]:
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


def ordered(divers: list[Body], dives: list[Body], top: Body | None = None, make: Any = metric) -> Body:
    """The same team asked for the best order of these dives."""
    body: Body = make(divers, {"find": "order", "dives": dives, **(top or {})})
    del body["dive"]
    return body


def _random(count: int, seed: int) -> Iterator[tuple[str, str, Body]]:
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


def outcome(body: Any) -> Body:
    """`{"answer": ...}`, or `{"problem": ...}` where the body is refused; without `sources`, one file for both."""
    try:
        found = plan(copy.deepcopy(body))
    except Problem as problem:
        return {"problem": problem.as_json()}
    return {"answer": {name: value for name, value in found.items() if name != "sources"}}


def cases() -> list[Body]:
    made = []
    random_gas = random.Random(20270712)
    spiced = [(f"gas-random-{i}", "gas at random", random_gas_body(random_gas)) for i in range(24)]
    for name, why, body in (*_asked(), *gas_bodies.asked(), *spiced, *chosen(diver, metric, ordered)):
        out = outcome(body)
        flags = ["refused"] if "problem" in out else ["not_known"] if "not_known" in str(out) else []
        made.append({"id": name, "why": why, "flags": flags, "in": body, "out": out})
    return [*made, *kept("plan", outcome)]
