"""What is read for the duty ashore: how it stands, the float plan as it is read, and whose link is whose."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from uuid import UUID

from django.core import signing
from django.db.models import F, Q, QuerySet

from teamdive.boatlog.boats import about_boats
from teamdive.boatlog.claims import decided
from teamdive.boatlog.presence import ASHORE
from teamdive.pairing.model import listed
from teamdive.people.models import Club, Membership
from teamdive.trips.models import FloatPlan, ShoreContact, Trip
from teamdive.trips.rules_shore import ERASED
from teamdive.trips.selectors_boats import boat_names
from teamdive.trips.selectors_shore import account_of, contacts_of

from . import rules_shore as rules
from . import words_shore as words
from .models import Reminder
from .rules import CANCELLED, SENT
from .selectors_shore_log import Log, log_of
from .words_shore import Page, Place, Reached

_SALT = "teamdive.float_plan"
# How long a link still shows the plan once the duty is over: our own choice.
LINK_LASTS = timedelta(hours=48)

# A look that another one overtook is seconds old. Further ahead the server's clock was put back: then now counts, for
# an alarm must not wait until a clock that was wrong is reached.
OVERTAKEN = timedelta(minutes=5)


def due(now: datetime) -> list[UUID]:
    """The trips whose duty ashore changed since it was last looked at, or that time alone changes by now."""
    plans = FloatPlan.objects.filter(trip__state=Trip.State.READY)
    grown = Q(trip__boat_log__last_position__gt=0) & ~Q(
        trip__shore_watch__position=F("trip__boat_log__last_position")
    )
    stale = (
        Q(trip__shore_watch=None)
        # A worker that ended between taking in a log and looking at it leaves the look to the next one.
        | (Q(trip__shore_watch__attempts=0) & grown)
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
    accounts = {account.pk: one.pk for one in contacts if (account := account_of(one)) is not None}
    return rules.Duty(
        ready=trip.state == Trip.State.READY,
        back_by=plan.back_by,
        version=plan.version,
        contacts=tuple(contact.pk for contact in contacts),
        # A trip cannot be made ready without both; a club that takes them away later is not left without an alarm.
        every=timedelta(minutes=club.shore_call_every_min or 1),
        calls=club.shore_calls_before_next or 1,
        said=tuple(_said(plan, accounts)),
        heard=(boat if boat is not None else log_of(trip)).heard,
        made=tuple(_made(trip)),
        leaders=tuple(user for user in leaders_of(club) if user not in accounts),
        written_at=plan.back_by_at,
        erased=frozenset(plan.contacts.filter(name=ERASED).values_list("pk", flat=True)),
    )


def leaders_of(club: Club) -> list[UUID]:
    """The accounts of who leads in a club or organises it, as it stands now."""
    roles = (Membership.Role.LEADER, Membership.Role.ORGANISER)
    leading = Membership.objects.filter(club=club, role__in=roles, user__is_active=True)
    return sorted(leading.values_list("user_id", flat=True))


def _said(plan: FloatPlan, accounts: Mapping[UUID, UUID]) -> Iterable[rules.Said]:
    for one in plan.said.select_related("contact"):
        # Whoever was taken off the list is called no more, so that they cannot have an alarm either.
        if one.what == rules.ACKNOWLEDGED and one.contact is not None and one.contact.removed_at is not None:
            continue
        to = one.contact_id or (None if one.user_id is None else accounts.get(one.user_id, one.user_id))
        yield rules.Said(one.what, one.at, one.by, to=to)


def _made(trip: Trip) -> Iterable[rules.Made]:
    rows = Reminder.objects.filter(trip=trip, diver=None).exclude(state=CANCELLED)
    for row in rows:
        to = row.contact_id or row.user_id
        if to is None:
            continue
        about = row.facts.get("about", row.kind if row.kind in rules.ALARMS else "")
        # Whoever is called hears of every open alarm, so that each of them was told.
        for kind, troubles in [(about, row.facts.get("troubles", ())), *row.facts.get("beside", ())]:
            yield rules.Made(
                to,
                row.kind,
                row.subject,
                row.made_at,
                row.finished_at if row.state == SENT else None,
                kind,
                tuple(rules.Trouble(person, datetime.fromisoformat(since)) for person, since in troubles),
            )


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
        again=bool(rules.told(known, rules.ALL_HOME)),
        home=rules.home(known, now),
        handed_over=rules.handed_over(known),
        alarms=tuple(
            words.Alarm(
                alarm.kind,
                alarm.since,
                tuple(log.name(person) for person in alarm.people),
                alarm.acknowledged,
                alarm.before,
            )
            for alarm in rules.alarms(known, now)
        ),
        missing=_missing(log),
        call_every_min=club.shore_call_every_min,
        first_calls=len(known.contacts) * known.calls,
        unread=known.heard.unread,
        told_otherwise=plan.told_otherwise_by,
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


def open_alarms(trips: QuerySet[Trip]) -> list[tuple[Trip, str]]:
    """Of these trips those whose alarm ashore is open, and how it stood when last looked at: raised, untaken or
    acknowledged. The oldest trip first."""
    found = trips.filter(shore_watch__stands__in=("raised", "untaken", "acknowledged"))
    ordered = found.select_related("shore_watch", "club").order_by("starts_at", "pk")
    return [(trip, trip.shore_watch.stands) for trip in ordered]


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
    if plan.back_by is None:
        return None
    ended = ended_by(known, now)
    return None if ended is not None and now > max(ended.at, plan.back_by) + LINK_LASTS else contact


def ended_by(duty: rules.Duty, now: datetime) -> rules.Said | None:
    """What ended the duty; None: it goes on."""
    stands = rules.stands(duty, now)
    if stands == "handed_over":
        return rules.handed_over(duty)
    return rules.home(duty, now) if stands == "home" else None
