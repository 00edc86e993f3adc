"""What a boat log leaves open, at the desk in headless Chromium: two leaders look at it, one after the other.

What is held against: the job itself (two named people, nothing deleted), and WCAG 2.2 A and AA as axe-core checks it.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from teamdive.config import frontend
from tests.browser.serving import CHECKOUT, PASSWORDS, Server, free_port, run_script

pytestmark = [pytest.mark.chromium, pytest.mark.serial]

# Nobody held the deck, somebody is aboard who was never seen up, a depth is doubted; a second leader was there.
DAY = """
import json, sys, django
django.setup()
from django.utils import timezone
from teamdive.boatlog import chain
from teamdive.boatlog.entries import body
from teamdive.deck import services
from teamdive.people.models import Membership
from teamdive.trips.models import Trip
from teamdive.trips.selectors import snapshot_of
trip = Trip.objects.get(state="ready")
scene = snapshot_of(trip.pk)["snapshot"]
now = timezone.now()
dive = scene["dives"][0]
one, two = dive["teams"][:2]
crew = next(each["id"] for each in scene["people"] if not each["dives"])
log, clock, head = [], None, None
def write(minute, kind, subject, data, **more):
    global clock, head
    wall = int(now.timestamp() * 1000) - (60 - minute) * 60_000
    draft = {"trip": str(trip.pk), "device": "00000000-0000-4000-8000-0000000000aa", "by": crew, "at": wall,
             "kind": kind, "subject": subject, "data": data, **more}
    entry = chain.append(head, clock, wall, bytes([minute] * 10), draft)
    clock, head = entry.clock, chain.Head(entry.seq, entry.hash)
    log.append(body(entry))
    return entry.id
write(1, "down", one["id"], {"dive": dive["id"], "members": one["members"]})
write(2, "deck_accepted", crew, {"from": None})
write(3, "down", two["id"], {"dive": dive["id"], "members": two["members"]})
write(25, "surfaced", one["id"], {"dive": dive["id"], "people": one["members"]})
deep = write(27, "depth_reported", one["members"][0], {"dive": dive["id"], "depth": {"unit": "m", "hundredths": 2100}})
for n, person in enumerate(two["members"]):
    write(30 + n, "back_aboard", person, {})
write(35, "departed", str(trip.pk), {"place": "site"})
write(40, "correction", one["members"][0], {"reason": "mistyped", "void": False,
      "data": {"depth": {"unit": "m", "hundredths": 1900}}}, corrects=deep)
services.store(trip=trip, bodies=log, now=now)
leads = Membership.objects.get(user__email=sys.argv[2])
on_trip = trip.bookings.exclude(diver__user=None).exclude(diver__user=leads.user)
second = next(each.diver.user for each in on_trip if str(each.pk) not in one["members"] + two["members"])
Membership.objects.filter(user=second, club=trip.club).update(role="leader")
second.set_password(sys.argv[1])
second.save()
print(json.dumps({"second": second.email, "trip": str(trip.pk)}))
"""


def test_two_leaders_look_at_what_the_log_leaves_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not os.environ.get("TEAMDIVE_FRONTEND_DIST"):
        frontend.build()
    frontend.install(frontend.CHECKS)
    named = os.environ.get("TEAMDIVE_SHOTS")
    shots = Path(named) / "left_open" if named else None
    if shots is not None:
        shots.mkdir(parents=True, exist_ok=True)
    server = Server(data=tmp_path / "data", port=free_port())
    server.load()
    monkeypatch.setitem(PASSWORDS, "second", "kelp-winch-44")
    made = subprocess.run(
        [sys.executable, "-c", DAY, PASSWORDS["second"], server.emails["leader"]],
        cwd=CHECKOUT,
        env=server.environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stderr
    server.emails |= json.loads(made.stdout.splitlines()[-1])
    server.start()
    try:
        assert run_script(server, "left_open.mjs", tmp_path / "profiles", shots=shots)["done"] is True
    finally:
        server.stop()
