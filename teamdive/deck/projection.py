"""From the log to the record: what the entries amount to for each diver, written as rows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from teamdive.boatlog.facts import Facts, facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.nitrogen import after_last_dive, next_dive, no_fly
from teamdive.boatlog.rollcall import ended_at
from teamdive.boatlog.surfaced import mix_of
from teamdive.logbook.models import MadeDive
from teamdive.logbook.services import keep_made_dives
from teamdive.trips.models import Booking, Dive, Trip
from teamdive.trips.services_ready import keep_end

from . import selectors
from .found import found_on
from .instants import date_of
from .models import DiverStatus, TripLog

# What the column holds: 68 years under water.
_MOST_S = 2**31 - 1


def project(*, trip: Trip | UUID, now: datetime) -> list[DiverStatus]:
    """Write one status row for each booked diver of a trip from its boat log as it stands.

    The same log gives the same rows, however often it is asked; a picture older than the one that is
    there is dropped. Nothing is written before the trip has a snapshot.
    """
    trip_id = trip.pk if isinstance(trip, Trip) else trip
    # The position is read before the entries: the rows may know more than they say, never less.
    log = selectors.log_of(trip_id)
    state = selectors.state_of(trip_id)
    if state is None or log.epoch is None:
        return []
    known = facts(state)
    bookings = Booking.objects.filter(trip=trip_id, pk__in=list(known.people))
    wanted = [_status(state, known, booking, now) for booking in bookings if known.people[str(booking.pk)][1]]
    with transaction.atomic():
        # The log's row, not those of the divers: the first time there is none, and the older picture would win.
        TripLog.objects.select_for_update().get(pk=trip_id)
        standing = {row.person_id: row for row in DiverStatus.objects.filter(trip=trip_id)}
        newest = True
        for row in wanted:
            row.epoch, row.from_position = log.epoch, log.position
            before = standing.get(row.person_id)
            if before is not None and before.epoch == row.epoch and before.from_position > row.from_position:
                newest = False
                continue
            DiverStatus.objects.update_or_create(
                trip_id=trip_id,
                person_id=row.person_id,
                defaults={name: getattr(row, name) for name in _WRITTEN},
            )
        if newest:
            keep_made_dives(trip=trip_id, made=_made(state, known, bookings, trip_id))
            keep_end(trip=trip_id, ended_at=_instant(home_at(state, known)))
    return list(DiverStatus.objects.filter(trip=trip_id))


def home_at(state: State, known: Facts) -> int | None:
    """When the trip was said to be over (ms), with everyone accounted for; None: it goes on, or somebody is missing."""
    ended = ended_at(state, known.roll_call)
    return ended if all(place.accounted_for for place in known.where.values()) else None


def _made(state: State, known: Facts, bookings: Iterable[Booking], trip_id: UUID) -> list[MadeDive]:
    """Each diver's dives for the days after the trip: the longest reading of each, its depth as reported."""
    made = []
    planned = {str(dive.pk): dive for dive in Dive.objects.filter(trip=trip_id)}
    for booking in bookings:
        person = str(booking.pk)
        if booking.diver_id is None:
            continue
        attempts = known.attempts.get(person, [])
        for number, attempt in enumerate(attempts, 1):
            mix = mix_of(state, person, attempt.dive, attempt.down[1])
            analysed = mix.analysed and mix.o2_e4 is not None
            times, depth = attempt.bottom_time_s, attempt.depth
            plan = planned.get(attempt.dive)
            asked = {
                question.code
                for question in known.questions
                if person in question.people and set(question.entries) & set(attempt.entries)
            }
            made.append(
                MadeDive(
                    diver_id=booking.diver_id,
                    trip=trip_id,
                    number=number,
                    down_at=date_of(attempt.down[0]),
                    surfaced_at=_instant(attempt.surfaced[1] if attempt.surfaced else None),
                    bottom_time_s=None if times is None else min(times[1], _MOST_S),
                    depth_hundredths=None if depth is None else depth["hundredths"],
                    depth_unit="" if depth is None else depth["unit"],
                    o2_pm=mix.o2_e4 // 10 if analysed and mix.o2_e4 is not None else None,
                    task_kind="" if plan is None else plan.task_kind,
                    task_level=None if plan is None else plan.task_level,
                    site_kind=[] if plan is None else plan.site_kind,
                    **asdict(found_on(state, person, attempt, attempts)),
                    questions=sorted(asked),
                )
            )
    return made


_WRITTEN = (
    "group",
    "surfaced_at",
    "next_dive",
    "earliest_next_dive_at",
    "no_fly_until",
    "not_known",
    "why",
    "questions",
    "epoch",
    "from_position",
    "worked_out_at",
)


_OF_A_WAIT = ("until", "wait_min", "table_wait_min", "rule", "to_altitude_ft", "assumptions")


def _status(state: State, known: Facts, booking: Booking, now: datetime) -> DiverStatus:
    person = str(booking.pk)
    last = after_last_dive(state, person, known)
    coming = next_dive(state, person, int(now.timestamp() * 1000), known=known)
    flying = no_fly(state, person, known)
    found = {
        "group": last["group"],
        "earliest_next_dive_at": None if coming is None else coming["ready_at"],
        "no_fly_until": None if flying is None else flying["until"],
    }
    why: list[dict[str, Any]] = []
    if coming is not None:
        facts_of = ("dive", "number", "depth", "planned_bottom_time_s")
        why.append({"code": "next_dive", **{name: coming[name] for name in facts_of}})
    if flying is not None:
        for code, part in (("no_fly", flying), ("no_road", flying["road"])):
            why.append({"code": code, **{name: part[name] for name in _OF_A_WAIT}})
    return DiverStatus(
        person=booking,
        group=found["group"] if isinstance(found["group"], str) else None,
        surfaced_at=_instant(last["surfaced_at"]),
        next_dive=None if coming is None else coming["dive"],
        earliest_next_dive_at=_instant(found["earliest_next_dive_at"]),
        no_fly_until=_instant(found["no_fly_until"]),
        not_known={name: value["not_known"] for name, value in found.items() if isinstance(value, dict)},
        why=why,
        questions=[
            {"code": question.code, "entries": list(question.entries)}
            for question in known.questions
            if person in question.people
        ],
        worked_out_at=now,
    )


def _instant(ms: Any) -> datetime | None:
    return date_of(ms) if isinstance(ms, int) else None
