"""A phone joins the boat with a code, in headless Chromium, and shows in the record at the desk.

What is held against: the job itself (no account, no password on deck), and WCAG 2.2 A and AA as axe-core checks it.
"""

import os
from pathlib import Path

import pytest

from teamdive.config import frontend
from tests.browser.serving import Server, free_port, run_script

pytestmark = [pytest.mark.chromium, pytest.mark.serial]


def test_a_phone_joins_with_a_code_and_is_taken_off_again(tmp_path: Path) -> None:
    if not os.environ.get("TEAMDIVE_FRONTEND_DIST"):
        frontend.build()
    frontend.install(frontend.CHECKS)
    named = os.environ.get("TEAMDIVE_SHOTS")
    shots = Path(named) / "joining" if named else None
    if shots is not None:
        shots.mkdir(parents=True, exist_ok=True)
    server = Server(data=tmp_path / "data", port=free_port())
    server.load()
    server.start()
    try:
        assert run_script(server, "joining.mjs", tmp_path / "profiles", shots=shots)["done"] is True
    finally:
        server.stop()
