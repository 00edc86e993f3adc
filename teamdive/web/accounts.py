"""Accounts are made by a club for its members; nobody signs up from outside."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class MembersOnly(DefaultAccountAdapter):
    """allauth's adapter with sign-up closed."""

    def is_open_for_signup(self, request: HttpRequest) -> Any:
        """Always closed: an organiser adds members."""
        return False
