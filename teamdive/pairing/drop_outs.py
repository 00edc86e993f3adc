"""What one drop-out does to a day: who loses the dive, who dives with somebody else, what stays."""

from __future__ import annotations

from dataclasses import dataclass, replace

from teamdive.pairing.case import Case
from teamdive.pairing.model import listed
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
    out = (*pricing.out, name)
    again = find(Pricing(case, pricing.gas_of, out, pricing if same else None), musts(case), search)
    if again is None and case.guided:
        # What is left of a guided group may be none: its people are then placed like anybody else.
        case = replace(case, guided=tuple(one for one in case.guided if one in pricing.case.guided))
        again = find(Pricing(case, pricing.gas_of, out), musts(case), search)
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
            wishes.append(replace(wish, divers=others))
    locked = tuple(team for team in case.locked if name not in team)
    left = (tuple(one for one in group if one != name) for group in case.guided)
    guided = tuple(group for group in left if len(group) > 1)
    same = tuple(wishes) == case.wishes and locked == case.locked and guided == case.guided
    return replace(case, wishes=tuple(wishes), locked=locked, guided=guided), same


def _said(name: str, teams: tuple[tuple[str, ...], ...], loses: tuple[str, ...], stay: bool) -> str:
    parts = [f"{listed(team)} dive together" for team in teams]
    if loses:
        parts.append(f"{listed(loses)} {'loses' if len(loses) == 1 else 'lose'} the dive")
    if stay:
        parts.append("the rest stays" if parts else "the other teams stay")
    return f"If {name} drops out: {'; '.join(parts) or 'nobody else is affected'}."
