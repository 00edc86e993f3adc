"""Every rule that bars a diver or a team says where it comes from and whether a leader may set it aside."""

from __future__ import annotations

import ast
from pathlib import Path

from teamdive.pairing import case, cover, rules_diver, rules_experience, rules_team

FILES = (rules_diver, rules_experience, rules_team, cover)
# Facts of the question itself, not rules: what the organiser fixed is never set aside by a reason.
ASKED = {"locked", "guided", "forbidden", "wish_apart", "wish_together", "out_of_water"}


def codes(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Reason":
            first = node.args[0]
            options = (first.body, first.orelse) if isinstance(first, ast.IfExp) else (first,)
            found |= {one.value for one in options if isinstance(one, ast.Constant)}
    return found


def test_every_reason_code_has_its_source() -> None:
    told = set().union(*(codes(Path(one.__file__)) for one in FILES))
    assert len(told) > 25
    assert told - ASKED <= set(case.RULES), sorted(told - ASKED - set(case.RULES))
    assert all(len(rule.source) > 15 for rule in case.RULES.values())


def test_the_floor_of_the_house_is_overridable_by_nobody() -> None:
    """design.md, the safety rules of the code, 7: a junior's depth, adult or consent, gas, an unfit declaration."""
    floor = ("junior_depth", "junior_age", "junior_adult", "guardian_consent", "unfit")
    assert not any(case.RULES[code].overridable for code in floor)
