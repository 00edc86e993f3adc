"""The border of the three calculations: at every place of a full body the same traps, in function, command and API.

The bodies are those of test_hostile_bodies.py: every object and every number that a body may hold is tried.
"""

from __future__ import annotations

import ast
import copy
import io
import json
import math
import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

import teamdive
from teamdive import cli
from teamdive.calculations.body import parse_json
from teamdive.calculations.day import day
from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem, pointer
from teamdive.calculations.teams import teams
from tests.property.test_hostile_bodies import DAY, PLAN, TEAMS, paths, put

Calculation = Callable[[Any], dict[str, Any]]
BODIES: list[tuple[Calculation, dict[str, Any]]] = [(day, DAY), (plan, PLAN), (teams, TEAMS)]
each_calculation = pytest.mark.parametrize(
    ("calculate", "body"), [(c, json.loads(json.dumps(b))) for c, b in BODIES], ids=["day", "plan", "teams"]
)
MEMBERS = {"type", "title", "status", "detail", "errors"}


def at(body: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        body = body[step]
    return body


def where(path: tuple[Any, ...]) -> str:
    found = ""
    for step in path:
        found = pointer(found, step)
    return found


def objects(body: Any) -> Iterator[tuple[Any, ...]]:
    return (path for path in paths(body) if isinstance(at(body, path), dict))


def numbers(body: Any) -> Iterator[tuple[Any, ...]]:
    for path in paths(body):
        value = at(body, path)
        if isinstance(value, int | float) and not isinstance(value, bool):
            yield path


def refusals(calculate: Calculation, body: Any) -> list[tuple[str, str]]:
    with pytest.raises(Problem) as raised:
        calculate(body)
    return [(e.pointer, e.code) for e in raised.value.errors]


@each_calculation
def test_an_unknown_field_is_refused_by_name_at_every_level(calculate: Calculation, body: Any) -> None:
    seen = list(objects(body))
    assert len(seen) >= 4
    for path in seen:
        spoilt = copy.deepcopy(body)
        at(spoilt, path)["surfce_interval"] = 1
        assert refusals(calculate, spoilt) == [(where((*path, "surfce_interval")), "unknown_field")]


@each_calculation
def test_a_name_that_stands_twice_is_refused_at_every_level(calculate: Calculation, body: Any) -> None:
    for path in objects(body):
        name, value = next(iter(at(body, path).items()))
        spoilt = copy.deepcopy(body)
        at(spoilt, path)["TWICE"] = value
        text = json.dumps(spoilt).replace('"TWICE"', json.dumps(name))
        assert refusals(parse_json, text) == [(where((*path, name)), "duplicate")]


@each_calculation
@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        (True, "wrong_type"),
        (False, "wrong_type"),
        ("12", "wrong_type"),
        ([12], "wrong_type"),
        (math.nan, "not_finite"),
        (math.inf, "not_finite"),
        (-math.inf, "not_finite"),
        (-1e9, "out_of_range"),
        (1e15, "out_of_range"),
        (10**400, "out_of_range"),
    ],
    ids=str,
)
def test_no_number_field_takes_what_is_no_sensible_number(
    calculate: Calculation, body: Any, wrong: Any, code: str
) -> None:
    seen = list(numbers(body))
    assert len(seen) >= 15
    for path in seen:
        found = refusals(calculate, put(body, path, wrong))
        assert (where(path), code) in found, (path, found)


def zeros(value: Any) -> Iterator[float]:
    if isinstance(value, dict | list):
        for item in value.values() if isinstance(value, dict) else value:
            yield from zeros(item)
    elif isinstance(value, float) and value == 0:
        yield value


@each_calculation
def test_minus_zero_is_zero_and_never_shown(calculate: Calculation, body: Any) -> None:
    def outcome(asked: Any) -> Any:
        try:
            return calculate(asked)
        except Problem as problem:
            return problem.as_json()

    for path in numbers(body):
        answer = outcome(put(body, path, -0.0))
        assert answer == outcome(put(body, path, 0))
        assert all(math.copysign(1, zero) == 1 for zero in zeros(answer)), path


