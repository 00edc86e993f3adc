"""The API's description in fixtures/openapi.json is current (OpenAPI 3)."""

import json
from pathlib import Path

from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer

DESCRIPTION = Path(__file__).resolve().parents[2] / "fixtures" / "openapi.json"


def test_the_description_on_disk_is_current() -> None:
    made = json.loads(OpenApiJsonRenderer().render(SchemaGenerator().get_schema(request=None, public=True)))
    assert json.loads(DESCRIPTION.read_text()) == made, (
        "Run: uv run python manage.py spectacular --format openapi-json --file fixtures/openapi.json"
    )
