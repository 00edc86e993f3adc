"""Settling a question at the desk: a correction is a further entry, in a chain of the server's own for each trip.

One person's correction only widens what is claimed; two people who say the same settle it. So whoever keeps the
records cannot settle anything alone: each correction is by somebody who was on the trip.
"""

from __future__ import annotations

import json
import secrets
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from teamdive.boatlog import chain
from teamdive.boatlog.clock import Clock
from teamdive.boatlog.corrections import brought, brought_by, words_on
from teamdive.boatlog.entries import Entry as LogEntry
from teamdive.boatlog.entries import body, data_problems, read
from teamdive.boatlog.facts import facts
from teamdive.boatlog.settling import concerned, may_settle
from teamdive.people.models import User
from teamdive.trips.models import Trip
from teamdive.trips.permissions import plans
from teamdive.web.problems import Unable

from . import services
from .left_open import may_look, person_of
from .models import Device, Entry
from .selectors import state_of, token_hash


class UnableToSettle(Unable):
    code = "unable_to_settle"
    status = 403


@transaction.atomic
def correct(*, trip: Trip, corrects: UUID, said: dict[str, Any], by: User, now: datetime) -> LogEntry:
    """Enter what an entry should have said, by one person of the trip. `said`: data of the kind `correction`.

    A leader may correct any entry, a diver those about themselves or said to be. Raises UnableToSettle, naming what is
    wrong.
    """
    row = Entry.objects.filter(trip=trip, entry_id=corrects).order_by("position").first()
    if row is None:
        raise UnableToSettle(
            "The log of this trip has no such entry.", code="entry_not_found", pointer="/corrects"
        )
    corrected = read(json.loads(row.body))
    root = _root(trip, corrected)
    person = person_of(trip, by)
    if person is None:
        raise UnableToSettle("Only people who were on the trip can settle what happened on it.")
    state = state_of(trip.pk)
    named = set() if state is None else brought_by(root, words_on(state, root))
    if not plans(by, trip) and person not in concerned(root) | named:
        raise UnableToSettle("This entry is about somebody else. They and a leader can settle it.")
    if not may_settle(root, person, also=named | brought(root, said.get("subject"), _people(said))):
        raise UnableToSettle(
            "Where you are is said by others: two people who were on the trip settle it, and you are neither.",
            code="about_oneself",
        )
    services.lock(trip.pk)
    correction = {
        "kind": "correction", "subject": corrected.subject, "corrects": corrected.id, "data": said,
    }  # fmt: skip
    entry = _written(trip, correction, person, now)
    if problems := data_problems(entry):
        errors = [
            {"pointer": p.pointer.removeprefix("/data"), "code": p.code, "message": p.message}
            for p in problems
        ]
        refused = UnableToSettle(errors[0]["message"], code="bad_correction", errors=errors)
        refused.status = 400
        raise refused
    services.store(trip=trip, bodies=[body(entry)], now=now)
    return entry


@transaction.atomic
def look(*, trip: Trip, code: str, entries: list[str], by: User, now: datetime) -> LogEntry:
    """Enter that one person looked at an open question; the second one closes it, and the careful reading stays.

    For who plans the trip and was on it. Raises UnableToSettle.
    """
    services.lock(trip.pk)
    state, person = state_of(trip.pk), person_of(trip, by)
    asked = () if state is None else facts(state).questions
    question = next((q for q in asked if q.code == code and set(q.entries) == set(entries)), None)
    if state is None or question is None:
        raise UnableToSettle("This question is not open any more.", code="question_not_open", pointer="/code")
    if person is None:
        raise UnableToSettle("Only people who were on the trip can settle what happened on it.")
    if not plans(by, trip):
        raise UnableToSettle("Who plans this trip looks at what its log leaves open.")
    if not may_look(state, question, person):
        raise UnableToSettle(
            "Two people look at it whom it does not concern, each once; some questions stay until they are answered.",
            code="not_yours",
        )
    data = {"code": code, "entries": list(question.entries), "with": person}
    entry = _written(
        trip,
        {"kind": "question_settled", "subject": question.subject or str(trip.pk), "data": data},
        person,
        now,
    )
    services.store(trip=trip, bodies=[body(entry)], now=now)
    return entry


def _root(trip: Trip, entry: LogEntry) -> LogEntry:
    """The entry that is meant in the end, where what is corrected is a correction."""
    seen = {entry.id}
    while entry.kind == "correction" and entry.corrects is not None and entry.corrects not in seen:
        seen.add(entry.corrects)
        row = Entry.objects.filter(trip=trip, entry_id=entry.corrects).order_by("position").first()
        if row is None:
            break
        entry = read(json.loads(row.body))
    return entry


def _people(said: dict[str, Any]) -> dict[str, Any] | None:
    data = said.get("data")
    return data if isinstance(data, dict) else None


def _written(trip: Trip, what: dict[str, Any], person: str, now: datetime) -> LogEntry:
    """The next entry of the desk's own chain of this trip."""
    desk, _ = Device.objects.get_or_create(
        pk=uuid5(trip.pk, "desk"),
        defaults={
            "trip": trip,
            "label": "At the desk",
            "token_hash": token_hash(secrets.token_urlsafe(32)),
            "enrolled_at": now,
        },
    )
    last = Entry.objects.filter(trip=trip, device_id=desk.pk).order_by("-seq").first()
    before = None if last is None else read(json.loads(last.body))
    wall = int(now.timestamp() * 1000)
    return chain.append(
        None if before is None else chain.Head(before.seq, before.hash),
        None if before is None else Clock(before.clock.ms, before.clock.n),
        wall,
        secrets.token_bytes(10),
        {
            "trip": str(trip.pk),
            "device": str(desk.pk),
            "by": person,
            "at": wall,
            **what,
        },
    )
