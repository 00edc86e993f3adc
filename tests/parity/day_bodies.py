"""Random bodies of the day calculation: mostly right, sometimes wrong in one or several places."""

from __future__ import annotations

from random import Random
from typing import Any

from teamdive.calculations.day import day

CLUB_WAITS = {
    "club_wait_beyond_limit_min": [1080.5, 2160, 2880],
    "club_wait_other_gas_min": [0, 1080, 1440.5],
    "club_wait_symptoms_min": [2880, 4320],
}
LIMIT_MIN = {60: 63, 50: 92, 40: 163, 30: 371, 70: 48, 80: 39, 90: 33, 100: 25, 110: 20, 120: 15, 130: 12}


def body(random: Random, mistakes: bool = True) -> dict[str, Any]:
    """One question. With `mistakes` about one in five has something that must be refused."""
    unit = random.choice(["m", "ft"])
    asked: dict[str, Any] = {"depth_unit": unit}
    _maybe(asked, random, 0.3, "gf", lambda: sorted(round(random.uniform(0.2, 1.0), 2) for _ in range(2)))
    _maybe(asked, random, 0.6, "method", lambda: random.choice(["shorter", "table", "tissue"]))
    _maybe(
        asked,
        random,
        0.2,
        "descent_rate",
        lambda: random.choice([10, 12.5, 18, 20]) * (3 if unit == "ft" else 1),
    )
    _maybe(
        asked, random, 0.2, "ascent_rate", lambda: random.choice([5, 9, 10, 18]) * (3 if unit == "ft" else 1)
    )
    _maybe(asked, random, 0.2, "water", lambda: random.choice(["salt", "fresh"]))
    _maybe(asked, random, 0.2, "max_ppo2_bar", lambda: random.choice([1.2, 1.3, 1.4, 1.5, 1.6]))
    _maybe(asked, random, 0.2, "oxygen_recovery_half_time_min", lambda: random.choice([60.5, 90, 240]))
    _maybe(asked, random, 0.2, "oxygen_narcotic", lambda: random.random() < 0.5)
    _maybe(asked, random, 0.2, "caution", lambda: random.randint(0, 2))
    if random.random() < 0.3:
        unit_of_height = random.choice(["m", "ft"])
        asked[f"site_altitude_{unit_of_height}"] = random.choice([0, 150, 1000, 1500.5, 2400, 3000])
        _maybe(asked, random, 0.3, "home_altitude_m", lambda: random.choice([0, 300.5, 914.4, 2000]))
        _maybe(asked, random, 0.8, "hours_at_altitude", lambda: random.choice([0, 0.5, 3, 12.25, 48]))
    asked["dives"] = [dive(random, unit, i) for i in range(random.choice([1, 1, 2, 2, 3, 4, 6]))]
    if random.random() < 0.1:
        _maybe(asked, random, 0.9, "trimix_enabled", lambda: True)
        for made in asked["dives"]:
            _maybe(made, random, 0.5, "he_fraction", lambda: random.choice([0, 0.35, 0.45, 0.5, 0.9]))
            if "he_fraction" in made and random.random() < 0.9:
                made |= {"o2_fraction": random.choice([0.18, 0.21, 0.3]), "analysed": random.random() < 0.9}
    _maybe(asked, random, 0.15, "state_before", lambda: state_before(random, unit))
    _maybe(
        asked,
        random,
        0.7,
        "minutes_since_surfacing",
        lambda: random.choice([0, 5, 9.5, 61, 300.25, 900, 2000]),
    )
    _maybe(asked, random, 0.7, "days_of_diving", lambda: random.randint(1, 4))
    _maybe(asked, random, 0.2, "rest_after_beyond_limit_min", lambda: random.choice([1440, 1500.5, 2880]))
    if random.random() < 0.5:
        wait: dict[str, Any] = {}
        _maybe(wait, random, 0.5, "to_altitude_ft", lambda: random.choice([500, 2000, 3000, 8000, 9500]))
        if not wait:
            _maybe(wait, random, 0.5, "to_altitude_m", lambda: random.choice([300, 1200.7, 2438]))
        _maybe(wait, random, 0.3, "club_wait_min", lambda: random.choice([0, 720, 1440]))
        for name, values in CLUB_WAITS.items():
            _maybe(wait, random, 0.3, name, lambda: random.choice(values))  # noqa: B023
        _maybe(wait, random, 0.1, "symptoms", lambda: random.random() < 0.7)
        _maybe(wait, random, 0.3, "flight_in_min", lambda: random.choice([0, 300.7, 719, 1080, 3000]))
        _maybe(wait, random, 0.2, "by", lambda: random.choice(["flight", "flight", "road"]))
        _maybe(wait, random, 0.3, "to", lambda: [_destination(random) for _ in range(random.randint(1, 4))])
        asked["no_fly"] = wait
    if mistakes and random.random() < 0.2:
        for _ in range(random.randint(1, 3)):
            spoil(random, asked)
    return asked


