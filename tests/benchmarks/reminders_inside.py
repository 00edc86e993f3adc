"""The part of the reminders' benchmark that runs inside an installation of its own."""

import json
import sys
import time
from collections.abc import Callable
from datetime import timedelta
from uuid import uuid4

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import transaction  # noqa: E402
from django.db.models import F  # noqa: E402

from teamdive.reminders import rules, services  # noqa: E402
from teamdive.reminders.models import InboxMessage, Reminder  # noqa: E402
from tests import reminders_cast as cast  # noqa: E402
from tests.reminders_cast import NOON  # noqa: E402

DIVERS = 20
LATER = NOON + timedelta(days=1)


def main(number: int) -> None:
    call_command("migrate", verbosity=0)
    club = cast.make(divers=DIVERS)
    wanted = [cast.no_fly(club.divers[n % DIVERS].pk) for n in range(number)]
    services.reconcile(trip=club.trip, wanted=wanted, now=NOON)
    ids = list(Reminder.objects.order_by("try_at", "id").values_list("pk", flat=True))
    batches = [ids[at : at + services.BATCH] for at in range(0, number, services.BATCH)]

    bare, ours = alternately(lambda: bare_claims(batches), all_claims, forget)
    row("reminders claimed", number, ours, "bare Django update of the same rows, in the same batches", bare)

    bare, ours = alternately(lambda: bare_deliveries(ids, club), all_deliveries, forget)
    row("reminders delivered", number, ours, "bare Django update and insert, a transaction a row", bare)


def alternately(
    peer: Callable[[], None], ours: Callable[[], None], reset: Callable[[], None]
) -> tuple[float, float]:
    """The best of three turns each, taking turns so that a slow moment of the machine meets both."""
    times: dict[str, list[float]] = {"peer": [], "ours": []}
    for _ in range(3):
        for name, work in (("peer", peer), ("ours", ours)):
            reset()
            start = time.perf_counter()
            work()
            times[name].append(time.perf_counter() - start)
    return min(times["peer"]), min(times["ours"])


def forget() -> None:
    InboxMessage.objects.all().delete()
    Reminder.objects.update(
        state=rules.WAITING, fence=None, leased_until=None, attempts=0, finished_at=None, last_error=""
    )


def all_claims() -> None:
    while services.claim(now=LATER):
        pass
    assert not Reminder.objects.exclude(state=rules.CLAIMED).exists()


def bare_claims(batches: list[list[object]]) -> None:
    until, fence = LATER + services.lease(), uuid4()
    for batch in batches:
        Reminder.objects.filter(pk__in=batch).update(
            state=rules.CLAIMED, fence=fence, leased_until=until, attempts=F("attempts") + 1
        )


def all_deliveries() -> None:
    while services.deliver_due(now=LATER):
        pass
    assert not Reminder.objects.exclude(state=rules.SENT).exists()


def bare_deliveries(ids: list[object], club: cast.Cast) -> None:
    for pk in ids:
        with transaction.atomic():
            Reminder.objects.filter(pk=pk).update(state=rules.SENT, finished_at=LATER)
            InboxMessage.objects.create(
                reminder_id=pk, user=club.users[0], text="text", due_at=NOON, sent_at=LATER
            )


def row(name: str, number: int, ours_s: float, peer: str, peer_s: float) -> None:
    print(
        json.dumps(
            {
                "name": name,
                "n": number,
                "value": round(number / ours_s),
                "unit": "reminders/s",
                "peer": peer,
                "peer_value": round(number / peer_s),
                "ratio": round(peer_s / ours_s, 3),
                "goal_ratio": None,
                "goal_value": None,
            }
        ),
        flush=True,
    )


if __name__ == "__main__":
    main(int(sys.argv[1]))
