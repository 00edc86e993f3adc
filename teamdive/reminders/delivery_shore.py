"""Telling somebody ashore on every channel they have. A channel that fails keeps none of the others."""

from datetime import datetime
from uuid import UUID

from django.conf import settings

from teamdive.trips.selectors_shore import account_of, plan_of

from . import channels, mail, rules_shore, selectors_shore, words_shore
from .models import Reminder
from .rules import ALARM


class NotReached(Exception):
    """No channel of this contact took the call."""


def tell(reminder: Reminder, now: datetime) -> tuple[str, UUID | None, str]:
    """Tell a contact: returns the text, the account whose inbox it belongs into, and what went wrong on the way.

    What got through anywhere is told: a mail server that is down must not keep a message out of the inbox, and the next
    call of an alarm tries every channel again. Raises NotReached.
    """
    contact = reminder.contact
    plan = plan_of(reminder.trip)
    if contact is None or plan is None:
        raise NotReached("there is no such contact")
    page = selectors_shore.page(plan.trip, plan, now)
    # In the app the link stands beside the message.
    inside, text = (_text(reminder, page, to) for to in ("", link(selectors_shore.token_of(contact))))
    user = account_of(contact)
    reached = user is not None
    failed = []
    if contact.email:
        try:
            mail.send(
                key=reminder.pk,
                to=contact.email,
                subject=words_shore.subject_of(reminder.kind, page),
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


def _text(reminder: Reminder, page: words_shore.Page, address: str) -> str:
    about, number = None, 0
    if reminder.kind in rules_shore.ALARMS:
        about = (reminder.kind, rules_shore.since_of(reminder.subject))
        number = int(reminder.subject.rpartition(" ")[2])
    return words_shore.text_of(reminder.kind, page, about=about, number=number, link=address)


def link(token: str) -> str:
    """The address under which a contact reads the float plan."""
    return f"{settings.ADDRESS}/ashore/{token}"


def said(error: Exception) -> str:
    """An error as it is kept beside the row: its kind and its text; of our own, which people read, the text alone."""
    kind = "" if isinstance(error, NotReached | mail.NoMail) else f"{type(error).__name__}: "
    return f"{kind}{error}"[:500]
