"""Who may do what to which record: predicates registered by name; whatever is not named is refused."""

from __future__ import annotations

from typing import Any

import rules

from .models import Club, Diver, ImportedSheet
from .rules import role_may
from .selectors import role_of


def may(user: Any, club: Club, what: str) -> bool:
    """Whether the user's role in this club allows `what`."""
    return user.is_authenticated and role_may(role_of(user, club), what)


def _club_of(thing: Any) -> Club:
    return thing if isinstance(thing, Club) else thing.club


def by_role(what: str) -> Any:
    """A predicate that asks the role of the user in the club of the object."""

    @rules.predicate(name=f"may_{what}")
    def judge(user: Any, thing: Any) -> bool:
        return thing is not None and may(user, _club_of(thing), what)

    return judge


@rules.predicate
def is_own_record(user: Any, diver: Diver | None) -> bool:
    return diver is not None and diver.user_id is not None and diver.user_id == user.pk


@rules.predicate
def is_member(user: Any, club: Club | ImportedSheet | None) -> bool:
    return club is not None and role_of(user, _club_of(club)) is not None


rules.add_perm("people.read_club", is_member)
rules.add_perm("people.manage_club", by_role("manage_club"))
rules.add_perm("people.read_divers", by_role("read_divers"))
rules.add_perm("people.read_diver", is_own_record | by_role("read_divers"))
rules.add_perm("people.change_diver", by_role("change_divers"))
rules.add_perm("people.import_roster", by_role("import_roster"))
rules.add_perm("people.add_diver", by_role("change_divers"))
rules.add_perm("people.manage_accounts", by_role("manage_accounts"))