TEXTS = [
    " ",
    "nothing",
    "[]",
    "null",
    '{"depth_unit": "m"',
    '{"depth_unit": NaN}',
    '{"depth_unit": "m", "dives": [{"depth": 1e400, "bottom_time_min": 10}]}',
    '{"depth_unit": "m", "depth_unit": "m"}',
    '{"a": {"b": [{"c": 1, "c": 2}]}}',
    '{"depth_unit": ' + "9" * 5000 + "}",
    "[" * 5000,
]


@pytest.mark.parametrize("text", TEXTS, ids=range(len(TEXTS)))
@pytest.mark.parametrize("name", ["day", "plan", "teams"])
def test_the_command_and_the_api_refuse_alike(
    name: str, text: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit status 2, nothing on standard output, and the very problem (RFC 9457) that the API answers with 400."""
    cache.clear()  # of the count of questions from this address
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
    assert cli.main([name, "-"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    problem = json.loads(err)
    assert set(problem) == MEMBERS and problem["status"] == 400 and problem["errors"]
    answer = Client().post(f"/api/{name}", text.encode(), content_type="application/json")
    assert (answer.status_code, answer["Content-Type"]) == (400, "application/problem+json")
    assert answer.json() == problem


def test_the_calculations_are_throttled_without_a_sign_in() -> None:
    """120 a minute from one address (settings); past it a problem that says how long to wait."""
    cache.clear()
    statuses = [
        Client().post("/api/day", "{}", content_type="application/json").status_code for _ in range(125)
    ]
    refused = Client().post("/api/day", "{}", content_type="application/json")
    cache.clear()
    assert statuses[:120] == [400] * 120
    assert statuses[120:] == [429] * 5
    assert refused["Content-Type"] == "application/problem+json"
    assert int(refused["Retry-After"]) > 0
    assert refused.json()["status"] == 429


@each_calculation
def test_every_answer_carries_sources_and_warnings_that_point_into_the_body(
    calculate: Calculation, body: Any
) -> None:
    answer = calculate(copy.deepcopy(body))
    assert answer["sources"] and all(isinstance(text, str) and text for text in answer["sources"].values())
    assert answer["warnings"]
    for warning in answer["warnings"]:
        assert set(warning) == {"code", "pointer", "message"} and all(warning.values())
        inside = body
        for step in warning["pointer"].split("/")[1:-1]:
            inside = inside[int(step) if isinstance(inside, list) else step]
        assert isinstance(inside, dict | list)


def texts(value: Any) -> Iterator[str]:
    if isinstance(value, dict | list):
        for item in value.values() if isinstance(value, dict) else value:
            yield from texts(item)
    elif isinstance(value, str):
        yield value


@each_calculation
def test_no_answer_calls_anything_safe(calculate: Calculation, body: Any) -> None:
    """Nor does it clear anybody to dive or to fly: it advises, people decide."""
    found = " / ".join(texts(calculate(copy.deepcopy(body)))).lower()
    assert "safety" in found or calculate is not plan  # the words are read at all
    for word in ("safe", "safely", "unsafe", "cleared", "guaranteed", "no risk"):
        assert re.search(rf"\b{word}\b", found) is None, word


def test_rounding_has_one_home() -> None:
    """No module of the ground floor rounds by itself; body.py only asks whether a number is a whole one."""
    homes = {}
    for room in ("physics", "pairing", "boatlog", "calculations"):
        for path in sorted((Path(teamdive.__file__).parent / room).glob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call):
                    name = ast.unparse(node.func)
                    if name in ("round", "math.floor", "math.ceil", "math.trunc"):
                        homes.setdefault(f"{room}/{path.name}", set()).add(name)
    assert homes == {
        "calculations/body.py": {"math.floor"},
        "physics/rounding.py": {"math.floor", "math.ceil"},
    }
