"""The calculations' endpoints answer what the functions answer, without sign-in; refusals are RFC 9457 problems."""

import json
from pathlib import Path

import pytest
from django.test import Client

from teamdive.calculations.day import day
from teamdive.calculations.plan import plan
from teamdive.scale.teams import teams

DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"
CALCULATIONS = {"day": day, "plan": plan, "teams": teams}


@pytest.mark.parametrize("name", sorted(CALCULATIONS))
def test_the_endpoint_answers_what_the_function_answers(name: str) -> None:
    text = (DEMO / f"{name}.json").read_text()
    answer = Client().post(f"/api/{name}", text, content_type="application/json")
    assert answer.status_code == 200
    assert answer.json() == json.loads(json.dumps(CALCULATIONS[name](json.loads(text))))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"depth_unit": 3}',
        '{"depth_unit": "m", "depth_unit": "m"}',
        '{"x": NaN}',
        '"\\ud800"',
        "\xff",
    ],
)
@pytest.mark.parametrize("name", sorted(CALCULATIONS))
def test_bad_input_is_a_problem_that_names_fields(name: str, text: str) -> None:
    answer = Client().post(f"/api/{name}", text.encode("latin-1"), content_type="application/json")
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"
    problem = answer.json()
    assert problem["status"] == 400
    assert problem["errors"]
    assert all(set(error) >= {"pointer", "code", "message"} for error in problem["errors"])


def test_another_media_type_and_another_method_are_problems_too() -> None:
    assert (
        Client().post("/api/day", "a=b", content_type="application/x-www-form-urlencoded").status_code == 415
    )
    answer = Client().get("/api/day")
    assert answer.status_code in {403, 405}
    assert answer["Content-Type"] == "application/problem+json"


@pytest.mark.django_db
def test_health_reaches_the_database() -> None:
    assert Client().get("/api/health").json() == {"status": "ok"}


@pytest.mark.django_db
def test_what_is_not_there_is_a_problem_in_words(client: Client, django_user_model: type) -> None:
    client.force_login(django_user_model.objects.create_user(email="someone@example.org"))
    answer = client.get("/api/divers/6f9d3f0e-3d2b-4c43-9df5-3a4b1c1f3b11")
    assert answer.status_code == 404
    problem = answer.json()
    assert (problem["type"], problem["status"]) == ("urn:teamdive:problem:not_found", 404)
    assert problem["detail"]
