"""The organiser's desk and a diver's own pages in headless Chromium against the real server, from a spreadsheet to a
trip that is ready.

What is held against: the job itself (nothing half-imported, nobody new to two things at once, both methods shown), and
WCAG 2.2 A and AA as axe-core checks it.
"""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from teamdive.config import frontend
from tests.browser.serving import CHECKOUT, PASSWORDS, Server, free_port, run_script

pytestmark = [pytest.mark.chromium, pytest.mark.serial]

# A club with nothing but its organiser, and one member of whom no more than name and e-mail are known.
CLUB = """
import sys, django
django.setup()
from django.core.management import call_command
from teamdive.people import services
from teamdive.people.models import Diver
call_command("migrate", verbosity=0, interactive=False)
club = services.add_club(name="Sallow Head divers", time_zone="Atlantic/Azores")
services.add_member(club=club, email="keeper@sallow.example", role="organiser", password=sys.argv[1])
sten = Diver.objects.create(club=club, name="Sten Ovrebo", email="sten.ovrebo@varrow.example")
services.add_member(club=club, email=sten.email, role="diver", password=sys.argv[2], diver=sten)
"""


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    if not os.environ.get("TEAMDIVE_FRONTEND_DIST"):
        frontend.build()
    frontend.install(frontend.CHECKS)
    running = Server(data=tmp_path / "data", port=free_port())
    made = subprocess.run(
        [sys.executable, "-c", CLUB, PASSWORDS["organiser"], PASSWORDS["diver"]],
        cwd=CHECKOUT,
        env=running.environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stderr
    # Days beside those in the spreadsheet, whatever today is: papers and lay-offs are judged on the day of the trip.
    running.emails = {
        "keeper": "keeper@sallow.example",
        "member": "sten.ovrebo@varrow.example",
        "dived_on": "2026-10-20",
        "day": "2026-12-05",
    }
    running.start()
    yield running
    running.stop()


def test_from_a_spreadsheet_to_a_trip_that_is_ready(server: Server, tmp_path: Path) -> None:
    named = os.environ.get("TEAMDIVE_SHOTS")
    shots = Path(named) / "desk" if named else None
    if shots is not None:
        shots.mkdir(parents=True, exist_ok=True)
    report = run_script(server, "desk.mjs", tmp_path / "profile", shots=shots)
    assert report["imported"] == 40
    assert report["done"] is True
