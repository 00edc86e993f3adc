"""A phone that never had the trip reads it off another one's screen, with the network off, in headless Chromium.

What is held against: the job itself (nobody lost when the phone with the trip is the only one), WCAG 2.2 A and AA.
"""

import os
from pathlib import Path

import pytest

from teamdive.config import frontend
from tests.browser.serving import Server, free_port, run_script

pytestmark = [pytest.mark.chromium, pytest.mark.serial]


def test_a_phone_without_the_trip_reads_it_and_takes_the_deck(tmp_path: Path) -> None:
    if not os.environ.get("TEAMDIVE_FRONTEND_DIST"):
        frontend.build()
    frontend.install(frontend.CHECKS)
    named = os.environ.get("TEAMDIVE_SHOTS")
    shots = Path(named) / "trip_at_sea" if named else None
    if shots is not None:
        shots.mkdir(parents=True, exist_ok=True)
    server = Server(data=tmp_path / "data", port=free_port())
    server.load()
    try:
        server.start()
        assert run_script(server, "trip_at_sea.mjs", tmp_path / "profiles", shots=shots)["done"] is True
    finally:
        server.stop()
