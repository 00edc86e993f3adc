"""Oxygen of a day's dives, as JSON: both limits, pulmonary units, equivalent narcotic depth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from teamdive.calculations.body import Fields
from teamdive.calculations.day_warnings import warning
from teamdive.physics.carried import OXYGEN_NOT_GIVEN
from teamdive.physics.diver import said
from teamdive.physics.exposure import Exposure, otu_by_day, with_earlier
from teamdive.physics.known import Missing, lacking
from teamdive.physics.oxygen import equivalent_narcotic_depth
from teamdive.physics.profile import Dive
from teamdive.physics.pulmonary import most_by_day
from teamdive.physics.rounding import scaled_up, seconds_up, tenths_up
from teamdive.physics.units import Depth, deeper

LONGEST_HALF_TIME_MIN = 1440
BEFORE = OXYGEN_NOT_GIVEN


@dataclass(frozen=True)
class OxygenAsked:
    """How oxygen is counted. `half_time_s` None: nothing is taken back at the surface."""

    half_time_s: int | None
    narcotic: bool


def read_oxygen(fields: Fields) -> OxygenAsked:
    half = fields.number_or_none("oxygen_recovery_half_time_min", 1, LONGEST_HALF_TIME_MIN, "minutes")
    narcotic = fields.flag_or_none("oxygen_narcotic")
    return OxygenAsked(None if half is None else seconds_up(half), narcotic is not False)


def dive_oxygen(
    found: Sequence[Exposure],
    i: int,
    dives: Sequence[Dive],
    joined: Sequence[int],
    asked: OxygenAsked,
    kept: bool,
) -> dict[str, Any]:
    """Both limits and the units of one exposure, and its equivalent narcotic depth by both conventions.

    `kept`: a state stands for dives of the last 24 h whose oxygen is not given.
    """
    made = found[i]
    single, day = (BEFORE, BEFORE) if kept else with_earlier(found, i, asked.half_time_s)
    parts = [dives[j] for j in (*joined, made.position)]
    with_oxygen, without = (_narcotic_depth(parts, narcotic) for narcotic in (True, False))
    return {
        "oxygen": {
            "ppo2_bar": _up(made.ppo2_bar, 100),
            "single_limit_used_percent": _percent(made.single),
            "day_limit_used_percent": _percent(made.day),
            "single_limit_with_earlier_percent": _percent(single),
            "day_limit_with_earlier_percent": _percent(day),
            "otu": _up(made.otu, 10),
        },
        "equivalent_narcotic_depth": {
            "depth": with_oxygen if asked.narcotic else without,
            "oxygen_narcotic": asked.narcotic,
            "counting_oxygen": with_oxygen,
            "without_oxygen": without,
        },
    }


def day_oxygen(found: Sequence[Exposure], asked: OxygenAsked, kept: bool) -> dict[str, Any]:
    """Pulmonary units of each day and of all, against the whole-body doses."""
    days = otu_by_day(found)
    total: float | Missing = 0.0
    listed = []
    for i, otu in enumerate(days):
        known = BEFORE if kept else otu
        total = (
            lacking(total, known)
            if isinstance(total, Missing) or isinstance(known, Missing)
            else total + known
        )
        listed.append(
            {
                "day": i + 1,
                "otu": _up(known, 10),
                "limit_otu": most_by_day(1),
                "total_otu": _up(total, 10),
                "total_limit_otu": most_by_day(i + 1),
            }
        )
    half = asked.half_time_s
    return {"recovery_half_time_min": None if half is None else half / 60, "otu_by_day": listed}


def oxygen_warnings(found: Sequence[Exposure], asked: OxygenAsked, kept: bool) -> list[dict[str, str]]:
    """Limits that dives pass together though none of them does alone, and whole-body doses passed."""
    warnings = []
    for i, made in enumerate(found):
        if made.position < 0:
            continue
        single, day = with_earlier(found, i, asked.half_time_s)
        at = f"/dives/{made.position}"
        alone = not isinstance(made.single, Missing) and made.single > 1.0
        if not isinstance(single, Missing) and single > 1.0 and not alone:
            message = (
                "With the dives of the 24 h before it past the oxygen limit for a single exposure: "
                f"{said(tenths_up(single * 100))} %."
            )
            warnings.append(warning("oxygen_limit_passed", at, message))
        if not isinstance(day, Missing) and day > 1.0:
            message = (
                "With the dives of the 24 h before it past the oxygen limit for 24 hours: "
                f"{said(tenths_up(day * 100))} %."
            )
            warnings.append(warning("oxygen_day_limit_passed", at, message))
    total = 0.0
    for i, otu in enumerate(() if kept else otu_by_day(found)):
        if isinstance(otu, Missing):
            break
        total = total + otu
        if otu > most_by_day(1) or total > most_by_day(i + 1):
            message = (
                f"Past the whole-body oxygen dose on day {i + 1}: {said(tenths_up(otu))} units that day of "
                f"{most_by_day(1)}, {said(tenths_up(total))} in all of {most_by_day(i + 1)}."
            )
            warnings.append(warning("oxygen_dose_passed", "/dives", message))
            break
    return warnings


def _narcotic_depth(parts: Sequence[Dive], oxygen_narcotic: bool) -> Any:
    """The deepest of the dives that are one."""
    deepest: Depth | Missing | None = None
    for dive in parts:
        here = equivalent_narcotic_depth(dive.depth, dive.mix, oxygen_narcotic)
        if isinstance(here, Missing) or isinstance(deepest, Missing):
            deepest = lacking(deepest, here)
        else:
            deepest = here if deepest is None else deeper(deepest, here)
    return deepest.number if isinstance(deepest, Depth) else _up(deepest, 100)


def _percent(share: float | Missing) -> Any:
    return share.as_json() if isinstance(share, Missing) else tenths_up(share * 100)


def _up(value: float | Missing | None, scale: int) -> Any:
    """Rounded up to the next part of `scale`."""
    if value is None or isinstance(value, Missing):
        return None if value is None else value.as_json()
    return scaled_up(value, scale) / scale
