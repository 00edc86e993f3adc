"""Past dives brought from a sheet in headless Chromium: from a club with nothing but its roster to teams.

What is held against: the job itself (nothing brought in while a row is open, the same sheet twice changes nothing), and
WCAG 2.2 A and AA as axe-core checks it.
"""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from teamdive.config import frontend
from tests.browser.serving import CHECKOUT, PASSWORDS, Server, free_port, run_script

pytestmark = [pytest.mark.chromium, pytest.mark.serial]

# A club with its organiser and its roster, and a trip of four of whom nothing is known but what the roster says.
CLUB = """
import json, sys, django
django.setup()
from datetime import datetime, timezone
from decimal import Decimal
from django.core.management import call_command
from django.utils.timezone import now
from teamdive.people import imports, services
from teamdive.people.models import Diver
from teamdive.trips import services as trips, services_teams
call_command("migrate", verbosity=0, interactive=False)
club = services.add_club(name="Varrow Bay divers", time_zone="Atlantic/Azores")
services.change_club(club=club, overdue_after_min=10, gas={"gas_margin_percent": 15, "stressed_rmv_l_min": 30,
    "delay_at_depth_min": 1, "surface_reserve": 50, "regulator_minimum": 10})
services.add_member(club=club, email="keeper@varrow.example", role="organiser", password=sys.argv[1])
roster = imports.start_import(club=club, content=open(sys.argv[2], "rb").read(), file_name="r.csv", by=None, now=now())
imports.change_import(roster=roster, choices=json.loads(sys.argv[3]), confirm_all=True)
imports.apply_import(roster=roster, now=now())
at = datetime(2026, 12, 5, 9, tzinfo=timezone.utc)
trip = trips.add_trip(club=club, name="The Teeth", starts_at=at)
dive = trips.add_dive(trip=trip, planned_at=at, depth_hundredths=2700, depth_unit="m", bottom_time_s=1020,
    current_kn=Decimal("0.5"), task_kind="survey", task_level=3)
for number in ("101", "102", "103", "111"):
    diver = Diver.objects.get(member_number=number)
    booked = trips.add_booking(trip=trip, diver=diver, role="leader" if diver.can_lead else "diver", earlier_dives=[])
    services_teams.check_gas(booking=booked, dive=dive, cylinder=number, volume=12, volume_unit="l",
        working_pressure=232, pressure_unit="bar", start_pressure=215, analysed_o2_pm=210,
        analysed_by=booked, now=now())
print(json.dumps({"keeper": "keeper@varrow.example", "trip": str(trip.pk), "dive": str(dive.pk)}))
"""


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    if not os.environ.get("TEAMDIVE_FRONTEND_DIST"):
        frontend.build()
    frontend.install(frontend.CHECKS)
    running = Server(data=tmp_path / "data", port=free_port())
    demo = json.loads((CHECKOUT / "fixtures/demo/demo.json").read_text())
    roster = CHECKOUT / "fixtures/imports/roster.csv"
    made = subprocess.run(
        [sys.executable, "-c", CLUB, PASSWORDS["organiser"], roster, json.dumps(demo["roster"]["choices"])],
        cwd=CHECKOUT,
        env=running.environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stderr
    running.emails = json.loads(made.stdout.splitlines()[-1])
    running.start()
    yield running
    running.stop()


def test_from_a_sheet_of_past_dives_to_teams(server: Server, tmp_path: Path) -> None:
    named = os.environ.get("TEAMDIVE_SHOTS")
    shots = Path(named) / "past_dives" if named else None
    if shots is not None:
        shots.mkdir(parents=True, exist_ok=True)
    report = run_script(server, "past_dives.mjs", tmp_path / "profile", shots=shots)
    assert report["done"] is True
