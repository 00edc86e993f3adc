"""Waits before flying or going to altitude, as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from teamdive.calculations.no_fly_reading import Destination, NoFlyAsked
from teamdive.physics.dive import Day, Settings
from teamdive.physics.known import Missing
from teamdive.physics.no_fly import ASSUMPTIONS, PASSED, Breathed, Circumstances, NoFly, no_fly
from teamdive.physics.rounding import minutes_down


def no_fly_answer(
    asked: NoFlyAsked,
    made: Day,
    counted: int,
    gas: Breathed,
    settings: Settings,
    days: int | None,
    since_s: int,
) -> dict[str, Any]:
    """The longest wait of all destinations, and each of them where several were asked.

    `counted` dives count for the consensus; `gas` is the one of which least is published; `since_s` has passed since
    the last surfacing.
    """
    found = []
    for to in asked.destinations:
        more = Circumstances(to.by, gas, asked.symptoms)
        wait = no_fly(made.state, settings, to.altitude_ft, counted, days, asked.club, more)
        found.append((to, wait))
    each = [_one(to, wait, asked, since_s) for to, wait in found]
    answer = dict(each[_longest(found)])
    leaving = [one["departure"] for one in each if "departure" in one]
    if leaving:
        answer["departure"] = _tightest(leaving)
    if asked.listed:
        answer["destinations"] = each
    return answer


def _longest(found: Sequence[tuple[Destination, NoFly]]) -> int:
    """Position of the longest wait; one that is not known stands before every other."""
    longest = 0
    for i, (_, wait) in enumerate(found):
        most = found[longest][1].wait_min
        if not isinstance(most, Missing) and (isinstance(wait.wait_min, Missing) or wait.wait_min > most):
            longest = i
    return longest


def _one(to: Destination, wait: NoFly, asked: NoFlyAsked, since_s: int) -> dict[str, Any]:
    known = not isinstance(wait.wait_min, Missing)
    remaining = (
        wait.wait_min.as_json()
        if isinstance(wait.wait_min, Missing)
        else max(0, wait.wait_min - minutes_down(since_s))
    )
    cabin = [ASSUMPTIONS["cabin"]] if asked.cabin_assumed and to.by == "flight" else []
    one = {
        "wait_min": _json(wait.wait_min),
        "rule": wait.rule,
        "consensus_wait_min": _json(wait.consensus_wait_min),
        "table_wait_min": _json(wait.table_wait_min),
        "club_wait_min": wait.club_wait_min,
        "remaining_min": remaining,
        "to_altitude_ft": to.altitude_ft,
        "by": to.by,
        "message": PASSED if known and remaining == 0 else None,
        "assumptions": [*cabin, *wait.assumptions],
    }
    if to.in_min is not None:
        one["departure"] = _departure(to.in_min, wait, since_s)
    return one


def _departure(in_min: int, wait: NoFly, since_s: int) -> dict[str, Any]:
    """A departure `in_min` from now against the wait: what is left over, or how much too early it is.

    `latest_surfacing_in_min`: the last minute, counted from now, at which to surface from these dives for it.
    """
    if isinstance(wait.wait_min, Missing):
        unknown = wait.wait_min.as_json()
        return {
            "in_min": in_min,
            "margin_min": unknown,
            "too_early_min": unknown,
            "latest_surfacing_in_min": unknown,
        }
    over = in_min + minutes_down(since_s) - wait.wait_min
    return {
        "in_min": in_min,
        "margin_min": max(0, over),
        "too_early_min": max(0, -over),
        "latest_surfacing_in_min": in_min - wait.wait_min,
    }


def _tightest(leaving: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """The departure that leaves least; one that is not known before every other."""
    tightest = leaving[0]
    for one in leaving[1:]:
        if isinstance(tightest["margin_min"], dict):
            return tightest
        if isinstance(one["margin_min"], dict) or _over(one) < _over(tightest):
            tightest = one
    return tightest


def _over(departure: dict[str, Any]) -> int:
    return int(departure["margin_min"] - departure["too_early_min"])


def _json(value: Any) -> Any:
    return value.as_json() if isinstance(value, Missing) else value
