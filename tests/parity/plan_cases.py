"""Questions to `plan` about a team's limits, its gas and what is missing about either."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

from tests.parity.plan_bodies import (
    NO_MARGIN,
    diver,
    feet,
    gas,
    imperial,
    metric,
    no_spread,
    survey,
)


def team_cases() -> Iterator[tuple[str, str, Any]]:
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
