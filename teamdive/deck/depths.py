"""The depths that a boat log tells, with what was said against each: what people see before they settle one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import reduce
from typing import Any

from teamdive.boatlog.claims import happened, readings
from teamdive.boatlog.corrections import brought_by, words_on
from teamdive.boatlog.entries import Entry as LogEntry
from teamdive.boatlog.facts import Facts, facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.plan import deeper
from teamdive.boatlog.settling import concerned, may_settle
from teamdive.people.models import User
from teamdive.trips.models import Trip
from teamdive.trips.permissions import plans
from teamdive.trips.selectors import snapshot_of

from .left_open import person_of
from .selectors import state_of


@dataclass(frozen=True)
class Against:
    """A correction of a depth: by which person, when (ms), and the depth or the person said instead; None: the same.

    `void`: it was not read at all.
    """

    entry: str
    by: str | None
    at: int
    reason: str
    void: bool
    depth: Mapping[str, Any] | None
    person: str | None


@dataclass(frozen=True)
class DepthTold:
    """One reading of one instrument. `counts`: the depth that counts for it now, the deeper until two settle it.

    `open`: a correction waits for a second person. `may`: whoever asks may be one of the two.
    """

    entry: str
    number: int | None
    person: str
    by: str | None
    at: int
    depth: Mapping[str, Any]
    counts: Mapping[str, Any] | None
    against: list[Against]
    open: bool
    may: bool


@dataclass(frozen=True)
class Depths:
    """Every depth that a reader may see, by dive and time. `me`: who the reader is on the trip."""

    me: str | None
    names: dict[str, str]
    depths: list[DepthTold]


def depths_told(trip: Trip, reader: User) -> Depths:
    """For who plans the trip all of them; for a diver those of their teams, or said to be of one of these."""
    state, kept = state_of(trip.pk), snapshot_of(trip.pk)
    me = person_of(trip, reader)
    if state is None or kept is None:
        return Depths(me, {}, [])
    all_of_them = plans(reader, trip)
    known = facts(state)
    numbers = {dive.id: dive.number for dive in state.snapshot.dives}
    found = [
        _told(state, entry, numbers, me, all_of_them)
        for entry in state.by_kind.get("depth_reported", ())
        if all_of_them or (me is not None and _with(state, known, me, entry))
    ]
    found.sort(key=lambda told: (told.number or 0, told.at, told.entry))
    named = {
        person
        for told in found
        for person in (told.person, told.by, *(p for each in told.against for p in (each.by, each.person)))
    }
    names = {person: name for person, name in kept["names"].items() if person in named}
    return Depths(me, names, found)


def _with(state: State, known: Facts, me: str, entry: LogEntry) -> bool:
    """Whether this depth may count for me too: of my own instrument, or of a team-mate's on the same dive."""
    said = [(entry.subject, entry.data["dive"])]
    for word in words_on(state, entry):
        if word.denies is None:
            dive = (word.data or {}).get("dive", entry.data["dive"])
            said.append((word.subject or entry.subject, dive))
    return any(person in _mates(known, me, dive) | {me} for person, dive in said)


def _mates(known: Facts, me: str, dive: str) -> set[str]:
    return {mate for each in known.attempts.get(me, []) if each.dive == dive for mate in each.mates}


def _told(
    state: State, entry: LogEntry, numbers: Mapping[str, int], me: str | None, all_of_them: bool
) -> DepthTold:
    read, words = readings(state, entry), words_on(state, entry)
    against = [
        Against(
            word.correction.id,
            word.correction.by,
            happened(state, word.correction),
            word.correction.data["reason"],
            word.void,
            (word.data or {}).get("depth"),
            word.subject,
        )
        for word in words
        if word.denies is None
    ]
    also = brought_by(entry, words)
    may = (
        me is not None and (all_of_them or me in concerned(entry) | also) and may_settle(entry, me, also=also)
    )
    return DepthTold(
        entry=entry.id,
        number=numbers.get(entry.data["dive"]),
        person=entry.subject,
        by=entry.by,
        at=happened(state, entry),
        depth=entry.data["depth"],
        counts=reduce(deeper, (claim.data["depth"] for claim in read.claims), None),
        against=against,
        open=bool(read.questions),
        may=may,
    )
