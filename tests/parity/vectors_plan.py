"""Questions to `plan` whose answers both languages must give alike, refusals and what is not known included."""

from __future__ import annotations

import copy
import random
from typing import Any

from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem
from tests.parity import gas_bodies
from tests.parity.plan_backwards_cases import backwards_cases
from tests.parity.plan_bodies import Body, diver, metric, ordered
from tests.parity.plan_border_cases import border_cases
from tests.parity.plan_cases import team_cases
from tests.parity.plan_day_cases import day_cases
from tests.parity.plan_random import random_cases, random_gas_body
from tests.parity.plan_state_bodies import chosen
from tests.parity.twins import kept


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
    by_hand = (*team_cases(), *day_cases(), *border_cases(), *backwards_cases())
    at_random = (*random_cases(40, 20270612), *gas_bodies.asked(), *spiced)
    for name, why, body in (*by_hand, *at_random, *chosen(diver, metric, ordered)):
        out = outcome(body)
        flags = ["refused"] if "problem" in out else ["not_known"] if "not_known" in str(out) else []
        made.append({"id": name, "why": why, "flags": flags, "in": body, "out": out})
    return [*made, *kept("plan", outcome)]
