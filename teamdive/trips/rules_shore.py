"""Decisions about a float plan, from plain values: its words, and what keeps a trip with one from being ready. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from .rules import Reason

HOME = "home"
NOT_HOME = "not_home"
ACKNOWLEDGED = "acknowledged"
HANDED_OVER = "handed_over"
SAYINGS = (HOME, NOT_HOME, ACKNOWLEDGED, HANDED_OVER)

MOST_CONTACTS = 8
LONGEST_WORDS = 1000


@dataclass(frozen=True)
class Ashore:
    """What `not_ready` judges of a float plan: one pair a contact, of the name and whether anything reaches them."""

    back_by: datetime | None
    starts_at: datetime
    contacts: tuple[tuple[str, bool], ...]
    call_every_min: int | None
    calls_before_next: int | None


def not_ready(plan: Ashore | None) -> Iterable[Reason]:
    """Why a trip with a back-by time cannot leave. Without one it may: then nobody ashore is alarmed, as it says."""
    if plan is None or plan.back_by is None:
        return
    if plan.back_by <= plan.starts_at:
        yield Reason(
            "back_by_before_start",
            "The boat would have to be back before it leaves.",
            "Move the back-by time or the start.",
            "/float_plan/back_by",
        )
    if not plan.contacts:
        yield Reason(
            "nobody_ashore",
            "A back-by time is set, and nobody ashore is told of it.",
            "Name somebody ashore, or take the back-by time away: then nobody is alarmed.",
            "/float_plan/contacts",
        )
    for number, (name, reached) in enumerate(plan.contacts):
        if not reached:
            yield Reason(
                "contact_not_reached",
                f"Nothing reaches {name}: there is no e-mail address and no account.",
                "Give an e-mail address, or take somebody of the club who signs in.",
                f"/float_plan/contacts/{number}",
            )
    if plan.call_every_min is None or plan.calls_before_next is None:
        yield Reason(
            "shore_calls_not_set",
            "The club has not said how often the alarm ashore calls, and when it goes on to the next person.",
            "Set both in the club's settings. No figure is published; your club decides it.",
            "/club/shore_call_every_min",
        )
