"""The questions that a boat log leaves open, as the desk sees them: what may be left once two people looked at it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from teamdive.boatlog.claims import Question, happened
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.looked_at import MAY_BE_LEFT, who_looked
from teamdive.people.models import User
from teamdive.trips.models import Trip
from teamdive.trips.permissions import plans
from teamdive.trips.selectors import people_of, snapshot_of

from .record import labels
from .selectors import state_of


@dataclass(frozen=True)
class LeftOpen:
    """One question: its entries, when the last of them happened (ms), whom it concerns and who looked at it.

    `about`: the dive, team or phone it is about, as the deck calls it; None: none of these. `may`: whoever asks may be
    one of the two who looked at it; the careful reading stays whatever they say. `bar`, where they may not: `answer`
    (a correction answers it, or doing something on the boat), `depth` (a second word on a depth), `yours`, `looked`
    (once already), `not_aboard`.
    """

    code: str
    entries: list[str]
    about: str | None
    at: int
    people: list[str]
    looked: list[str]
    may: bool
    bar: str | None


def left_open(trip: Trip, reader: User) -> list[LeftOpen]:
    """All that the log of a trip leaves open, for who plans it; for others nothing. Names in place of ids."""
    state, kept = state_of(trip.pk), snapshot_of(trip.pk)
    if state is None or kept is None or not plans(reader, trip):
        return []
    names, me, labelled = kept["names"], person_of(trip, reader), labels(trip.pk)
    found = []
    for question in facts(state).questions:
        last = max(
            (entry for id in question.entries for entry in state.by_id.get(id, ())),
            key=lambda entry: (happened(state, entry), entry.id),
        )
        looked, bar = sorted(who_looked(state, question)), _bar(state, question, me)
        found.append(
            LeftOpen(
                code=question.code,
                entries=list(question.entries),
                about=None if question.subject == str(trip.pk) else labelled.get(question.subject or ""),
                at=happened(state, last),
                people=[names.get(person, "somebody") for person in _people(question, names)],
                looked=[names.get(person, "somebody") for person in looked],
                may=bar is None,
                bar=bar,
            )
        )
    return sorted(found, key=lambda each: (each.at, each.code, each.entries))


def _people(question: Question, names: Mapping[str, str]) -> list[str]:
    """Whom it concerns; of a correction the person whose entry it is."""
    own = [question.subject] if question.subject in names else []
    return list(question.people) or [person for person in own if person is not None]


def may_look(state: State, question: Question, person: str) -> bool:
    """Whether this person may be one of the two: not one whom it concerns, and not one who looked already."""
    return _bar(state, question, person) is None


def _bar(state: State, question: Question, person: str | None) -> str | None:
    """Why somebody may not be one of the two; None: they may."""
    if question.code not in MAY_BE_LEFT:
        named = {entry.kind for id in question.entries for entry in state.by_id.get(id, ())}
        return "depth" if "depth_reported" in named and "correction" in named else "answer"
    if person is None:
        return "not_aboard"
    if person in who_looked(state, question):
        return "looked"
    return "yours" if person in question.people else None


def person_of(trip: Trip, user: User) -> str | None:
    """Who a user is on the trip; None: they were not on it, or taken off it before it left."""
    on_it = trip.bookings.filter(pk__in=people_of(user, trip.pk), cancelled_at=None)
    return min(map(str, on_it.values_list("pk", flat=True)), default=None)
