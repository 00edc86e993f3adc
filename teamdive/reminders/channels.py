"""Ways to tell a person outside teamdive. The inbox is none of them: it is written with the reminder itself.

An outside channel may be asked twice for one reminder (a worker killed after sending and before saying so,
an answer that was lost): every call carries the reminder's id as `key`, the same on each resend, for the
receiver to drop what it has shown.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol
from uuid import UUID

from django.conf import settings
from django.utils.module_loading import import_string


@dataclass(frozen=True)
class Call:
    """One call to one person: `key` is the reminder's id, `call` the class (alarm or reminder)."""

    key: UUID
    user: UUID
    call: str
    kind: str
    text: str
    due_at: datetime


class Channel(Protocol):
    """Sends one call, or raises; it must end well within the lease."""

    def send(self, call: Call) -> None:
        """Tell the person; safe to repeat with the same key."""


def configured() -> bool:
    """Whether this installation has outside channels."""
    return bool(getattr(settings, "TEAMDIVE_CHANNELS", ()))


def outside() -> Iterator[Channel]:
    """The channels of the setting TEAMDIVE_CHANNELS (dotted paths of classes); none by default."""
    for path in getattr(settings, "TEAMDIVE_CHANNELS", ()):
        yield import_string(path)()
