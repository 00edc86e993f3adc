"""The days after the best one, and of equally good days the one that a drop-out disturbs least.

Days come in their exact order by splitting: of the days left, those that keep the first teams of the day
just given and leave out the next one are searched apart (Murty, An algorithm for ranking all the
assignments in order of increasing cost, 1968). So every day comes once, and none is passed over.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from teamdive.pairing.drop_outs import without
from teamdive.pairing.model import Reason
from teamdive.pairing.partition import Found, Search, changes, find
from teamdive.pairing.pricing import Pricing

# Equally good days held against every drop-out before the choice is made among those.
MOST_EQUAL = 24

# What days are compared by: tiers, then for each diver in the order of ids whom they dive with.
Key = tuple[tuple[int, ...], tuple[tuple[int, ...], ...]]


@dataclass(frozen=True)
class Robust:
    """The day chosen among `compared` equally good ones (`all_compared`: there are no more).

    `worst`: divers with another team after the worst drop-out; `total`: the same added up over all drop-outs.
    """

    found: Found
    compared: int
    all_compared: bool
    worst: int
    total: int


def in_order(pricing: Pricing, needed: Sequence[Reason], search: Search) -> Iterator[Found]:
    """Every day with a team in it, the best first, each unlike all before it in one team at least."""
    waiting: list[tuple[Key, Found, tuple[tuple[str, ...], ...], frozenset[tuple[str, ...]]]] = []

    def look(kept: tuple[tuple[str, ...], ...], barred: frozenset[tuple[str, ...]]) -> None:
        found = find(pricing, needed, search, kept, barred)
        if found is not None and found.teams:
            heapq.heappush(waiting, (key(found, pricing), found, kept, barred))

    look((), frozenset())
    while waiting:
        _, found, kept, barred = heapq.heappop(waiting)
        yield found
        for team in found.teams:
            if team.divers not in kept and team.divers not in (*pricing.case.locked, *pricing.case.guided):
                look(kept, barred | {team.divers})
                kept = (*kept, team.divers)


def tiers(found: Found, pricing: Pricing) -> tuple[int, ...]:
    """What a day is compared by but for ids, least first."""
    case = pricing.case
    announced = {name for one in case.announced for name in one}
    count = sum(changes(team.divers, case) for team in found.teams)
    count += sum(1 for name in found.left if name in announced)
    own = [
        sum(one)
        for one in zip(*((t.overrides, t.safety + t.hidden, t.seconds) for t in found.teams), strict=True)
    ]
    return (len(found.left), count, *own) if case.least_change else (len(found.left), *own, count)


def key(found: Found, pricing: Pricing) -> Key:
    """Compares days: tiers, then the lowest diver's team-mates, a pair before a three, left out last."""
    place = {name: at for at, name in enumerate(pricing.able)}
    mates: list[tuple[int, ...]] = [()] * len(place)
    for team in found.teams:
        first, *others = team.divers
        mates[place[first]] = tuple(place[name] for name in others)
    for name in found.left:
        mates[place[name]] = (len(place),)
    return tiers(found, pricing), tuple(mates)


def next_best(
    pricing: Pricing, needed: Sequence[Reason], search: Search, count: int, chosen: Found
) -> list[Found]:
    """The best `count` days that are not the chosen one; none that a private wish speaks against more."""
    held = [team.divers for team in chosen.teams]
    most = sum(team.hidden for team in chosen.teams)
    first = islice(in_order(pricing, needed, search), count + 1 + MOST_EQUAL)
    others = (
        one
        for one in first
        if [t.divers for t in one.teams] != held and sum(t.hidden for t in one.teams) <= most
    )
    return list(islice(others, count))


def most_robust(pricing: Pricing, needed: Sequence[Reason], search: Search) -> Robust | None:
    """Of the days that cost least the one with the fewest changes under any single drop-out; then ids."""
    best: Robust | None = None
    compared, least = 0, None
    for found in in_order(pricing, needed, search):
        now = tiers(found, pricing)
        if least is not None and now != least:
            break
        if compared == MOST_EQUAL:
            return best and Robust(best.found, compared, False, best.worst, best.total)
        least, compared = now, compared + 1
        moved = [
            len(without(pricing, found, name, search).moved) for team in found.teams for name in team.divers
        ]
        if best is None or (max(moved), sum(moved)) < (best.worst, best.total):
            best = Robust(found, compared, True, max(moved), sum(moved))
    return best and Robust(best.found, compared, True, best.worst, best.total)
