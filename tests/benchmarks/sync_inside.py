"""The part of the sync benchmark that runs inside an installation of its own."""

import gc
import gzip
import json
import sys
import time
from collections.abc import Callable
from typing import Any

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection, transaction  # noqa: E402
from django.test import Client  # noqa: E402

from teamdive.boatlog.canonical import canonical  # noqa: E402
from teamdive.boatlog.entries import body  # noqa: E402
from teamdive.deck import services  # noqa: E402
from teamdive.deck.models import Entry, TripLog  # noqa: E402
from teamdive.trips.models import Trip  # noqa: E402
from tests.boat_scene import Phone, at  # noqa: E402
from tests.services.deck_cast import NOW, at_sea, enrolled  # noqa: E402

BATCH = 200
TURNS = 3


def main(number: int) -> None:
    call_command("migrate", verbosity=0)
    _let_the_table_be_emptied()
    cast = at_sea()
    other = Trip.objects.create(club=cast.club, name="The same rows", starts_at=cast.trip.starts_at)
    phone = written(number)
    _, token = enrolled(cast, phone)
    bodies = [body(entry) for entry in phone.entries]
    rows = [
        {
            "trip_id": other.pk,
            "position": position,
            "entry_id": entry.id,
            "mark": entry.mark,
            "device_id": entry.device,
            "seq": entry.seq,
            "hash": entry.hash,
            "kind": entry.kind,
            "body": canonical(body(entry)),
            "received_at": NOW,
        }
        for position, entry in enumerate(phone.entries, 1)
    ]

    def bare(start: int) -> None:
        with transaction.atomic():
            Entry.objects.bulk_create([Entry(**row) for row in rows[start : start + BATCH]])

    def stored(start: int) -> None:
        services.store(trip=cast.trip, bodies=bodies[start : start + BATCH], now=NOW)

    client, address = Client(SERVER_NAME="localhost"), f"/api/trips/{cast.trip.pk}/entries"
    headers = {"Authorization": f"Device {token}", "Content-Encoding": "gzip"}
    packed = {
        start: gzip.compress(json.dumps({"entries": bodies[start : start + BATCH]}).encode())
        for start in range(0, number, BATCH)
    }

    def pushed(start: int) -> None:
        answer = client.post(address, packed[start], content_type="application/json", headers=headers)
        assert answer.status_code == 200

    def pulled(start: int) -> None:
        answer = client.get(f"{address}?after={start}&limit={BATCH}", headers=headers)
        assert len(answer.json()["entries"]) == min(BATCH, number - start)

    # What the benchmark holds is no load of a server: else the collector walks it all in one work or the other.
    gc.collect()
    gc.freeze()

    peer = f"bare Django bulk_create of the same rows, {BATCH} a transaction"
    times = best_of({"bare": bare, "stored": stored}, number, _empty)
    row("entries stored", number, times["stored"], peer, times["bare"], 0.5)
    times = best_of({"bare": bare, "pushed": pushed}, number, _empty)
    row("entries pushed through the API, packed", number, times["pushed"], peer, times["bare"], None)
    again = best_of({"again": stored, "pulled": pulled}, number, lambda: None)
    row("entries offered again, nothing new", number, again["again"], peer, times["bare"], None)
    row("entries pulled through the API", number, again["pulled"], peer, times["bare"], None)


def written(number: int) -> Phone:
    """One phone's chain with the kinds and sizes of a day on deck."""
    phone = Phone("p1")
    for step in range(number):
        clock = at("08:00") + step * 1000
        match step % 5:
            case 0:
                phone.write("down", "t1", clock, dive="d1", members=["a", "b"])
            case 1:
                phone.write("surfaced", "t1", clock, dive="d1", people=["a", "b"])
            case 2:
                depth = {"unit": "m", "hundredths": 1800}
                phone.write("depth_reported", "a", clock, dive="d1", depth=depth)
            case 3:
                phone.write("back_aboard", "a", clock)
            case _:
                seen = ["a", "b", "c", "d", "s"]
                phone.write("roll_call_taken", "trip", clock, count="c1", seen=seen, method="answered")
    return phone


def best_of(
    works: dict[str, Callable[[int], None]], number: int, reset: Callable[[], None]
) -> dict[str, float]:
    """Seconds for all batches, the best of some turns; the works take turns batch by batch, so that a slow
    moment of the machine meets them all alike."""
    best: dict[str, float] = {}
    for _ in range(TURNS):
        reset()
        taken = dict.fromkeys(works, 0.0)
        for start in range(0, number, BATCH):
            for name, work in works.items():
                began = time.perf_counter()
                work(start)
                taken[name] += time.perf_counter() - began
        best = {name: min(seconds, best.get(name, seconds)) for name, seconds in taken.items()}
    return best


def _let_the_table_be_emptied() -> None:
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("DROP TRIGGER deck_entry_not_deleted")


def _empty() -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DELETE FROM deck_entry")
        else:
            cursor.execute("TRUNCATE deck_entry CASCADE")
    TripLog.objects.update(last_position=0)


def row(name: str, number: int, ours_s: float, peer: str, peer_s: float, goal: float | None) -> None:
    line: dict[str, Any] = {
        "name": name,
        "n": number,
        "value": round(number / ours_s),
        "unit": "entries/s on one core",
        "peer": peer,
        "peer_value": round(number / peer_s),
        "ratio": round(peer_s / ours_s, 3),
        "goal_ratio": goal,
        "goal_value": None,
    }
    print(json.dumps(line), flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]))
