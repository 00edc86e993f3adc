"""Telling somebody ashore on every channel they have. A channel that fails keeps none of the others."""

from datetime import datetime
from uuid import UUID

from django.conf import settings

from teamdive.people.models import User
from teamdive.trips.selectors_shore import account_of, plan_of

from . import channels, mail, rules_shore_calls, selectors_shore, words_shore
from .models import Reminder
from .rules import ALARM


class NotReached(Exception):
    """No channel of this contact took the call."""


def tell(reminder: Reminder, now: datetime) -> tuple[str, UUID | None, str] | None:
    """Tell a contact, or a leader of the club in the app: returns the text, the account whose inbox it belongs into,
    and what went wrong on the way; None: it is an alarm, and none is open any more.

    What got through anywhere is told: a mail server that is down must not keep a message out of the inbox, and the next
    call of an alarm tries every channel again. Raises NotReached.
    """
    contact = reminder.contact
    plan = plan_of(reminder.trip)
    if plan is None:
        raise NotReached("there is no such float plan")
    page = selectors_shore.page(plan.trip, plan, now)
    if reminder.call == ALARM and not page.alarms:
        return None
    if contact is None:
        user, address = _leader(reminder), ""
    else:
        user, address = account_of(contact), ""
        # The page of who was taken off is closed.
        if contact.removed_at is None:
            address = link(selectors_shore.token_of(contact))
    # In the app the link stands beside the message.
    inside, text = (_text(reminder, page, to) for to in ("", address))
    reached = user is not None
    failed = []
    if contact is not None and contact.email:
        try:
            mail.send(
                key=reminder.pk,
                to=contact.email,
                subject=words_shore.subject_of(reminder.kind, page, waits=contact.removed_at is None),
                text=text,
                urgent=reminder.call == ALARM,
            )
            reached = True
        except Exception as error:  # whatever the mail server throws must not stop the other channels
            failed.append(f"mail: {said(error)}")
    if user is not None:
        call = channels.Call(reminder.pk, user.pk, reminder.call, reminder.kind, text, reminder.due_at)
        for channel in channels.outside():
            try:
                channel.send(call)
            except Exception as error:
                failed.append(f"{type(channel).__name__}: {said(error)}")
    if not reached:
        raise NotReached("; ".join(failed) or "nothing reaches this person: no e-mail address and no account")
    return inside, None if user is None else user.pk, "; ".join(failed)


def _leader(reminder: Reminder) -> User:
    if reminder.user is None or reminder.user_id not in selectors_shore.leaders_of(reminder.trip.club):
        raise NotReached("this account leads in the club no longer")
    return reminder.user


def _text(reminder: Reminder, page: words_shore.Page, address: str) -> str:
    number = rules_shore_calls.number_of(reminder.subject) if reminder.call == ALARM else 0
    waits = reminder.contact is not None and reminder.contact.removed_at is None
    return words_shore.text_of(reminder.kind, page, number=number, link=address, waits=waits)


def link(token: str) -> str:
    """The address under which a contact reads the float plan."""
    return f"{settings.ADDRESS}/ashore/{token}"


def desk_link(trip_id: UUID) -> str:
    """The address under which a leader of the club takes an alarm."""
    return f"{settings.ADDRESS}/organise/trips/{trip_id}/shore"


def said(error: Exception) -> str:
    """An error as it is kept beside the row: its kind and its text; of our own, which people read, the text alone."""
    kind = "" if isinstance(error, NotReached | mail.NoMail) else f"{type(error).__name__}: "
    return f"{kind}{error}"[:500]