def state_before(random: Random, unit: str) -> dict[str, Any]:
    """The state that a day of its own answers, sometimes changed."""
    made: dict[str, Any] = {"depth_unit": unit, "method": random.choice(["shorter", "table", "tissue"])}
    if random.random() < 0.2:
        made |= {"site_altitude_m": 1500, "hours_at_altitude": random.choice([2, 72])}
    made["dives"] = [dive(random, unit, i) for i in range(random.choice([1, 2, 3]))]
    if random.random() < 0.2:
        made["trimix_enabled"] = True
        made["dives"][0] |= {"o2_fraction": 0.21, "he_fraction": 0.35, "analysed": True}
    state: dict[str, Any] = day(made)["state"]
    state["minutes_before_descent"] = random.choice([10, 61.5, 300, 1439, 1440, 3000])
    if random.random() < 0.2:
        spoiled: dict[str, Any] = random.choice(
            [
                {"tensions_e9": [1] * random.choice([15, 16, 17, 32])},
                {"tensions_e9": {"not_known": random.choice([["x"], [], [1]])}},
                {"groups": []},
                {"groups": [{"group": "D", "before_s": 5}, {"group": "E", "before_s": 60}]},
                {"groups": [{"group": {"not_known": ["x"]}, "before_s": 0}]},
                {"minutes_before_descent": 5},
                {"beyond": None},
                {"gas": random.choice(["air", "nitrox", "helium", "water", {"not_known": ["x"]}])},
                {"depth": 3},
            ]
        )
        state |= spoiled
    return state


def _destination(random: Random) -> dict[str, Any]:
    to: dict[str, Any] = {}
    _maybe(to, random, 0.9, "to_altitude_ft", lambda: random.choice([0, 500, 1999.5, 2000, 3281, 8000, 8001]))
    _maybe(to, random, 0.7, "by", lambda: random.choice(["flight", "road"]))
    _maybe(to, random, 0.4, "in_min", lambda: random.choice([0, 60.5, 700, 1100]))
    return to


def dive(random: Random, unit: str, position: int) -> dict[str, Any]:
    made: dict[str, Any] = {}
    if position > 0:
        made["surface_interval_min"] = random.choice(
            [0, 5, 9.9, 10, 52, 52.5, 53, 75.3, 120, 180, 400, 1000, 1500]
        )
    feet = random.choice([10, 15, 25, 30, 40, 50, 60, 60, 70, 80, 90, 100, 110, 130, 150, 190])
    deep = feet if unit == "ft" else round(feet * 0.30643 - random.choice([0, 0.05, 1.2]), 2)
    bottom = random.choice([3, 5, 8.5, 10, 12, 15, 20, 25.2, 30, 40, 60])
    if random.random() < 0.75:
        bottom = min(bottom, LIMIT_MIN.get(feet, 8) // 2)
    if random.random() < 0.15:
        stops = sorted(random.sample(range(1, max(4, int(bottom) * 6)), 2))
        made["samples"] = [[0, 0], [stops[0] / 6, deep], [stops[1] / 6, round(deep / 2, 1)]]
        if random.random() < 0.7:
            made["samples"].append([stops[1] / 6 + random.choice([1, 2.5, 6]), 0])
        if random.random() < 0.2:
            made["samples"].append(
                [made["samples"][-1][0] + random.choice([0.5, 9]), random.choice([0, deep])]
            )
    else:
        made |= {"depth": deep, "bottom_time_min": bottom}
    _maybe(
        made,
        random,
        0.9,
        "o2_fraction",
        lambda: random.choice([0.21, 0.21, 0.21, 0.28, 0.32, 0.318, 0.36, 0.4, 0.8]),
    )
    _maybe(made, random, 0.5, "analysed", lambda: random.random() < 0.8)
    _maybe(made, random, 0.1, "cold_or_hard", lambda: True)
    _maybe(made, random, 0.1, "caution", lambda: random.randint(0, 2))
    return made


def spoil(random: Random, asked: dict[str, Any]) -> None:
    """Break one field: a wrong type, an absurd value, an unknown name, or something left out."""
    places = [asked, *(d for d in asked["dives"] if isinstance(d, dict))]
    if isinstance(asked.get("no_fly"), dict):
        places.append(asked["no_fly"])
    place = random.choice(places)
    kind = random.choice(["type", "value", "unknown", "missing", "array"])
    if kind == "unknown":
        place[random.choice(["depht", "a/b~c", "bottom_time"])] = 1
    elif kind == "missing" and place:
        name = random.choice(sorted(place))
        if name != "dives":
            del place[name]
    elif kind == "array":
        asked["gf"] = random.choice([[0.8, 0.4], [0.4], [True, 0.8], [0, 2], {}])
    elif place:
        name = random.choice(sorted(place))
        if name != "dives":
            wrong = ["12", True, [], {}, None] if kind == "type" else [-1, 0, 1e9, 0.5, -0.001]
            place[name] = random.choice(wrong)


def _maybe(fields: dict[str, Any], random: Random, chance: float, name: str, value: Any) -> None:
    if random.random() < chance:
        fields[name] = value()
