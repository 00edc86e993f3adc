"""What an answer of `plan` says of gas: the rates behind a limit, what a cylinder counts for, who turns first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from teamdive.calculations.backwards import value_json
from teamdive.physics import slate
from teamdive.physics.diver import Diver, DiverLimits, TeamDive, TeamSettings
from teamdive.physics.known import Missing, missing
from teamdive.physics.real_gas import counted
from teamdive.physics.rounding import (
    scaled_down,
    scaled_nearest,
    scaled_up,
    tenths_of_minutes_down,
    tenths_up,
)
from teamdive.physics.team import DiverPlan, turn_rule


def breathing_json(dive: TeamDive, member: DiverLimits, settings: TeamSettings) -> dict[str, Any]:
    """The rates behind the gas limit: the mean, what it was raised by, the multipliers, and the rate planned with."""
    rmv = member.diver.rmv
    multiplier = member.multiplier
    answer = {
        "rmv_l_min": rmv.mean,
        **({"rmv_sd_l_min": rmv.sd} if rmv.sd is not None else {"gas_margin_percent": rmv.margin_percent}),
        "work": dive.work,
        "current_kn": dive.current_kn,
        "multiplier": None if multiplier is None else scaled_up(multiplier, 100) / 100,
        "planned_l_min": _rate(member.rate_l_min),
        "sharing_l_min": _rate(member.sharing_rate_l_min),
    }
    if settings.breathing.own:
        answer["model"] = "club"
    if rmv.log is not None:
        answer["log"] = {
            "dives": rmv.log.dives,
            "own_weight_percent": scaled_nearest(rmv.log.own_weight, 100),
        }
    return answer


def _rate(rate: float | Missing) -> Any:
    return rate.as_json() if isinstance(rate, Missing) else tenths_up(rate)


def cylinder_json(diver: Diver, own: DiverPlan) -> dict[str, Any]:
    """What the gauge shows in the water, what that counts for, and the litres above minimum gas."""
    cylinder = diver.cylinder
    if isinstance(cylinder, Missing):
        return cylinder.as_json()
    if cylinder.start is None:
        return missing(f"start pressure of diver {diver.id}").as_json()
    usable = own.usable_litres
    return {
        "start_in_water": scaled_down(cylinder.start, 10) / 10,
        "counts_as": scaled_down(counted(cylinder.rule, cylinder.start), 10) / 10,
        "usable_l": usable.as_json()
        if isinstance(usable, Missing)
        else scaled_down(usable if usable > 0 else 0.0, 1),
    }


def turn_json(dive: TeamDive, own: DiverPlan, settings: TeamSettings) -> dict[str, Any]:
    """A turn pressure with the rule it comes from."""
    rule = None if dive.way is None else turn_rule(dive.way, settings)
    return {"turn_pressure": value_json(own.turn_pressure), "turn_rule": rule}


def first_to_turn_json(first: slate.First | Missing, members: Sequence[DiverLimits]) -> dict[str, Any]:
    """Who comes first, with what probability, and that of each."""
    if isinstance(first, Missing):
        return first.as_json()
    if isinstance(first.chances, Missing):
        return {"diver": first.diver, "probability": first.chances.as_json()}
    return {
        "diver": first.diver,
        "probability": _chance(max(first.chances)),
        "each": [
            {"diver": member.diver.id, "probability": _chance(chance)}
            for member, chance in zip(members, first.chances, strict=True)
        ],
    }


def first_to_minimum_gas_json(first: slate.First | Missing, members: Sequence[DiverLimits]) -> dict[str, Any]:
    """Who comes first, and how long the gas of all lasts in half of such dives and in nineteen of twenty."""
    answer = first_to_turn_json(first, members)
    if isinstance(first, Missing) or isinstance(first.chances, Missing):
        return answer
    return {
        **answer,
        "gas_lasts_median_min": _tenths(first.median_s),
        "gas_lasts_19_in_20_min": _tenths(first.nineteen_in_twenty_s),
    }


def _chance(chance: float) -> float:
    return scaled_nearest(chance, 100) / 100


def _tenths(seconds: int | Missing) -> Any:
    return seconds.as_json() if isinstance(seconds, Missing) else tenths_of_minutes_down(seconds)
