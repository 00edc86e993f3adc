"""The overdue sound: quieted on one phone for a while it comes back; the state never leaves overdue for it."""

from collections.abc import Mapping
from typing import Any

from teamdive.boatlog.claims import Claim, decided, happened
from teamdive.boatlog.fold import State

# Before due: our own choice, for clubs that set none. It makes no sound.
DUE_SOON_MIN = 5


def due_soon_ms(state: State) -> int:
    """How long before it is due a team is due soon."""
    minutes = state.snapshot.settings.due_soon_min
    return (DUE_SOON_MIN if minutes is None else minutes) * 60_000


def quieted(state: State, team: str) -> dict[str, int]:
    """Until when (ms) each phone keeps quiet about a team; never longer than the club lets it."""
    longest = state.snapshot.settings.quiet_min
    found: dict[str, int] = {}
    for claim in decided(state, "overdue_quieted"):
        if claim.entry.subject == team:
            until = quiet_until(state, claim)
            found[claim.entry.device] = until if longest is None else min(until, claim.at + longest * 60_000)
    return dict(sorted(found.items()))


def quiet_until(state: State, claim: Claim) -> int:
    """Until when (ms) a phone was told to keep quiet: said and heard by one phone, so by its own clock put right."""
    until: int = claim.data["until"]
    return until + happened(state, claim.entry) - claim.entry.at


def must_sound(shown: Mapping[str, Any], team: str, device: str, now: int) -> bool:
    """Whether this phone has to sound for a team of a view: until they are seen or the emergency plan runs."""
    late: Mapping[str, Any] = shown["teams"][team]
    return late["status"] == "overdue" and not shown["emergency"] and late["quieted"].get(device, now) <= now
