"""Who may be told, and who may read which rows of a trip's status."""

from typing import Any

import rules as predicates

from . import selectors
from .models import Reminder


@predicates.predicate
def is_recipient(user: Any, reminder: Reminder | None) -> bool:
    """The reminder is for this user, by what the records say at this moment."""
    return reminder is not None and user.pk in selectors.recipients([reminder]).values()


predicates.add_perm("reminders.receive", is_recipient)
