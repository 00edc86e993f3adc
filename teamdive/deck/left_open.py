"""The questions that a boat log leaves open, as the desk sees them: what may be left once two people looked at it."""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.boatlog.claims import Question, happened
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.looked_at import MAY_BE_LEFT, who_looked
from teamdive.people.models import User
from teamdive.trips.models import Trip
from teamdive.trips.permissions import plans
from teamdive.trips.selectors import people_of, snapshot_of

from .selectors import state_of


@dataclass(frozen=True)
class LeftOpen:
    """One question: its entries, the kind of the last, when that happened (ms), whom it concerns and who looked at it.

    `may`: whoever asks may be one of the two who looked at it; the careful reading stays whatever they say.
    """

    code: str
    entries: list[str]
    kind: str
    at: int
    people: list[str]
    looked: list[str]
    may: bool


def left_open(trip: Trip, reader: User) -> list[LeftOpen]:
    """All that the log of a trip leaves open, for who plans it; for others nothing. Names in place of ids."""
    state, kept = state_of(trip.pk), snapshot_of(trip.pk)
    if state is None or kept is None or not plans(reader, trip):
        return []
    names, me = kept["names"], person_of(trip, reader)
    found = []
    for question in facts(state).questions:
        last = max(
            (entry for id in question.entries for entry in state.by_id.get(id, ())),
            key=lambda entry: (happened(state, entry), entry.id),
        )
        looked = sorted(who_looked(state, question))
        found.append(
            LeftOpen(
                code=question.code,
                entries=list(question.entries),
                kind=last.kind,
                at=happened(state, last),
                people=[names.get(person, "somebody") for person in question.people],
                looked=[names.get(person, "somebody") for person in looked],
                may=me is not None and may_look(state, question, me),
            )
        )
    return sorted(found, key=lambda each: (each.at, each.code, each.entries))


def may_look(state: State, question: Question, person: str) -> bool:
    """Whether this person may be one of the two: not one whom it concerns, and not one who looked already."""
    mine = person in question.people or person in who_looked(state, question)
    return question.code in MAY_BE_LEFT and not mine


def person_of(trip: Trip, user: User) -> str | None:
    """Who a user is on the trip; None: they were not on it."""
    return min(map(str, people_of(user, trip.pk)), default=None)
