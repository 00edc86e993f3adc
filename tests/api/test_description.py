"""The API's description in fixtures/openapi.json is current (OpenAPI 3), and no body stands for another in it."""

import json
from pathlib import Path

import pytest
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer

DESCRIPTION = Path(__file__).resolve().parents[2] / "fixtures" / "openapi.json"


def test_the_description_on_disk_is_current(capsys: pytest.CaptureFixture[str]) -> None:
    GENERATOR_STATS.reset()
    made = json.loads(OpenApiJsonRenderer().render(SchemaGenerator().get_schema(request=None, public=True)))
    assert json.loads(DESCRIPTION.read_text()) == made, (
        "Run: uv run python manage.py spectacular --format openapi-json --file fixtures/openapi.json"
    )
    # Of two bodies with one name it would describe the first at both addresses, with no more than a warning.
    assert "identical names" not in capsys.readouterr().err
