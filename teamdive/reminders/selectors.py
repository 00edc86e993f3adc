"""What is read: the boat log's heads, what is wanted of a trip, who may be told, the inbox, the status."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.db.models import F, QuerySet

from teamdive.deck import selectors as deck
from teamdive.deck.models import DiverStatus
from teamdive.people.models import Membership, User
from teamdive.trips.models import Booking, Trip

from . import rules
from .models import InboxMessage, Reminder, Seen

Reminders = QuerySet[Reminder]
PAGE = 50


def head(trip_id: UUID) -> int:
    """The last position of a trip's boat log."""
    return deck.log_of(trip_id).position


def behind(now: datetime) -> list[UUID]:
    """The trips whose boat log is not where it was last taken in, leaving out what was put off until later."""
    seen = {row.trip_id: row for row in Seen.objects.all()}
    found = []
    for trip_id, position in deck.heads().items():
        row = seen.get(trip_id)
        if row is None or (row.position != position and (row.try_at is None or row.try_at <= now)):
            found.append(trip_id)
    return found


def ought(trip: Trip, now: datetime) -> rules.Ought:
    """What the trip's boat log asks for; nothing before it has a snapshot."""
    state = deck.state_of(trip.pk)
    if state is None:
        return rules.Ought((), frozenset())
    divers = {
        str(person): diver
        for person, diver in Booking.objects.filter(trip=trip, diver__isnull=False).values_list(
            "pk", "diver_id"
        )
    }
    return rules.ought(state, divers, int(now.timestamp() * 1000))


def statuses(trip: Trip) -> QuerySet[DiverStatus]:
    """What the boat log was last found to say of each diver."""
    return DiverStatus.objects.filter(trip=trip).select_related("person__diver").order_by("person")


def seen(trip: Trip) -> Seen | None:
    """How far the trip's boat log was taken in; None: not at all yet."""
    return Seen.objects.filter(pk=trip.pk).first()


def standing(trip: Trip) -> list[rules.Standing]:
    """The trip's reminders as the rule reads them."""
    return [
        rules.Standing(row.kind, row.diver_id, row.subject, row.due_at, row.facts, row.state, row.stands)
        for row in Reminder.objects.filter(trip=trip, diver__isnull=False)
        if row.diver_id is not None
    ]


def recipients(reminders: Iterable[Reminder]) -> dict[tuple[UUID, UUID], UUID]:
    """Who may be told now, by (trip, diver): the diver's active account, a member of the club, on the trip."""
    rows = list(reminders)
    return {
        (trip, diver): user
        for trip, diver, user in Booking.objects.filter(
            trip__in={row.trip_id for row in rows},
            diver__in={row.diver_id for row in rows},
            cancelled_at=None,
            diver__user__is_active=True,
            diver__user__memberships__club=F("diver__club"),
        ).values_list("trip_id", "diver_id", "diver__user_id")
    }


def why_nobody(reminder: Reminder) -> str:
    """Why nobody may be told of a reminder, for the leader who can still say it."""
    diver = reminder.diver
    if diver is None or diver.user is None:
        return "This diver has no account: tell them yourself."
    if not diver.user.is_active:
        return "This diver's account is closed."
    if not Membership.objects.filter(user=diver.user, club=diver.club).exists():
        return "This diver is no longer a member of the club."
    if not Booking.objects.filter(trip=reminder.trip_id, diver=diver, cancelled_at=None).exists():
        return "This diver is no longer on the trip."
    return "This diver may not be told."


def inbox(user: User, *, unread: bool = False, before: UUID | None = None) -> list[InboxMessage]:
    """A page of this user's own messages, newest first; one more than a page where there is another."""
    mine = InboxMessage.objects.filter(user=user).select_related("reminder__trip", "reminder__contact")
    if unread:
        mine = mine.filter(read_at=None)
    if before is not None and (last := InboxMessage.objects.filter(user=user, pk=before).first()):
        older = mine.filter(sent_at__lt=last.sent_at)
        mine = older | mine.filter(sent_at=last.sent_at, pk__lt=last.pk)
    return list(mine.order_by("-sent_at", "-id")[: PAGE + 1])


def unread(user: User) -> int:
    """How many of this user's messages are unread."""
    return InboxMessage.objects.filter(user=user, read_at=None).count()
