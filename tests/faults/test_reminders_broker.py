"""A broker that is down: entries are stored all the same, and the next sweep does what the nudge would have."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.faults.servers import free_port

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.serial


def inside(tmp_path: Path, code: str, **more: str) -> Any:
    env = {name: value for name, value in os.environ.items() if not name.startswith("TEAMDIVE_")}
    env |= {
        "TEAMDIVE_DATA": str(tmp_path),
        "DJANGO_SETTINGS_MODULE": "teamdive.config.settings",
        "TEAMDIVE_ALLOWED_HOSTS": "testserver",
        **more,
    }
    done = subprocess.run(
        [sys.executable, "-c", code], env=env, cwd=ROOT, capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1]), done.stderr


POST_AND_SWEEP = """
import django, json
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests.services import test_reminders_path as path
from tests.boat_scene import Phone, trip_body
from teamdive.reminders import services
from teamdive.reminders.models import InboxMessage, Reminder
club = path.put_to_sea(
    trip_body(teams=[["a", "b"]], depths=(27, 18), bottom_min=(17, 35), run_min=(23, 42))
)
phone = Phone("p1")
path.first_dive(phone)
answer = path.post(club, phone)
path.post(club, phone)
path.take_in(path.utc("09:45"))
services.deliver_due(now=path.utc("10:10"))
print(json.dumps({
    "position": answer["position"], "sent": len(phone.entries),
    "waiting": Reminder.objects.filter(state="waiting").count(), "told": InboxMessage.objects.count(),
}))
"""


def test_with_redis_down_entries_are_stored_and_nobody_is_forgotten(tmp_path: Path) -> None:
    found, said = inside(tmp_path, POST_AND_SWEEP, TEAMDIVE_REDIS_URL=f"redis://127.0.0.1:{free_port()}/0")
    assert found["position"] == found["sent"]
    assert (found["waiting"], found["told"]) == (2, 2)
    assert said.count("no nudge for the worker") == 1, said


def test_a_nudge_reaches_the_queue_and_a_queue_that_is_gone_stops_nothing(tmp_path: Path) -> None:
    queue = str(tmp_path / "queue")
    more = f"""
import pathlib, shutil
queued = len(list(pathlib.Path({queue!r}).glob("*.msg")))
shutil.rmtree({queue!r})
pathlib.Path({queue!r}).touch()
shallower = {{"unit": "m", "hundredths": 1200}}
phone.write("plan_changed", "d2", "10:20", depth=shallower, bottom_time_s=3000, run_time_s=3300)
answer = path.post(club, phone)
path.take_in(path.utc("10:21"))
print(json.dumps({{"queued": queued, "position": answer["position"], "sent": len(phone.entries)}}))
"""
    found, said = inside(tmp_path, POST_AND_SWEEP + more)
    # One sweep: the same batch a second time stored nothing, so nobody was told of it.
    assert found["queued"] == 1, said
    assert found["position"] == found["sent"]
    assert "no nudge for the worker" in said
