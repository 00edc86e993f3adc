"""How bodies are read: a JSON text that two readers could read differently is refused."""

from typing import Any

from rest_framework.parsers import BaseParser

from teamdive.calculations.body import parse_json


class StrictJSON(BaseParser):
    """JSON without duplicate names, NaN or infinities: a body that two readers could read differently is refused."""

    media_type = "application/json"

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        """The document; raises Problem naming what is wrong."""
        return parse_json(stream.read())
