"""Divers and questions of `plan` with nothing missing, to be changed one thing at a time."""

from __future__ import annotations

from typing import Any

Body = dict[str, Any]


def diver(name: str, **changes: Any) -> Body:
    """A diver with nothing missing: air in 12 L, no dive before."""
    item: Body = {
        "id": name,
        "certified_depth": 40,
        "rmv_l_min": 18,
        "rmv_sd_l_min": 3,
        "cylinders": [
            {"id": "c1", "volume": 12, "working_pressure": 232, "start_pressure": 210, "use": "main"}
        ],
        "gas": gas(name, 0.21),
        "earlier_dives": [],
        "caution": 0,
    }
    for key, value in changes.items():
        if key in ("volume", "start_pressure", "working_pressure", "filled_at"):
            item["cylinders"][0][key] = value
        elif value is None:
            item.pop(key, None)
        else:
            item[key] = value
    return item


def gas(name: str, o2: float, read: float | None = None) -> Body:
    analysis = {
        "o2_fraction": o2 if read is None else read,
        "by": name,
        "at": "2027-06-12T07:10:00Z",
        "cylinder": "c1",
    }
    return {"o2_fraction": o2, "analysis": analysis}


def earlier(depth: float, minutes: float, ago: float, o2: float = 0.21) -> list[Body]:
    return [
        {"depth": depth, "bottom_time_min": minutes, "o2_fraction": o2, "surfaced_min_before_descent": ago}
    ]


def metric(divers: list[Body], top: Body | None = None, **dive: Any) -> Body:
    """27 m for 17 min in litres and bar, two sharing at 30 L/min each, unless changed."""
    body: Body = {
        "depth_unit": "m",
        "pressure_unit": "bar",
        "volume_unit": "l",
        "on": "2027-06-12",
        "site_altitude_m": 0,
        "dive": {"depth": 27, "bottom_time_min": 17, "current_kn": 0.5, "return": "same_point", **dive},
        "sharing": {
            "stressed_rmv_l_min": 30,
            "delay_at_depth_min": 1,
            "surface_reserve": 50,
            "regulator_minimum": 10,
        },
        "divers": divers,
    }
    return _without_none(body | (top or {}))


def imperial(divers: list[Body], top: Body | None = None, **dive: Any) -> Body:
    """90 ft for 17 min, 80 cu ft at 3,000 psi."""
    sharing = {
        "stressed_rmv_l_min": 30,
        "delay_at_depth_min": 1,
        "surface_reserve": 500,
        "regulator_minimum": 150,
    }
    body = metric(
        divers, {"depth_unit": "ft", "pressure_unit": "psi", "volume_unit": "cuft", "sharing": sharing}
    )
    body["dive"] = {"depth": 90, "bottom_time_min": 17, "return": "same_point", **dive}
    return _without_none(body | (top or {}))


def feet(name: str, **changes: Any) -> Body:
    usual = {"certified_depth": 130, "volume": 80, "working_pressure": 3000, "start_pressure": 3000}
    return diver(name, **(usual | changes))


def _without_none(body: Body) -> Body:
    body["dive"] = {key: value for key, value in body["dive"].items() if value is not None}
    return {key: value for key, value in body.items() if value is not None}


def no_spread(name: str, litres: float, bar: float, rmv: float, **changes: Any) -> Body:
    return diver(
        name, **({"volume": litres, "start_pressure": bar, "rmv_l_min": rmv, "rmv_sd_l_min": None} | changes)
    )


def survey() -> dict[str, Body]:
    """Six divers of a 27 m survey and three of a 26 m dive, no spread, no margin."""
    return {
        "a": no_spread("a", 12, 220, 15),
        "b": no_spread("b", 12, 210, 17),
        "c": no_spread("c", 12, 200, 20),
        "d": no_spread("d", 10, 200, 24),
        "e": no_spread("e", 15, 220, 19),
        "g": no_spread("g", 12, 215, 16),
        "l": no_spread("l", 12, 215, 15),
        "m": no_spread("m", 12, 210, 18),
        "n": no_spread("n", 10, 205, 23),
    }


NO_MARGIN = {"gas_margin_percent": 0}


def ordered(divers: list[Body], dives: list[Body], top: Body | None = None, make: Any = metric) -> Body:
    """The same team asked for the best order of these dives."""
    body: Body = make(divers, {"find": "order", "dives": dives, **(top or {})})
    del body["dive"]
    return body
