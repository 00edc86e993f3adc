"""Cases of fixtures/vectors/day.json: a diver's day, refusals and what is not known included."""

from __future__ import annotations

from random import Random
from typing import Any

from teamdive.calculations.day import day
from teamdive.calculations.problem import Problem
from tests.parity.day_bodies import body
from tests.parity.twins import kept

RANDOM_CASES = 240


def answer(asked: Any) -> dict[str, Any]:
    """The outcome without `sources`, which are one file for both languages."""
    try:
        found = day(asked)
    except Problem as problem:
        return {"problem": problem.as_json()}
    return {"answer": {name: value for name, value in found.items() if name != "sources"}}


def cases() -> list[dict[str, Any]]:
    made = [case(f"day-{id}", why, asked, *flags) for id, why, asked, *flags in CHOSEN]
    random = Random(20_270_612)
    for n in range(RANDOM_CASES):
        made.append(case(f"day-random-{n:03}", "a random day", body(random), "random"))
    return [*made, *kept("day", answer)]


def case(id: str, why: str, asked: Any, *flags: str) -> dict[str, Any]:
    out = answer(asked)
    marks = [*flags]
    if "problem" in out:
        marks.append("refusal")
    elif "not_known" in str(out):
        marks.append("not_known")
    return {"id": id, "why": why, "flags": marks, "in": asked, "out": out}


def air(depth: float, bottom: float, interval: float | None = None, **more: Any) -> dict[str, Any]:
    first = {} if interval is None else {"surface_interval_min": interval}
    return {**first, "depth": depth, "bottom_time_min": bottom, "o2_fraction": 0.21, **more}


def feet(*dives: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"depth_unit": "ft", "dives": list(dives), **more}


def metres(*dives: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"depth_unit": "m", "dives": list(dives), **more}


