"""Who stays out of the water while anybody dives: boat handler, lookout, oxygen, standby."""

from __future__ import annotations

from teamdive.pairing.case import Case
from teamdive.pairing.model import COVER_ROLES, Person, Reason, listed

COVER_NAMES = {
    "boat_handler": "boat handler",
    "lookout": "lookout",
    "oxygen": "someone able to give oxygen",
    "standby": "standby diver",
}


def surface_cover(person: Person, case: Case) -> Reason | None:
    """Where the club requires it, nobody dives before the cover at the surface is named."""
    lacking = cover_lacking(case)
    if case.policy.surface_cover != "required" or not lacking:
        return None
    message = f"Not everybody who stays out of the water is named: missing {listed(lacking)}."
    return Reason("surface_cover_missing", (person.id,), message, what=tuple(lacking))


def cover_lacking(case: Case) -> list[str]:
    """The roles at the surface that nobody has, or whose holder has another one that does not go with it."""
    found: list[str] = []
    for role in COVER_ROLES:
        holders = [name for one, name in case.cover if one == role]
        if not any(_may_hold(name, role, case) for name in holders):
            found.append(COVER_NAMES[role])
    return found


def _may_hold(name: str, role: str, case: Case) -> bool:
    others = {one for one, held in case.cover if held == name and one != role}
    return all(
        any(role in group and other in group for group in case.policy.cover_combined) for other in others
    )
