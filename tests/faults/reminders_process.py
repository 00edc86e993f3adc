"""What a fault test does inside an installation of its own: a process that obeys lines of standard input.

`make N M`   make N divers with a reminder each, due a second ago, and send M sweeps to the queue
`ashore`     let somebody ashore wait for the boat of that trip, back by a second ago: a float plan and an alarm more
`post`       post the first dive of a trip at sea by the API, as its phone does; its interval is over already
`await S`    wait at most S seconds until nothing is due any more, then tell what the tables hold of that trip
Each line is answered with one line of JSON.
"""

import json
import sys
import time
from collections import Counter
from datetime import timedelta

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.utils import timezone  # noqa: E402

from teamdive.deck.models import DiverStatus  # noqa: E402
from teamdive.people.models import Club, Diver, Membership, User  # noqa: E402
from teamdive.reminders import rules, services, tasks  # noqa: E402
from teamdive.reminders.models import InboxMessage, Reminder  # noqa: E402
from teamdive.trips.models import FloatPlan, ShoreContact, Trip  # noqa: E402
from tests import reminders_cast as cast  # noqa: E402
from tests.boat_scene import Phone, at, trip_body  # noqa: E402
from tests.services import test_reminders_path as path  # noqa: E402

HOUR_MS = 3_600_000


def make(number: int, sweeps: int) -> Trip:
    due_at = timezone.now() - timedelta(seconds=1)
    club = cast.make(divers=number, name=f"Skerry Divers {due_at.isoformat()}")
    services.reconcile(
        trip=club.trip, wanted=[cast.no_fly(diver.pk, due_at) for diver in club.divers], now=due_at
    )
    for _ in range(sweeps):
        tasks.sweep.delay()
    return club.trip


def ashore(trip: Trip) -> Trip:
    now = timezone.now()
    user = User.objects.create(email=f"ashore@{trip.club_id}.example")
    Membership.objects.create(club=trip.club, user=user, role="diver")
    diver = Diver.objects.create(club=trip.club, user=user, name="Edda Lorn")
    Club.objects.filter(pk=trip.club_id).update(shore_call_every_min=60, shore_calls_before_next=3)
    plan = FloatPlan.objects.create(trip=trip, back_by=now - timedelta(seconds=1), changed_at=now)
    ShoreContact.objects.create(plan=plan, position=0, name=diver.name, diver=diver)
    Trip.objects.filter(pk=trip.pk).update(state=Trip.State.READY)
    return trip


def post() -> Trip:
    dived_at = int(timezone.now().timestamp() * 1000) - 3 * HOUR_MS
    scene = trip_body(teams=[["a", "b"]], depths=(27, 18), bottom_min=(17, 35), run_min=(23, 42))
    scene |= {"made_at": dived_at - 2 * HOUR_MS, "starts_at": dived_at - HOUR_MS}
    club = path.put_to_sea(scene)
    phone = Phone("p1")
    path.first_dive(phone, moved_ms=dived_at - at("09:00"))
    path.post(club, phone)
    return club.trip


def found(trip: Trip, seconds: float) -> dict[str, object]:
    mine = Reminder.objects.filter(trip=trip)
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        due = mine.filter(state__in=rules.OPEN_STATES, due_at__lte=timezone.now())
        if mine.exists() and not due.exists():
            break
        time.sleep(0.1)
    told_of = InboxMessage.objects.filter(reminder__trip=trip)
    messages = list(told_of.select_related("reminder__diver", "reminder__contact__diver"))
    told = Counter(message.reminder_id for message in messages)
    return {
        "states": Counter(mine.values_list("state", flat=True)),
        "messages": len(messages),
        "most_messages_of_one": max(told.values(), default=0),
        "kinds": Counter(message.reminder.kind for message in messages),
        "groups": list(
            DiverStatus.objects.filter(trip=trip).values_list("group", flat=True).order_by("group")
        ),
        "right_person": all(
            message.user_id == (message.reminder.diver or message.reminder.contact.diver).user_id
            for message in messages
        ),
    }


def main() -> None:
    call_command("migrate", verbosity=0)
    trip = None
    for line in sys.stdin:
        command, *numbers = line.split()
        answer: object = None
        if command == "make":
            trip = make(*map(int, numbers))
        elif command == "ashore":
            trip = ashore(trip)
        elif command == "post":
            trip = post()
        else:
            answer = found(trip, *map(int, numbers))
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