CHOSEN: list[tuple[Any, ...]] = [
    (
        "two-dives",
        "an ordinary day",
        feet(air(90, 12), air(50, 30, 75), minutes_since_surfacing=0, days_of_diving=1),
    ),
    (
        "oxygen-together",
        "three dives within their own oxygen limit, past it together; a day later the first no longer counts",
        metres(
            *[
                {"depth": 23, "bottom_time_min": 52, "o2_fraction": 0.4, "analysed": True, **after}
                for after in ({}, *[{"surface_interval_min": 300}] * 3, {"surface_interval_min": 1440})
            ],
            method="tissue",
        ),
    ),
    ("joined", "under ten minutes is one dive", feet(air(80, 20), air(70, 20, 8), method="table")),
    ("joined-three", "three surfacings, one dive", metres(air(12, 20), air(18, 10, 9.99), air(9, 3, 5))),
    ("ten-minutes", "ten minutes part two dives", metres(air(12, 20), air(18, 10, 10))),
    ("band-edge", "52.5 minutes still get the credit of 52", feet(air(60, 40), air(60, 5, 52.5))),
    ("band-over", "53 minutes get the next", feet(air(60, 40), air(60, 5, 53))),
    ("dagger", "Z at 25 fsw takes the 30 fsw row", feet(air(35, 232), air(25, 5, 15), method="table")),
    ("undetermined", "** in the table is not known", feet(air(60, 33), air(10, 30, 30), air(60, 5, 60))),
    ("unlimited", "neither method has a limit", metres(air(4.5, 600))),
    ("leading-blank", "150 fsw starts at B", feet(air(150, 1))),
    (
        "beyond",
        "a dive past its limit, later ones refused",
        feet(air(60, 70), air(30, 5, 60), air(30, 5, 1440)),
    ),
    ("beyond-joined", "no going down again after it", feet(air(60, 70), air(30, 5, 5))),
    ("table-governs", "past the tissue limit only", feet(air(60, 50), method="table")),
    ("tissue-governs", "past the table only", metres(air(18, 40), air(18, 30, 40), method="tissue")),
    ("deepest-ft", "190 fsw", feet(air(190, 4))),
    ("deepest-m", "58.22 m is the same row", metres(air(58.22, 4))),
    ("too-deep", "past every row", feet(air(190.01, 4))),
    ("feet-kept", "120 ft is the 120 row, 120.1 the next", feet(air(120, 5), air(120.1, 5, 200))),
    ("nitrox", "analysed gas", feet(air(100, 20, o2_fraction=0.32, analysed=True))),
    (
        "nitrox-rich",
        "an equivalent air depth above the surface",
        metres(air(5, 20, o2_fraction=0.8, analysed=True)),
    ),
    ("nitrox-unanalysed", "nitrogen as air", feet(air(100, 20, o2_fraction=0.32))),
    ("gas-unknown", "no fraction given", feet({"depth": 60, "bottom_time_min": 20})),
    ("oxygen-past-1.6", "past the oxygen table", metres(air(40, 8, o2_fraction=0.4, analysed=True))),
    ("cold", "next longer time", feet(air(70, 30, cold_or_hard=True))),
    ("caution", "two steps and GF high 0.70", feet(air(60, 20), caution=2)),
    (
        "samples",
        "a profile as swum",
        metres({"samples": [[0, 0], [2, 30], [7, 30], [9, 10], [35, 8], [36, 0]]}),
    ),
    (
        "samples-not-up",
        "the last sample is not the surface",
        metres({"samples": [[0, 0], [2, 20], [15.5, 21]]}),
    ),
    ("altitude", "on arrival", metres(air(18, 20), site_altitude_m=1800, hours_at_altitude=0)),
    ("altitude-rested", "used to it", metres(air(18, 20), site_altitude_m=1800, hours_at_altitude=72)),
    ("altitude-unknown", "hours not given", metres(air(18, 20), site_altitude_m=1800)),
    (
        "altitude-deep",
        "past the last row by its sea-level depth",
        feet(air(180, 4), site_altitude_ft=8000, hours_at_altitude=99),
    ),
    (
        "no-fly-low",
        "a road at 1,500 ft",
        feet(air(60, 30), no_fly={"to_altitude_ft": 1500}, days_of_diving=1),
    ),
    ("no-fly-high", "past the table", feet(air(60, 30), no_fly={"to_altitude_ft": 10000}, days_of_diving=1)),
    (
        "helium",
        "two dives with helium, then air",
        metres(
            air(45, 4, o2_fraction=0.18, he_fraction=0.5, analysed=True),
            air(30, 8, 120, o2_fraction=0.21, he_fraction=0.35, analysed=True),
            air(15, 20, 120),
            method="tissue",
            trimix_enabled=True,
        ),
    ),
    (
        "helium-joined",
        "helium and air in one dive",
        metres(
            air(30, 4, o2_fraction=0.21, he_fraction=0.35, analysed=True), air(12, 4, 5), trimix_enabled=True
        ),
    ),
    (
        "helium-not-analysed",
        "nothing is known of it",
        metres(air(30, 4, o2_fraction=0.21, he_fraction=0.35), trimix_enabled=True),
    ),
    ("helium-not-enabled", "refused", metres(air(30, 4, he_fraction=0.35))),
    (
        "helium-too-much",
        "more than the whole gas",
        metres(air(30, 4, o2_fraction=0.3, he_fraction=0.8), trimix_enabled=True),
    ),
    (
        "samples-after",
        "what is recorded at the surface afterwards is no dive",
        metres({"samples": [[0, 0], [1, 12], [20, 12], [22, 0], [30, 0], [31, 0]]}, air(12, 20, 30)),
    ),
    ("stops", "stops owed in metres", metres(air(40, 30), method="tissue")),
    (
        "stops-none-yet",
        "a second past a limit that is on the safe side",
        metres(air(50.81, 373 / 60), method="tissue", gf=[0.524, 0.834]),
    ),
    ("stops-feet", "stops owed in feet, gradient factors apart", feet(air(111, 40), gf=[0.2, 0.9])),
    ("stops-joined", "stops of two readings", metres(air(18, 30), air(27, 12, 4), method="tissue")),
    (
        "stops-at-altitude",
        "stops owed at altitude",
        metres(air(24, 40), site_altitude_m=2000, hours_at_altitude=3),
    ),
    (
        "stops-samples",
        "a profile that ends under its ceiling",
        metres({"samples": [[0, 0], [2, 36], [20, 36], [22, 18]]}, method="tissue"),
    ),
    ("stops-of-days", "a stop of more than a day", metres(air(57, 1440), gf=[0.1, 0.1])),
    (
        "no-fly-several",
        "a road over a pass and two flights, each with its departure",
        feet(
            air(60, 40),
            days_of_diving=1,
            minutes_since_surfacing=30,
            no_fly={
                "flight_in_min": 700,
                "to": [
                    {"to_altitude_m": 1000, "by": "road", "in_min": 90},
                    {"by": "flight"},
                    {"to_altitude_ft": 1500, "by": "flight", "in_min": 20},
                ],
            },
        ),
    ),
    (
        "no-fly-passed",
        "the words that are no clearance",
        feet(air(60, 40), days_of_diving=1, minutes_since_surfacing=720),
    ),
    (
        "no-fly-club-beyond",
        "the club's own wait after a dive beyond its limit, and its own rest",
        feet(
            air(100, 40),
            air(30, 10, 1500),
            air(30, 10, 2000),
            rest_after_beyond_limit_min=2000,
            no_fly={"club_wait_beyond_limit_min": 2880},
        ),
    ),
    (
        "no-fly-club-later",
        "a dive after the rest: the club's wait still runs",
        feet(air(100, 40), air(30, 10, 1440), no_fly={"club_wait_beyond_limit_min": 4320}),
    ),
    ("no-fly-symptoms", "no published figure", feet(air(60, 30), no_fly={"symptoms": True})),
    (
        "no-fly-symptoms-club",
        "the club's own",
        feet(air(60, 30), no_fly={"symptoms": True, "club_wait_symptoms_min": 4320}),
    ),
    (
        "no-fly-nitrox-club",
        "the longer of the club's and the figure for air",
        feet(air(60, 30, o2_fraction=0.32, analysed=True), no_fly={"club_wait_other_gas_min": 1440}),
    ),
    (
        "no-fly-helium-club",
        "the club's own",
        feet(
            air(60, 10, o2_fraction=0.21, he_fraction=0.35, analysed=True),
            trimix_enabled=True,
            no_fly={"club_wait_other_gas_min": 2880},
        ),
    ),
    ("no-fly-road-where", "a road needs its altitude", feet(air(60, 30), no_fly={"to": [{"by": "road"}]})),
    (
        "no-fly-flight-by-road",
        "a flight time without a flight",
        feet(air(60, 30), no_fly={"by": "road", "to_altitude_ft": 3000, "flight_in_min": 60}),
    ),
    (
        "no-fly-too-short",
        "not above 18 h",
        feet(air(60, 30), no_fly={"club_wait_beyond_limit_min": 1080, "club_wait_symptoms_min": 60}),
    ),
    (
        "second-ascent",
        "lives at 6,000 ft, dives at 10,000 ft",
        feet(air(60, 10), site_altitude_ft=10000, home_altitude_ft=6000, hours_at_altitude=0),
    ),
    (
        "down-to-the-site",
        "lives higher than the site",
        feet(air(60, 10), site_altitude_ft=2000, home_altitude_m=1500),
    ),
    ("home-alone", "an altitude of home without one of the site", feet(air(60, 10), home_altitude_m=1500)),
    (
        "oxygen-days",
        "both limits and the units over three days, with recovery",
        metres(
            air(20, 40, o2_fraction=0.4, analysed=True),
            air(24, 30, 90, o2_fraction=0.36, analysed=True),
            air(20, 40, 1300, o2_fraction=0.4, analysed=True),
            air(20, 40, 1400, o2_fraction=0.32, analysed=True),
            oxygen_recovery_half_time_min=90,
            oxygen_narcotic=False,
        ),
    ),
    (
        "oxygen-dose",
        "past the whole-body dose",
        metres(
            air(30, 200, o2_fraction=0.37, analysed=True), air(28, 300, 60, o2_fraction=0.39, analysed=True)
        ),
    ),
    ("nothing", "an empty object", {}),
    ("list", "no object at all", []),
    ("null", "nothing", None),
    ("bool", "true is no number", metres({"depth": True, "bottom_time_min": False})),
    (
        "many-errors",
        "all of them at once",
        {"depth_unit": "fathom", "gf": [1, 0.5], "dives": [{"depth": -1}, 5, {"samples": []}], "x": 1},
    ),
    ("gf-bool", "one factor is none: one error", metres(air(18, 20), gf=[True, 0.8])),
    ("both-heights", "two units of one fact", metres(air(18, 20), site_altitude_m=1, site_altitude_ft=3)),
]
