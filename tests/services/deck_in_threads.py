"""Phones that push and a reader that polls, all at once, against a database that several connections share.

Not collected by itself: tests/faults/test_deck_databases.py runs it on SQLite on disk and on PostgreSQL.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from threading import Event, get_ident

import pytest
from django.db import connection

from teamdive.deck import projection, selectors, services
from teamdive.deck.models import DiverStatus, Entry
from teamdive.logbook.models import MadeDive
from tests.boat_scene import Phone
from tests.services.deck_cast import NOW, at_sea, bodies

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def emptied(transactional_db: None) -> Iterator[None]:
    """This database is emptied afterwards, entries too: on SQLite a trigger of the log would forbid it."""
    yield
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("DROP TRIGGER IF EXISTS deck_entry_not_deleted")


PHONES, EACH, BATCH = 6, 60, 7


def test_no_position_twice_none_skipped_and_a_reader_misses_nothing() -> None:
    trip = at_sea().trip
    phones = [Phone(f"p{index}") for index in range(PHONES)]
    for phone in phones:
        for minute in range(EACH):
            phone.write("note", "trip", f"{8 + minute // 60:02}:{minute % 60:02}")
    done = Event()

    def push(phone: Phone) -> None:
        try:
            sent = bodies(phone)
            for start in range(0, EACH, BATCH):
                # Each batch overlaps the one before and is sent twice, as over a bad line.
                batch = sent[max(0, start - 3) : start + BATCH]
                for _ in range(2):
                    services.store(trip=trip, bodies=batch, now=NOW)
        finally:
            connection.close()

    def poll() -> list[int]:
        seen: list[int] = []
        try:
            while True:
                last = done.is_set()
                page = selectors.page(trip.pk, seen[-1] if seen else 0, 50)
                seen.extend(item["position"] for item in page.entries)
                if last and not page.entries:
                    return seen
        finally:
            connection.close()

    with ThreadPoolExecutor(PHONES + 1) as pool:
        reader = pool.submit(poll)
        for pushed in [pool.submit(push, phone) for phone in phones]:
            pushed.result(timeout=120)
        done.set()
        positions = reader.result(timeout=60)
    assert positions == list(range(1, PHONES * EACH + 1))
    assert Entry.objects.values("mark").distinct().count() == PHONES * EACH


def test_two_who_work_out_a_log_that_nobody_had_leave_the_later_picture(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The first rows of a trip: nothing is there yet that could be locked, and the older picture is written last."""
    trip = at_sea().trip
    phone = Phone("p1")
    phone.down("09:40")
    services.store(trip=trip, bodies=bodies(phone), now=NOW)
    computed, stored, inside, done = Event(), Event(), Event(), Event()
    older: list[int] = []
    status, write = projection._status, DiverStatus.objects.update_or_create

    def slow_status(*args: object) -> DiverStatus:
        if get_ident() in older and not computed.is_set():
            computed.set()
            assert stored.wait(30)
        return status(*args)

    def slow_write(**fields: object) -> object:
        if get_ident() in older and not inside.is_set():
            inside.set()
            done.wait(2)
        return write(**fields)

    def work_out() -> None:
        older.append(get_ident())
        try:
            services.project(trip=trip, now=NOW)
        finally:
            connection.close()

    monkeypatch.setattr(projection, "_status", slow_status)
    monkeypatch.setattr(DiverStatus.objects, "update_or_create", slow_write)
    with ThreadPoolExecutor(1) as pool:
        first = pool.submit(work_out)
        assert computed.wait(30)
        phone.up("10:05")
        services.store(trip=trip, bodies=bodies(phone), now=NOW)
        stored.set()
        assert inside.wait(30)
        services.project(trip=trip, now=NOW)
        done.set()
        first.result(timeout=30)
    assert set(DiverStatus.objects.values_list("from_position", flat=True)) == {2}
    assert MadeDive.objects.exists() and not MadeDive.objects.filter(surfaced_at=None).exists()
