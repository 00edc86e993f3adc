"""The room's place in Django, and the one signal that shortens the wait for the next sweep."""

from typing import Any

from django.apps import AppConfig


class RemindersConfig(AppConfig):
    """Reminders and the inbox."""

    name = "teamdive.reminders"
    label = "reminders"

    def ready(self) -> None:
        """Listen for entries that were stored: a nudge for the worker, never the duty itself."""
        from teamdive.deck.signals import entries_stored

        entries_stored.connect(_nudge, dispatch_uid="reminders-nudge")


def _nudge(**_kwargs: Any) -> None:
    from teamdive.reminders import tasks

    tasks.nudge()
