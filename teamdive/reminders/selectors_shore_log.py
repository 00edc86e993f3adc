"""What a trip's boat log amounts to for those ashore, as far as it reached the server: folded once for all of it."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from teamdive.boatlog.boats import left_behind
from teamdive.boatlog.claims import Claim, decided, happened
from teamdive.boatlog.entries import Entry as LogEntry
from teamdive.boatlog.facts import Facts, facts, where_at
from teamdive.boatlog.fold import State, about, roots
from teamdive.boatlog.presence import presence
from teamdive.boatlog.radio import position_words
from teamdive.deck import selectors as deck
from teamdive.deck.instants import date_of
from teamdive.deck.models import Entry, Text
from teamdive.deck.places import is_place
from teamdive.deck.projection import home_at
from teamdive.trips.models import Trip
from teamdive.trips.selectors_boats import boats_of, name_on_boat

from . import rules_shore as rules
from .words_shore import LastHeard

log = logging.getLogger(__name__)

# A database that was busy for a moment is asked once more.
_TRIES = 2


class Log:
    """A trip's boat log as it reached the server: folded once for all that is asked of it."""

    heard = rules.Heard()
    last: LastHeard | None = None

    def __init__(self, trip_id: UUID, state: State | None, names: dict[str, str]) -> None:
        self.state = state
        self.known: Facts | None = None if state is None else facts(state)
        self.names = names
        rows = Entry.objects.filter(trip=trip_id).values_list("mark", "received_at")
        self.received: dict[str, datetime] = dict(rows) if state is not None else {}

    def name(self, person: str | None) -> str:
        """A person's name, or that nobody knows it here."""
        return self.names.get(person or "", "somebody whose name is only on the phone")


def log_of(trip: Trip) -> Log:
    """The boat log of a trip with the names that belong to it."""
    booked = {str(one.pk): name_on_boat(one) for one in trip.bookings.select_related("diver", "boat")}
    names = boats_of(trip) | booked
    for _ in range(_TRIES):
        try:
            return _read(trip, dict(names))
        except Exception:  # a log that cannot be read must never keep the alarm at back-by from being raised
            log.exception("the boat log of trip %s could not be read for those ashore", trip.pk)
    unread = Log(trip.pk, None, names)
    unread.heard = rules.Heard(unread=True)
    return unread


def _read(trip: Trip, names: dict[str, str]) -> Log:
    joined = Text.objects.filter(entry__trip=trip, entry__kind="joined", erased_at=None)
    for text in joined.select_related("entry"):
        names.setdefault(_subject_of(text.entry), text.text)
    read = Log(trip.pk, deck.state_of(trip.pk), names)
    read.heard, read.last = _heard(read), _last(read)
    return read


def _subject_of(entry: Entry) -> str:
    return str(json.loads(entry.body)["subject"])


def _heard(log: Log) -> rules.Heard:
    """What the boat log amounts to for those ashore."""
    state, known = log.state, log.known
    if state is None or known is None or not state.entries:
        return rules.Heard()
    told = {mark: _told_ms(state, entry, log) for mark, entry in state.entries.items()}
    newest = max(told.values())
    out = [told[mark] for mark, entry in state.entries.items() if entry.kind in ("departed", "down")]
    received = max(log.received.values(), default=None)
    not_met = _not_met(known, newest if received is None else round(received.timestamp() * 1000))
    return rules.Heard(
        newest_at=date_of(newest),
        received_at=received,
        home=_home(state, known, log),
        out_at=date_of(max(out)) if out else None,
        left=tuple(_left(state, known, log)),
        overdue=tuple(_overdue(state, known, log, newest)),
        not_met=not_met,
        not_up=frozenset(person for person in not_met if known.where[person].state != "up"),
    )


def _told_ms(state: State, entry: LogEntry, log: Log) -> int:
    """When an entry happened; never after it came, whatever its phone's clock said."""
    at = happened(state, entry)
    received = log.received.get(entry.mark)
    return at if received is None else min(at, round(received.timestamp() * 1000))


def _home(state: State, known: Facts, log: Log) -> rules.Said | None:
    """The end of the trip as the log has it: only with everyone accounted for by then and since."""
    if home_at(state, known) is None:
        return None

    def told(claim: Claim) -> int:
        received = log.received.get(claim.entry.mark)
        return claim.at if received is None else min(claim.at, round(received.timestamp() * 1000))

    last = max(decided(state, "trip_ended"), key=told)
    # A phone whose clock is fast has not ended what began after its word had come.
    if any(told(claim) > told(last) for kind in ("departed", "down") for claim in decided(state, kind)):
        return None
    return rules.Said(
        rules.HOME, log.received.get(last.entry.mark, date_of(last.at)), log.name(last.entry.by), log=True
    )


