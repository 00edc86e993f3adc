"""What is read for the duty ashore: what reached the server of the boat log, how the duty stands, the float plan."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from uuid import UUID

from django.core import signing
from django.db.models import F, Q

from teamdive.boatlog.boats import about_boats, left_behind
from teamdive.boatlog.claims import decided, happened
from teamdive.boatlog.entries import Entry as LogEntry
from teamdive.boatlog.facts import Facts, facts, where_at
from teamdive.boatlog.fold import State
from teamdive.boatlog.presence import ASHORE
from teamdive.boatlog.radio import position_words
from teamdive.deck import selectors as deck
from teamdive.deck.models import Entry, Text
from teamdive.deck.projection import home_at
from teamdive.pairing.model import listed
from teamdive.trips.models import FloatPlan, ShoreContact, Trip
from teamdive.trips.selectors_boats import boat_names, boats_of, name_on_boat
from teamdive.trips.selectors_shore import contacts_of

from . import rules_shore as rules
from .models import Reminder
from .rules import SENT
from .words_shore import LastHeard, Page, Place, Reached

log = logging.getLogger(__name__)

_SALT = "teamdive.float_plan"
_LAST_MS = round(datetime(9999, 1, 1, tzinfo=UTC).timestamp() * 1000)
# How long a link still shows the plan once the duty is over: our own choice.
LINK_LASTS = timedelta(hours=48)

# A look that another one overtook is seconds old. Further ahead the server's clock was put back: then now counts, for
# an alarm must not wait until a clock that was wrong is reached.
OVERTAKEN = timedelta(minutes=5)


def due(now: datetime) -> list[UUID]:
    """The trips whose duty ashore changed since it was last looked at, or that time alone changes by now."""
    plans = FloatPlan.objects.filter(trip__state=Trip.State.READY)
    stale = (
        Q(trip__shore_watch=None)
        | Q(trip__shore_watch__looked_at__gt=now + OVERTAKEN)
        | Q(trip__shore_watch__look_again_at__lte=now)
        # A look that failed is due again at its own time, whatever changed.
        | (Q(trip__shore_watch__attempts=0) & ~Q(trip__shore_watch__plan_changed_at=F("changed_at")))
    )
    return list(plans.filter(stale).values_list("trip_id", flat=True))


def duty(trip: Trip, plan: FloatPlan, boat: Log | None = None) -> rules.Duty:
    """The duty ashore as the rule reads it."""
    club = trip.club
    contacts = contacts_of(plan)
    told = Reminder.objects.filter(trip=trip, contact__isnull=False, kind__in=rules.ALARMS, state=SENT)
    return rules.Duty(
        ready=trip.state == Trip.State.READY,
        back_by=plan.back_by,
        version=plan.version,
        contacts=tuple(contact.pk for contact in contacts),
        # A trip cannot be made ready without both; a club that takes them away later is not left without an alarm.
        every=timedelta(minutes=club.shore_call_every_min or 1),
        calls=club.shore_calls_before_next or 1,
        said=tuple(rules.Said(one.what, one.at, one.by) for one in plan.said.all()),
        heard=(boat if boat is not None else log_of(trip)).heard,
        told=frozenset(
            (contact, kind, rules.since_of(subject))
            for contact, kind, subject in told.values_list("contact_id", "kind", "subject")
            if contact is not None
        ),
        homes=_homes(trip.pk),
    )


def _homes(trip_id: UUID) -> int:
    sent = Reminder.objects.filter(trip=trip_id, kind=rules.ALL_HOME, state=SENT)
    return len(set(sent.values_list("subject", flat=True)))


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
    try:
        for text in Text.objects.filter(entry__trip=trip, entry__kind="joined", erased_at=None):
            names.setdefault(_subject_of(text.entry), text.text)
        read = Log(trip.pk, deck.state_of(trip.pk), names)
        read.heard, read.last = _heard(read), _last(read)
        return read
    except Exception:  # a log that cannot be read must never keep the alarm at back-by from being raised
        log.exception("the boat log of trip %s could not be read for those ashore", trip.pk)
        return Log(trip.pk, None, names)


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
    return rules.Heard(
        newest_at=_instant(newest),
        received_at=max(log.received.values(), default=None),
        home=_home(state, known, log),
        out_at=_instant(max(out)) if out else None,
        left=_left(state, known, log),
        overdue=_overdue(state, known, log, newest),
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
    last = max(decided(state, "trip_ended"), key=lambda claim: claim.at)
    return rules.Said(
        rules.HOME, log.received.get(last.entry.mark, _instant(last.at)), log.name(last.entry.by), log=True
    )


def _left(state: State, known: Facts, log: Log) -> rules.Trouble | None:
    """Who was left at a site and is missing still; a count at the dock that did not come out right is none. Of several
    boats each leaves its own people alone: whoever is down from another one is not left.

    From the departures themselves: that two people looked at the question brings nobody back.
    """
    for claim in sorted(decided(state, "departed"), key=lambda claim: (claim.at, claim.entry.mark)):
        if claim.data.get("place") != "site":
            continue
        missing = [
            person
            for person, place in where_at(known, claim.at).items()
            if not (place.accounted_for or known.where[person].accounted_for)
        ]
        left = left_behind(known.afloat, state, claim.entry, claim.at, missing)
        if left:
            return rules.Trouble(tuple(left), log.received.get(claim.entry.mark, _instant(claim.at)))
    return None


def _overdue(state: State, known: Facts, log: Log, newest: int) -> rules.Trouble | None:
    """Who was down and overdue for as long again as the club waits, when the newest entry was made."""
    again_ms = (state.snapshot.settings.overdue_after_min or 0) * 60_000
    late = {
        person: due.overdue_at + again_ms
        for person, due in known.due.items()
        if due.overdue_at is not None and newest >= due.overdue_at + again_ms
    }
    if not late:
        return None
    first = min(late.values())
    came = [
        log.received[entry.mark]
        for entry in state.entries.values()
        if entry.mark in log.received and happened(state, entry) >= first
    ]
    return rules.Trouble(tuple(sorted(late)), min(came))


def page(trip: Trip, plan: FloatPlan, now: datetime) -> Page:
    """Everything that somebody ashore reads, as plain values."""
    log = log_of(trip)
    known = duty(trip, plan, log)
    club = trip.club
    return Page(
        club=club.name,
        trip=trip.name,
        boat=listed(boat_names(trip)),
        time_zone=club.time_zone,
        leaves_at=trip.starts_at,
        back_by=plan.back_by,
        people=tuple(sorted(_aboard(trip, log))),
        leaders=tuple(_leaders(trip)),
        places=tuple(_places(trip)),
        rescue_contact=club.rescue_contact,
        call_sign=club.call_sign,
        if_not_heard=plan.if_not_heard,
        contacts=tuple((one.name, one.phone) for one in contacts_of(plan)),
        last=log.last,
        stands=rules.stands(known, now),
        again=known.homes > 0,
        home=rules.home(known),
        handed_over=rules.handed_over(known),
        alarms=tuple(
            (alarm.kind, alarm.since, tuple(log.name(p) for p in alarm.people), alarm.acknowledged)
            for alarm in rules.alarms(known, now)
        ),
        missing=_missing(log),
        call_every_min=club.shore_call_every_min,
        several=len(boat_names(trip)) > 1,
    )


def _aboard(trip: Trip, log: Log) -> Iterable[str]:
    if log.known is None:
        return [log.name(str(one.pk)) for one in trip.bookings.filter(cancelled_at=None)]
    return [log.name(person) for person, place in log.known.where.items() if place.state != ASHORE]


def _missing(log: Log) -> tuple[str, ...]:
    """Who is not accounted for on a boat that has been counted and left: before, nobody has been met yet."""
    state, known = log.state, log.known
    if state is None or known is None or not state.by_kind.get("departed"):
        return ()
    missing = [person for person, place in known.where.items() if not place.accounted_for]
    if known.afloat.boats:
        left = frozenset().union(*(about_boats(known.afloat, claim) for claim in decided(state, "departed")))
        missing = [person for person in missing if not left.isdisjoint(known.afloat.now[person])]
    return tuple(sorted(log.name(person) for person in missing))


def _leaders(trip: Trip) -> Iterable[tuple[str, str]]:
    """Who leads and can be called: a name without a number is of no use here."""
    leading = trip.bookings.filter(role__in=("leader", "organiser"), cancelled_at=None)
    for booking in leading.select_related("diver"):
        if booking.diver is not None and booking.diver.phone:
            yield booking.display_name, booking.diver.phone


def _places(trip: Trip) -> Iterable[Place]:
    for dive in trip.dives.select_related("site").order_by("number"):
        site = dive.site
        yield Place(dive.number, site.name if site else "", site.position if site else "", dive.planned_at)


def _last(log: Log) -> LastHeard | None:
    if log.state is None or not log.state.entries:
        return None
    state = log.state
    told = [(happened(state, entry), entry) for entry in state.entries.values()]
    spoken = [pair for pair in told if pair[1].kind != "clock_compared"] or told
    at, entry = max(spoken, key=lambda pair: (pair[0], pair[1].mark))
    fixes = [pair for pair in told if isinstance(pair[1].data.get("fix"), dict)]
    fixed_at, fixed = max(fixes, key=lambda pair: (pair[0], pair[1].mark), default=(0, None))
    return LastHeard(
        kind=entry.kind,
        boat=log.names.get(str(entry.data.get("boat", "")), ""),
        place=str(entry.data.get("place", "")),
        at=_instant(at),
        received_at=log.received.get(entry.mark, _instant(at)),
        position="" if fixed is None else position_words(fixed.data["fix"]),
        position_at=None if fixed is None else _instant(fixed_at),
    )


def reached(plan: FloatPlan) -> list[Reached]:
    """For the leader: what was sent to each contact, the latest first, with what went wrong."""
    rows = Reminder.objects.filter(contact__plan=plan).exclude(state="cancelled")
    return [
        Reached(row.contact_id, row.kind, row.state, row.finished_at or row.due_at, row.last_error)
        for row in rows.order_by("-due_at", "-id")[:100]
    ]


def token_of(contact: ShoreContact) -> str:
    """The secret part of a contact's link: signed, and good for this contact alone."""
    return signing.Signer(salt=_SALT, sep=".").sign(contact.pk.hex)


def contact_by(token: str, now: datetime) -> ShoreContact | None:
    """The contact that a link was made for; None: forged, taken off, or two days after the end of the duty."""
    try:
        contact_id = UUID(signing.Signer(salt=_SALT, sep=".").unsign(token))
    except (signing.BadSignature, ValueError):
        return None
    found = ShoreContact.objects.select_related("plan__trip__club", "plan__trip__boat", "diver")
    contact = found.filter(pk=contact_id, removed_at=None).first()
    if contact is None:
        return None
    plan = contact.plan
    known = duty(plan.trip, plan)
    ended = rules.home(known) or rules.handed_over(known)
    if plan.back_by is None or (ended is not None and now > max(ended.at, plan.back_by) + LINK_LASTS):
        return None
    return contact


def _instant(ms: int) -> datetime:
    """An entry may tell any instant, also one that no calendar has: the last that one has stands for it."""
    return datetime.fromtimestamp(max(0, min(ms, _LAST_MS)) / 1000, UTC)
