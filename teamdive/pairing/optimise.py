"""The best teams of a dive, proven: every diver in at most one team.

Least first, in this order: divers not placed, overrides, safety penalty, seconds, divers whose team
differs from the one announced, and last the list of sorted teams, compared diver by diver in the order of
their ids. The last makes the answer unique, so any exact method gives the same teams. All tiers go into
one whole number a team; a tier weighs more than everything below it can add up to.

Pairs alone are a heaviest matching (`matching`). With at most one team of three, threes are taken in the
order of a bound from the matching's labels, and the rest is matched anew, until the bound says that no
better one is left. With threes free the sets of divers still to be placed are searched cheapest first
under a bound from potentials; past a stated number of sets the best found is returned with its gap.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Sequence

from teamdive.pairing.group import Answer, Group, Team
from teamdive.pairing.matching import NONE
from teamdive.pairing.one_three import matched, with_one
from teamdive.pairing.tiers import Scale, answer_of, cost_of

# Sets of divers the search with free threes may open before it answers with a gap, and steps it may take
# to put equally good days in the order of ids (past them it keeps the first such day it met).
MOST_SETS = 60_000
MOST_STEPS = 200_000
SWEEPS = 40


def best(
    group: Group, pairs: Sequence[Team], threes: Callable[[], Sequence[Team]], regime: str
) -> Answer | None:
    """The best teams, or None when somebody who must be placed cannot be.

    `pairs` and `threes` hold permitted teams only; `threes` is asked only when one can help, and may be `group.Threes`,
    which are priced one by one. `regime`: "never", "only_when_odd" (at most one three: it arises when the
    number placed is odd) or "free".
    """
    if regime == "free":
        found = _free(group, pairs, threes())
    else:
        # Of an odd number pairs alone leave somebody: the matching with a three says so as well.
        odd = regime == "only_when_odd" and group.size % 2 == 1
        found = with_one(group, pairs, threes if odd else list)
        if regime == "only_when_odd" and found.not_placed and not odd:
            found = with_one(group, pairs, threes)
    return None if any(group.must[diver] for diver in found.not_placed) else found


def _free(group: Group, pairs: Sequence[Team], threes: Sequence[Team]) -> Answer:
    """Any number of threes. First the least cost without regard to the order of ids: the cheapest set of
    divers still to place is opened first (Dijkstra, over what a team costs above the potentials of its
    members, which is never negative), of equally cheap ones the smallest. Then the first list of teams in
    the order of ids that costs no more."""
    size = group.size
    scale = Scale(group, [*pairs, *threes])
    teams = sorted([*pairs, *threes], key=lambda team: team.members)
    columns = [(team.members, scale.team(team) // scale.below) for team in teams]
    columns += [((diver,), scale.left_out(group, diver) // scale.below) for diver in range(size)]
    potential = _potentials(size, columns)
    # Columns by their lowest member: the lowest diver still to place decides next.
    choices: list[list[tuple[int, int, int]]] = [[] for _ in range(size)]
    for at, (members, cost) in enumerate(columns):
        mask = sum(1 << diver for diver in members)
        choices[members[0]].append((cost - sum(potential[diver] for diver in members), mask, at))
    fallback = matched(group, pairs, ())
    if fallback is not None and fallback.not_placed:
        fallback = matched(group, pairs, threes)
    assert fallback is not None
    ceiling = cost_of(scale, group, fallback.teams, fallback.not_placed) // scale.below - sum(potential)
    least, proven, trail = _least(size, choices, ceiling)
    if not proven:
        return answer_of(scale, group, list(fallback.teams), (sum(potential) + least) * scale.below)
    chosen = _first(size, choices, least) or trail
    return answer_of(scale, group, [teams[at] for at in chosen if at < len(teams)], None)


def _least(
    size: int, choices: Sequence[list[tuple[int, int, int]]], ceiling: int
) -> tuple[int, bool, list[int]]:
    """The least cost above the potentials of placing everybody, whether that is proven, and one such way."""
    cheapest = [sorted(one) for one in choices]
    everyone = (1 << size) - 1
    known: dict[int, tuple[int, int, int]] = {everyone: (0, 0, NONE)}
    heap: list[tuple[int, int, int]] = [(0, size, everyone)]
    opened = 0
    while heap:
        above, _, free = heapq.heappop(heap)
        if free == 0:
            return above, True, _trail(known)
        if known[free][0] < above:
            continue
        if opened >= MOST_SETS:
            return above, False, []
        opened += 1
        for more, mask, at in cheapest[(free & -free).bit_length() - 1]:
            total = above + more
            if total > ceiling:
                break
            if mask & free == mask:
                rest = free ^ mask
                before = known.get(rest)
                if before is None or total < before[0]:
                    known[rest] = (total, free, at)
                    heapq.heappush(heap, (total, rest.bit_count(), rest))
    raise AssertionError("the ceiling itself can be reached")


def _trail(known: dict[int, tuple[int, int, int]]) -> list[int]:
    found: list[int] = []
    free = 0
    while known[free][2] != NONE:
        _, before, at = known[free]
        found.append(at)
        free = before
    return found


def _first(size: int, choices: Sequence[list[tuple[int, int, int]]], least: int) -> list[int] | None:
    """The first list of columns, in the order of ids, that places everybody for `least`; None past the steps.

    `tried` remembers for each set the most that could be spent on it without success.
    """
    allowed = [[one for one in row if one[0] <= least] for row in choices]
    tried: dict[int, int] = {}
    steps = 0

    def place(free: int, left: int) -> list[int] | None:
        nonlocal steps
        if free == 0:
            return []
        if steps >= MOST_STEPS or tried.get(free, NONE) >= left:
            return None
        for more, mask, at in allowed[(free & -free).bit_length() - 1]:
            if more <= left and mask & free == mask:
                steps += 1
                rest = place(free ^ mask, left - more)
                if rest is not None:
                    return [at, *rest]
        tried[free] = left
        return None

    return place((1 << size) - 1, least)


def _potentials(size: int, columns: Sequence[tuple[tuple[int, ...], int]]) -> list[int]:
    """Whole numbers that no column's members add up to more than its cost: their sum bounds every answer.

    Starts from each diver's cheapest share and raises, half a slack at a time and in the end the whole.
    """
    touching: list[list[int]] = [[] for _ in range(size)]
    for at, (members, _) in enumerate(columns):
        for diver in members:
            touching[diver].append(at)
    potential = [
        min(columns[at][1] // len(columns[at][0]) for at in touching[diver]) for diver in range(size)
    ]
    slack = [cost - sum(potential[diver] for diver in members) for members, cost in columns]
    for sweep in range(SWEEPS + 1):
        order = range(size) if sweep % 2 == 0 else range(size - 1, -1, -1)
        for diver in order:
            least = min(slack[at] for at in touching[diver])
            raised = least if sweep == SWEEPS else least // 2
            potential[diver] += raised
            for at in touching[diver]:
                slack[at] -= raised
    return potential
