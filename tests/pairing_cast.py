"""The people of the pairing tests, and short ways to read an answer."""

from __future__ import annotations

from typing import Any

from teamdive.calculations.teams import teams
from tests.parity.team_bodies import diver, done, question

STRONG = [done(40, 1.0, 5, count=6, visibility_m=3, water_temp_c=5, night=True)]
DEEP, TASK = [done(33, 0.8)], [done(12, 0.5, 4)]


def lead(name: str = "lead", **changes: Any) -> dict[str, Any]:
    return diver(name, STRONG, role="leader", **changes)


def two(mate: dict[str, Any] | None = None, policy: dict[str, Any] | None = None, **changes: Any) -> Any:
    body = question([lead(), mate or diver("mate", STRONG, **changes)], why_not=[["lead", "mate"]])
    return teams(body | ({"policy": policy} if policy else {}))


def placed(found: dict[str, Any]) -> list[list[str]]:
    return [team["divers"] for team in found["teams"]]


def codes(found: dict[str, Any], name: str) -> list[str]:
    return [r["code"] for one in found["not_placed"] if one["id"] == name for r in one["reasons"]]


def rules(found: dict[str, Any]) -> list[str]:
    return [reason["code"] for reason in found["why_not"][0].get("rules", [])]


def said(found: dict[str, Any]) -> list[str]:
    return [reason["code"] for team in found["teams"] for reason in team["reasons"]]


def reason(found: dict[str, Any], code: str) -> dict[str, Any]:
    return next(r for team in found["teams"] for r in team["reasons"] if r["code"] == code)


def proposal(found: dict[str, Any], name: str) -> dict[str, Any]:
    return next(one["proposal"] for one in found["divers"] if one["id"] == name)


TOGETHER = [["lead", "mate"]]
