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
# Those ashore are told another way than by this installation: said by whoever makes the plan, never by a contact.
TOLD_OTHERWISE = "told_otherwise"
ERASED = "(erased)"

MOST_CONTACTS = 8
LONGEST_WORDS = 1000


@dataclass(frozen=True)
class Ashore:
    """What `not_ready` judges of a float plan: one triple a contact, of the name, whether an address or an account is
    known of them, and whether this installation reaches them. `told_otherwise_by`: who said that they are told another
    way, "" for nobody. `aboard`: the places in `contacts` of those who are on the boat themselves."""

    back_by: datetime | None
    starts_at: datetime
    contacts: tuple[tuple[str, bool, bool], ...]
    call_every_min: int | None
    calls_before_next: int | None
    told_otherwise_by: str = ""
    aboard: frozenset[int] = frozenset()


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
    for number, (name, known, _) in enumerate(plan.contacts):
        if not known:
            yield Reason(
                "contact_not_reached",
                f"Nothing reaches {name}: there is no e-mail address and no account.",
                "Give an e-mail address, or take somebody of the club who signs in.",
                f"/float_plan/contacts/{number}",
            )
        if number in plan.aboard:
            yield Reason(
                "on_the_boat",
                f"{name} is on the boat, so that no alarm reaches them ashore.",
                "Name somebody who stays ashore.",
                f"/float_plan/contacts/{number}",
            )
    if needs_another_way(plan) and not plan.told_otherwise_by:
        yield Reason(
            "nobody_reached",
            "No alarm would reach anybody ashore: this installation sends no mail, and nobody of them has an account.",
            "Name somebody of the club who signs in, have a mail server set up, or say under your name that you tell "
            "them another way.",
            "/float_plan/told_otherwise",
        )
    if plan.call_every_min is None or plan.calls_before_next is None:
        yield Reason(
            "shore_calls_not_set",
            "The club has not said how often the alarm ashore calls, and when it goes on to the next person.",
            "Set both in the club's settings. No figure is published; your club decides it.",
            "/club/shore_call_every_min",
        )


def needs_another_way(plan: Ashore) -> bool:
    """Whether this installation reaches none of those ashore, though they could be reached by another."""
    everyone = plan.contacts
    return bool(everyone) and all(known for _, known, _ in everyone) and not any(now for *_, now in everyone)
