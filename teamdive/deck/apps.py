"""The room's place in Django."""

from django.apps import AppConfig


class DeckConfig(AppConfig):
    """Devices, and the server's copy of every boat log."""

    name = "teamdive.deck"
    label = "deck"
