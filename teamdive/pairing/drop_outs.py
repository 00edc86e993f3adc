"""What one drop-out does to a day: who loses the dive, who dives with somebody else, what stays."""

from __future__ import annotations

from dataclasses import dataclass, replace

from teamdive.pairing.case import Case
from teamdive.pairing.model import Wish, listed
from teamdive.pairing.partition import Found, Search, find, musts
from teamdive.pairing.pricing import Pricing


@dataclass(frozen=True)
class DropOut:
    """The day solved again without `diver`, with the fewest changes.

    `loses` had a place and have none; `gains` had none and have one; `teams` are those that were not there
    before; `moved` are the other divers whose team changed, those who lost theirs included.
    """

    diver: str
    loses: tuple[str, ...]
    gains: tuple[str, ...]
    teams: tuple[tuple[str, ...], ...]
    moved: tuple[str, ...]
    message: str


def without(pricing: Pricing, found: Found, name: str, search: Search) -> DropOut:
    """The fewest changes to `found` when this diver sits out; as many as can be are placed."""
    before = {team.divers for team in found.teams}
    case, same = _case_without(pricing.case, name)
    case = replace(case, announced=tuple(sorted(before)), least_change=True)
    later = Pricing(case, pricing.gas_of, (*pricing.out, name), pricing if same else None)
    again = find(later, musts(case), search)
    after = set() if again is None else {team.divers for team in again.teams}
    had = {member for team in before for member in team} - {name}
    has = {member for team in after for member in team}
    teams = tuple(sorted(after - before))
    moved = {member for team in teams for member in team} | (had - has)
    loses, gains = tuple(sorted(had - has)), tuple(sorted(has - had))
    said = _said(name, teams, loses, bool(after & before))
    return DropOut(name, loses, gains, teams, tuple(sorted(moved)), said)


def _case_without(case: Case, name: str) -> tuple[Case, bool]:
    """The case once this diver is gone, whose wishes and fixed team go too, and whether all prices stay."""
    wishes = []
    for wish in case.wishes:
        others = tuple(one for one in wish.divers if one != name)
        if len(others) > 1:
            wishes.append(Wish(wish.kind, others, wish.strength))
    locked = tuple(team for team in case.locked if name not in team)
    same = tuple(wishes) == case.wishes and locked == case.locked
    return replace(case, wishes=tuple(wishes), locked=locked), same


def _said(name: str, teams: tuple[tuple[str, ...], ...], loses: tuple[str, ...], stay: bool) -> str:
    parts = [f"{listed(team)} dive together" for team in teams]
    if loses:
        parts.append(f"{listed(loses)} {'loses' if len(loses) == 1 else 'lose'} the dive")
    if stay:
        parts.append("the rest stays" if parts else "the other teams stay")
    return f"If {name} drops out: {'; '.join(parts) or 'nobody else is affected'}."
