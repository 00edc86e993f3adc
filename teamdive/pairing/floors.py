"""What a team of three costs at least, before anybody asks the physics.

Most threes are never near the best day; these floors tell without pricing them. They may be low, never high: the
tests hold every three against its floor.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations

from teamdive.pairing.case import Case, leads_to_depth
from teamdive.pairing.cost import (
    ALL_AT_EDGE,
    ALL_AWAY,
    NO_HELPER,
    Candidate,
    beside,
    helps,
    long_away,
    own_minutes,
    own_safety,
)
from teamdive.pairing.group import (
    AT_EDGE,
    AWAY,
    CHARGED,
    FREE,
    HELPS,
    LEADS,
    NO_LIMIT,
    NOT_KNOWN,
    PRACTISED,
    STRETCHED,
    Floors,
    Team,
    Threes,
)
from teamdive.pairing.model import Person
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.rules_team import in_charge_of_another, three_visibility


def threes_of(pricing: Pricing, able: Sequence[str], made: Callable[[Candidate], Team | None]) -> Threes:
    """The threes among `able`, in the order of ids; `made` turns a priced three into a team of positions."""

    def price(members: tuple[int, ...]) -> Team | None:
        tried = pricing.try_team([able[at] for at in members])
        return made(tried) if isinstance(tried, Candidate) else None

    return Threes(lambda: floors(pricing, able), price)


def floors(pricing: Pricing, able: Sequence[str]) -> Floors:
    case = pricing.case
    people = [case.people[name] for name in able]
    known_minutes = [own_minutes(person, case) for person in people]
    limit = [[NO_LIMIT] * len(able) for _ in able]
    for i, j in combinations(range(len(able)), 2):
        pair = pricing.try_team((able[i], able[j]))
        if isinstance(pair, Candidate) and pair.gas.limit_s is not None:
            limit[i][j] = limit[j][i] = pair.gas.limit_s // 60
    place = {name: at for at, name in enumerate(able)}
    announced = frozenset(
        tuple(sorted(place[name] for name in one))
        for one in case.announced
        if len(one) == 3 and all(name in place for name in one)
    )
    known = {name for one in case.announced for name in one}
    return Floors(
        own=tuple(own or 0 for own in known_minutes),
        limit=tuple(tuple(row) for row in limit),
        safety=tuple(own_safety(person, case) for person in people),
        beside=tuple(tuple(beside(lead, person, case) for person in people) for lead in people),
        rank=tuple(_rank(person, case) for person in people),
        prices=(NO_HELPER, ALL_AT_EDGE, ALL_AWAY),
        bits=tuple(_bits(person, case) for person in people),
        announced=announced if case.announced else None,
        strangers=tuple(0 if name in known else 1 for name in able) if case.least_change else None,
        barred=len(able) < 3 or _not_seen(pricing, able),
    )


def _rank(person: Person, case: Case) -> int:
    """By what `cost.lead_of` chooses first."""
    return (0 if case.standings[person.id].practised else 2) + (0 if leads_to_depth(person, case) else 1)


def _bits(person: Person, case: Case) -> int:
    now = case.standings[person.id]
    everybody = case.policy.leader_needed == "every_team"
    facts = {
        FREE: any(one.diver == person.id for one in case.overrides),
        PRACTISED: now.practised,
        LEADS: leads_to_depth(person, case),
        CHARGED: everybody or in_charge_of_another(person, case),
        STRETCHED: now.stretches > 0,
        NOT_KNOWN: own_minutes(person, case) is None,
        HELPS: helps(person, case),
        AT_EDGE: now.at_edge,
        AWAY: long_away(person, case),
    }
    return sum(bit for bit, holds in facts.items() if holds)


def _not_seen(pricing: Pricing, able: Sequence[str]) -> bool:
    """Whether the club's least visibility bars every three alike."""
    case = pricing.case
    lifted = any(one.rule == "three_visibility" for one in case.overrides)
    return not lifted and three_visibility([case.people[name] for name in able[:3]], case) is not None
