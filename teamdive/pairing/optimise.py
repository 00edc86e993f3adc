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
from dataclasses import dataclass

from teamdive.pairing.matching import NONE, bound, heaviest

# Sets of divers the search with free threes may open before it answers with a gap, and steps it may take
# to put equally good days in the order of ids (past them it keeps the first such day it met).
MOST_SETS = 20_000
MOST_STEPS = 200_000
SWEEPS = 40
TIERS = 5  # not placed, overrides, safety, seconds, changes


@dataclass(frozen=True)
class Team:
    """A permitted team: `members` ascending positions in the list of divers sorted by id."""

    members: tuple[int, ...]
    overrides: int
    safety: int
    seconds: int
    changes: int


@dataclass(frozen=True)
class Answer:
    """`teams` sorted. `at_least`: proven least of the tiers, equal to what the teams cost when `proven`."""

    teams: tuple[Team, ...]
    not_placed: tuple[int, ...]
    proven: bool
    at_least: tuple[int, ...]


@dataclass(frozen=True)
class Group:
    """`size` divers; `must[i]`: diver i has to be placed; `moved[i]`: leaving i out changes what was announced."""

    size: int
    must: tuple[bool, ...]
    moved: tuple[int, ...]


class Scale:
    """Tiers as one whole number, and back."""

    def __init__(self, group: Group, teams: Sequence[Team]) -> None:
        size = group.size
        rows = [(0, team.overrides, team.safety, team.seconds, team.changes) for team in teams]
        # At most size // 2 teams, and each diver left out once (size + 1 times for one who must be placed).
        most = [max((row[tier] for row in rows), default=0) * (size // 2) + 1 for tier in range(TIERS)]
        most[0] = size * (size + 1) + 1
        most[4] += sum(group.moved)
        self.most = most
        self.size = size
        self.base = (size + 1) ** 2
        self.places = [1]
        for _ in range(size):
            self.places.append(self.places[-1] * self.base)
        self.below = self.places[size]

    def weigh(self, tiers: tuple[int, ...], digits: int) -> int:
        value = 0
        for tier, most in zip(tiers, self.most, strict=True):
            value = value * most + tier
        return value * self.below + digits

    def team(self, team: Team) -> int:
        # Teams compare by their lowest diver first, then by the others, a pair before a three.
        first, second = team.members[0], team.members[1]
        third = team.members[2] + 1 if len(team.members) > 2 else 0
        digits = (second * (self.size + 1) + third) * self.places[self.size - 1 - first]
        return self.weigh((0, team.overrides, team.safety, team.seconds, team.changes), digits)

    def left_out(self, group: Group, diver: int) -> int:
        digits = (self.base - 1) * self.places[self.size - 1 - diver]
        return self.weigh((self.size + 1 if group.must[diver] else 1, 0, 0, 0, group.moved[diver]), digits)

    def tiers(self, value: int) -> tuple[int, ...]:
        value //= self.below
        found: list[int] = []
        for most in reversed(self.most):
            value, tier = divmod(value, most)
            found.append(tier)
        return tuple(reversed(found))


def best(
    group: Group, pairs: Sequence[Team], threes: Callable[[], Sequence[Team]], regime: str
) -> Answer | None:
    """The best teams, or None when somebody who must be placed cannot be.

    `pairs` and `threes` hold permitted teams only; `threes` is asked only when one can help. `regime`:
    "never", "only_when_odd" (at most one three: it arises when the number placed is odd) or "free".
    """
    found = _by_matching(group, pairs, ()) if regime != "free" else None
    if found is None or (regime == "only_when_odd" and found.not_placed):
        extra = threes()
        found = _free(group, pairs, extra) if regime == "free" else _by_matching(group, pairs, extra)
    if any(group.must[diver] for diver in found.not_placed):
        return None
    return found


def _by_matching(group: Group, pairs: Sequence[Team], threes: Sequence[Team]) -> Answer:
    """Pairs, and at most one of the threes."""
    scale = Scale(group, [*pairs, *threes])
    size = group.size
    out = [scale.left_out(group, diver) for diver in range(size)]
    gain = [[0] * size for _ in range(size)]
    by_members = {team.members: team for team in pairs}
    for team in pairs:
        i, j = team.members
        gain[i][j] = gain[j][i] = out[i] + out[j] - scale.team(team)
    matching = heaviest(size, gain)
    best_gain, best_three = bound(matching) // 2, None
    mate = list(matching.mate)
    promising: list[tuple[int, tuple[int, ...], int, Team]] = []
    for three in threes:
        worth = sum(out[diver] for diver in three.members) - scale.team(three)
        promising.append((-(2 * worth + bound(matching, three.members)), three.members, worth, three))
    promising.sort(key=lambda one: one[:2])
    for minus, _, worth, three in promising:
        if -minus <= 2 * best_gain:
            break
        rest = [diver for diver in range(size) if diver not in three.members]
        part = heaviest(len(rest), [[gain[i][j] for j in rest] for i in rest])
        if worth + bound(part) // 2 > best_gain:
            best_gain, best_three = worth + bound(part) // 2, three
            mate = [NONE] * size
            for at, other in enumerate(part.mate):
                mate[rest[at]] = NONE if other == NONE else rest[other]
    chosen = [by_members[(i, j)] for i, j in enumerate(mate) if j > i]
    if best_three is not None:
        chosen.append(best_three)
    return _answer(scale, group, chosen, None)


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
    fallback = _by_matching(group, pairs, ())
    if fallback.not_placed:
        fallback = _by_matching(group, pairs, threes)
    ceiling = _cost(scale, group, fallback.teams, fallback.not_placed) // scale.below - sum(potential)
    least, proven, trail = _least(size, choices, ceiling)
    if not proven:
        return _answer(scale, group, list(fallback.teams), (sum(potential) + least) * scale.below)
    chosen = _first(size, choices, least) or trail
    return _answer(scale, group, [teams[at] for at in chosen if at < len(teams)], None)


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


def _cost(scale: Scale, group: Group, teams: Sequence[Team], out: Sequence[int]) -> int:
    return sum(scale.team(team) for team in teams) + sum(scale.left_out(group, diver) for diver in out)


def _answer(scale: Scale, group: Group, teams: list[Team], at_least: int | None) -> Answer:
    placed = {diver for team in teams for diver in team.members}
    out = tuple(diver for diver in range(group.size) if diver not in placed)
    cost = _cost(scale, group, teams, out)
    return Answer(
        teams=tuple(sorted(teams, key=lambda team: team.members)),
        not_placed=out,
        proven=at_least is None or at_least >= cost,
        at_least=scale.tiers(cost if at_least is None else at_least),
    )