def _not_met(known: Facts, now: int) -> frozenset[str]:
    """Who is not accounted for, and not under water within their time at `now` (ms)."""
    within = {
        person for person, due in known.due.items() if due.overdue_at is not None and due.overdue_at > now
    }
    return frozenset(
        person for person, place in known.where.items() if not place.accounted_for and person not in within
    )


def _left(state: State, known: Facts, log: Log) -> Iterable[rules.Trouble]:
    """Who was left at a site and is missing still; a count at the dock that did not come out right is none. Of several
    boats each leaves its own people alone: whoever is down from another one is not left.

    From the departures themselves: that two people looked at the question brings nobody back.
    """
    found: dict[str, rules.Trouble] = {}
    for claim in sorted(decided(state, "departed"), key=lambda claim: (claim.at, claim.entry.mark)):
        if claim.data.get("place") != "site":
            continue
        missing = [
            person
            for person, place in where_at(known, claim.at).items()
            if not place.accounted_for and not _met_since(known, person, claim.at)
        ]
        for person in left_behind(known.afloat, state, claim.entry, claim.at, missing):
            if person not in found:
                left = log.received.get(claim.entry.mark, date_of(claim.at))
                found[person] = rules.Trouble(person, _known_of(state, person, claim.at, log, left), left)
    return list(found.values())


def _known_of(state: State, person: str, until: int, log: Log, since: datetime) -> datetime:
    """Since when the server knows what tells it of somebody up to `until` (ms), not before `since`: another phone's
    entries and corrections come later, and what was said before they came answers nothing of them."""
    theirs = about(state, person)
    ids = {entry.id for entry in theirs}
    told = [entry for entry in theirs if happened(state, entry) <= until]
    for correction in state.by_kind.get("correction", ()):
        if any(root.id in ids for root in roots(state, correction)):
            told.append(correction)
    return max([since, *(log.received[entry.mark] for entry in told if entry.mark in log.received)])


def _met_since(known: Facts, person: str, instant: int) -> bool:
    """Whether somebody missing at `instant` (ms) was accounted for later, also when they are away again by now."""
    if known.where[person].accounted_for:
        return True
    signs, attempts = known.signs[person], known.attempts[person]
    moments = {max(sign.claim.at, sign.not_before) for sign in signs}
    return any(
        presence(signs, attempts, until=moment).accounted_for for moment in moments if moment > instant
    )


def _overdue(state: State, known: Facts, log: Log, newest: int) -> Iterable[rules.Trouble]:
    """Who was down and overdue for as long again as the club waits, when the newest entry was made."""
    again_ms = (state.snapshot.settings.overdue_after_min or 0) * 60_000
    for person, due in sorted(known.due.items()):
        if due.overdue_at is None or newest < due.overdue_at + again_ms:
            continue
        late = due.overdue_at + again_ms
        came = [
            log.received[entry.mark]
            for entry in state.entries.values()
            if entry.mark in log.received and happened(state, entry) >= late
        ]
        since = min(came, default=date_of(newest))
        yield rules.Trouble(person, _known_of(state, person, late, log, since), since)


def _last(log: Log) -> LastHeard | None:
    if log.state is None or not log.state.entries:
        return None
    state = log.state
    told = [(happened(state, entry), entry) for entry in state.entries.values()]
    spoken = [pair for pair in told if pair[1].kind != "clock_compared"] or told
    at, entry = max(spoken, key=lambda pair: (pair[0], pair[1].mark))
    fixes = [pair for pair in told if is_place(pair[1].data.get("fix"))]
    fixed_at, fixed = max(fixes, key=lambda pair: (pair[0], pair[1].mark), default=(0, None))
    return LastHeard(
        kind=entry.kind,
        boat=log.names.get(str(entry.data.get("boat", "")), ""),
        place=str(entry.data.get("place", "")),
        at=date_of(at),
        received_at=log.received.get(entry.mark, date_of(at)),
        position="" if fixed is None else position_words(fixed.data["fix"]),
        position_at=None if fixed is None else date_of(fixed_at),
    )
