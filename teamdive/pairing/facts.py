"""What makes a day impossible: facts of which none can be spared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

from teamdive.pairing.case import Case
from teamdive.pairing.cover import COVER_NAMES
from teamdive.pairing.model import Reason, listed
from teamdive.pairing.optimise import best
from teamdive.pairing.partition import find, musts
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.rules import standing_reasons
from teamdive.pairing.rules_team import team_gas, together

MOST_IN_TEAM = 3
OF_A_PAIR = ("two_stretched", "two_back", "two_untested", "wish_apart", "gas_sharing", "signals")
FIXED = ("locked", "guided")


def impossible(pricing: Pricing, needed: Sequence[Reason]) -> list[Reason]:
    """Facts that together leave no answer, and of which none can be spared: drop any one and there is one.

    With musts in play those are tried first, one after the other; what bars the last one left is added.
    """
    if not needed:
        return _no_team(pricing, (), False)
    kept = list(needed)
    for fact in needed:
        fewer = [one for one in kept if one is not fact]
        if fewer and not _can_hold(pricing, fewer):
            kept = fewer
    if len(kept) > 1:
        return kept
    group = kept[0].divers
    exactly = kept[0].code in FIXED
    if len(group) > MOST_IN_TEAM and not exactly:
        return [*kept, Reason("threes", group, "A team is two or three divers.")]
    return [*kept, *_no_team(pricing, group, exactly)]


def _can_hold(pricing: Pricing, facts: Sequence[Reason]) -> bool:
    """Whether these musts alone, with every rule in force, leave an answer."""
    fewer = Pricing(_with_musts(pricing.case, facts), pricing.gas_of, pricing.out)
    return find(fewer, facts, best) is not None


def _with_musts(case: Case, facts: Sequence[Reason]) -> Case:
    locked = tuple(fact.divers for fact in facts if fact.code == "locked")
    guided = tuple(fact.divers for fact in facts if fact.code == "guided")
    wished = [fact.divers for fact in facts if fact.code == "wish_together"]
    wishes = tuple(
        wish
        for wish in case.wishes
        if wish.kind != "together" or wish.strength != "must" or wish.divers in wished
    )
    return replace(case, locked=locked, guided=guided, wishes=wishes)


def _no_team(pricing: Pricing, group: Sequence[str], exactly: bool) -> list[Reason]:
    """An irreducible set of facts that bars every team that holds `group` (or is exactly it).

    Each team is a list of facts of which one is enough; a fact is let go while every list keeps another.
    """
    case = _with_musts(
        pricing.case, [fact for fact in musts(pricing.case) if exactly and fact.divers == tuple(group)]
    )
    own = {name: list(reasons) for name, reasons in pricing.barred.items()}
    for name in pricing.out:
        own[name] = [out_of_water(name, case)]
    names = sorted(case.people)
    sizes = [2] if case.policy.threes == "never" else [2, 3]
    teams = (
        [tuple(sorted(group))]
        if exactly
        else [ids for size in sizes for ids in combinations(names, size) if set(group).issubset(ids)]
    )
    if not teams:
        return [
            *(reason for name in names for reason in own[name]),
            Reason("no_team_mate", tuple(names), "One diver is no team."),
        ]
    facts = [reason for name in names for reason in own[name]]
    count = {fact: at for at, fact in enumerate(facts)}
    lists: list[list[int]] = []
    for ids in teams:
        barring = [reason for name in ids for reason in own[name]]
        barring += _barring(pricing, ids, case)
        if not barring:
            barring = standing_reasons(team_gas(pricing.gas_of(ids)), case)
        for reason in barring:
            if reason not in count:
                count[reason] = len(facts)
                facts.append(reason)
        lists.append([count[reason] for reason in barring])
    # Facts about teams are let go first, so that what stays is about people, whom a leader can ask.
    kept = [True] * len(facts)
    left = [len(one) for one in lists]
    holding: list[list[int]] = [[] for _ in facts]
    for at, barring_at in enumerate(lists):
        for fact_at in barring_at:
            holding[fact_at].append(at)
    for fact_at in range(len(facts) - 1, -1, -1):
        if all(left[at] > 1 for at in holding[fact_at]):
            kept[fact_at] = False
            for at in holding[fact_at]:
                left[at] -= 1
    return [fact for at, fact in enumerate(facts) if kept[at]]


def _barring(pricing: Pricing, ids: Sequence[str], case: Case) -> list[Reason]:
    """What bars a team as such. A pair that may not dive together bars every three that holds it: one fact."""
    found = standing_reasons(together(pricing.members(ids), case), case)
    if len(ids) < MOST_IN_TEAM:
        return found
    found = [reason for reason in found if reason.code not in OF_A_PAIR]
    for pair in combinations(ids, 2):
        of_pair = standing_reasons(together(pricing.members(pair), case), case)
        found += [reason for reason in of_pair if reason.code in OF_A_PAIR]
    return found


def out_of_water(name: str, case: Case) -> Reason:
    """The fact that a diver stays out of the water, and as what."""
    roles = [COVER_NAMES[role] for role, person in case.cover if person == name]
    if roles:
        text = f"{name} stays out of the water on this dive: {listed(roles)}."
        return Reason("surface_cover", (name,), text)
    return Reason("out_of_water", (name,), f"{name} stays out of the water on this dive.")
