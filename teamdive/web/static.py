"""Serves the phone's built files at the root, and Django's own under /static/ (whitenoise does both)."""

import re
from pathlib import Path
from typing import Any

from django.conf import settings
from whitenoise.middleware import WhiteNoiseMiddleware

HASHED = re.compile(r"/assets/.+-[\w-]{8}\.\w+$")


class PhoneFiles(WhiteNoiseMiddleware):
    """whitenoise, with frontend/dist at `/` and `index.html` for `/`."""

    def __init__(self, get_response: Any) -> None:
        super().__init__(get_response, settings)
        self.index_file = "index.html"
        folder: Path = settings.FRONTEND_DIST
        if folder.is_dir():
            self.add_files(str(folder), prefix="/")

    def immutable_file_test(self, path: str, url: str) -> bool:
        """Vite's hashed files never change; everything else is asked for again."""
        return bool(HASHED.search(url))
