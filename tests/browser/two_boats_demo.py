"""The demo club whose trip goes on two boats: three teams and one of the crew on each, one dive.

Run with the passwords by role as JSON; prints the e-mail of each role. Made for the browser tests alone.
"""

import json
import sys
from datetime import datetime
from typing import Any

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.utils import timezone  # noqa: E402

from teamdive.trips import demo, services, services_ready  # noqa: E402
from teamdive.trips.models import Trip  # noqa: E402

make_ready = services_ready.make_ready


def ready_on_two_boats(*, trip: Trip, by: None, now: datetime) -> Any:
    """Seat the first half of the teams and one of the crew on a second boat, then make the trip ready."""
    boats = [trip.boat, services.add_boat(club=trip.club, name="Little Auk", most_persons=8)]
    trip.dives.filter(number__gt=1).delete()
    teams = list(trip.dives.get(number=1).teams.order_by("number"))
    dry = list(trip.bookings.filter(dives=False).order_by("pk"))
    for place, team in enumerate(teams):
        for member in team.members.all():
            services.change_booking(booking=member.booking, boat=boats[place * 2 // len(teams)])
    for boat, one in zip(boats, dry, strict=True):
        services.change_booking(booking=one, boat=boat)
    return make_ready(trip=trip, by=by, now=now)


demo.services_ready.make_ready = ready_on_two_boats  # type: ignore[assignment]
call_command("migrate", verbosity=0, interactive=False)
rows = demo.load_demo(now=timezone.now(), passwords=json.loads(sys.argv[1]))
print(json.dumps({row.role: row.email for row in rows}))
