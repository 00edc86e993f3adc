"""Pairs, and at most one team of three, by heaviest matchings.

The labels of a first matching bound every three (`bounds`): no day with that three gains more than the three itself and
what they leave for the others. Threes are taken in the order of that bound, priced when their turn comes, and
the rest is matched anew, until the bound says that no better one is left.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Sequence

from teamdive.pairing.group import Answer, Group, Team, Threes
from teamdive.pairing.matching import NONE, heaviest
from teamdive.pairing.proof import bound, inside
from teamdive.pairing.tiers import Scale, answer_of

# What a three may cost in a tier above eight times the dearest that is known.
ROOM = 3600

Price = Callable[[tuple[int, ...]], Team | None]


def with_one(group: Group, pairs: Sequence[Team], threes: Callable[[], Sequence[Team]]) -> Answer:
    """Pairs and at most one three; `Threes` are priced only where they may be the best one."""
    if isinstance(threes, Threes):
        found = matched(group, pairs, threes.least(), threes.price)
        if found is not None:
            return found
    found = matched(group, pairs, threes(), None)
    assert found is not None
    return found


def matched(
    group: Group, pairs: Sequence[Team], threes: Sequence[Team], price: Price | None = None
) -> Answer | None:
    """Pairs and at most one of the threes, which cost what they say or, with `price`, at least that.

    None when a three turns out to cost more than the scale of its tiers has room for.
    """
    size = group.size
    dearest = max((tier for team in (*pairs, *threes) for tier in team.tiers()), default=0)
    room = 0 if price is None else 8 * dearest + ROOM
    scale = Scale(group, [*pairs, *threes], room)
    out = [scale.left_out(group, diver) for diver in range(size)]
    gain = [[0] * size for _ in range(size)]
    by_members = {team.members: team for team in pairs}
    for team in pairs:
        i, j = team.members
        gain[i][j] = gain[j][i] = out[i] + out[j] - scale.team(team)
    matching = heaviest(size, gain)
    labels, both, most = matching.labels, inside(matching), bound(matching)
    best_gain, best_three = most // 2, None
    mate = list(matching.mate)
    # Twice what a day with the three gains at most, less is later: (minus that, members, whether priced, the three).
    waiting: list[tuple[int, tuple[int, ...], bool, Team]] = []

    def put(three: Team, priced: bool) -> None:
        i, j, k = three.members
        worth = out[i] + out[j] + out[k] - scale.team(three)
        # A blossom that loses two or three of its members holds one pair less; blossoms are nested or apart.
        left = most - labels[i] - labels[j] - labels[k] - max(both[i][j], both[i][k], both[j][k])
        if 2 * worth + left > 2 * best_gain:
            heapq.heappush(waiting, (-(2 * worth + left), three.members, priced, three))

    for three in threes:
        put(three, price is None)
    while waiting:
        minus, members, priced, three = heapq.heappop(waiting)
        if -minus <= 2 * best_gain:
            break
        if not priced and price is not None:
            real = price(members)
            if real is not None and max(real.tiers()) > room:
                return None
            if real is not None:
                put(real, True)
            continue
        rest = [diver for diver in range(size) if diver not in members]
        part = heaviest(len(rest), [[gain[i][j] for j in rest] for i in rest])
        worth = sum(out[diver] for diver in members) - scale.team(three)
        if worth + bound(part) // 2 > best_gain:
            best_gain, best_three = worth + bound(part) // 2, three
            mate = [NONE] * size
            for at, other in enumerate(part.mate):
                mate[rest[at]] = NONE if other == NONE else rest[other]
    chosen = [by_members[(i, j)] for i, j in enumerate(mate) if j > i]
    if best_three is not None:
        chosen.append(best_three)
    return answer_of(scale, group, chosen, None)
