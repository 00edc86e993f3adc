"""Teams as arrays, and their tiers as one whole number each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from teamdive.pairing.group import Answer, Group, Team
from teamdive.pairing.tiers import TIERS

Array = np.ndarray[Any, np.dtype[Any]]
# Sums of weights stay below this in 64 bits; above it the arrays hold Python's own integers.
LARGEST = 2**57


@dataclass(frozen=True)
class Table:
    """Every pair, then every three, then every diver left out, one a row.

    `members`: (rows, 3) ascending positions, padded with `size`. `tiers`: (rows, 5), see `pairing.optimise`; who must
    be placed outweighs, when left out, everybody who need not be.
    """

    size: int
    pairs: int
    threes: int
    members: Array
    tiers: Array

    def team(self, row: int) -> Team:
        members = tuple(one for one in self.members[row].tolist() if one < self.size)
        return Team(members, *self.tiers[row, 1:].tolist())

    def answer(self, rows: Sequence[int], at_least: tuple[int, ...], proven: bool) -> Answer:
        teams = [self.team(row) for row in rows if row < self.pairs + self.threes]
        placed = {diver for team in teams for diver in team.members}
        return Answer(
            teams=tuple(sorted(teams, key=lambda team: team.members)),
            not_placed=tuple(diver for diver in range(self.size) if diver not in placed),
            proven=proven,
            at_least=at_least,
        )


def rows_of(teams: Sequence[Team], size: int) -> tuple[Array, Array]:
    """Members and tiers of these teams."""
    padded = [(*team.members, size)[:3] for team in teams]
    tiers = [(0, team.overrides, team.safety, team.seconds, team.changes) for team in teams]
    members = np.array(padded, np.int16).reshape(-1, 3)
    return members, np.array(tiers, np.int64).reshape(-1, TIERS)


def table(group: Group, pairs: tuple[Array, Array], threes: tuple[Array, Array]) -> Table:
    size = group.size
    out = np.full((size, 3), size, np.int16)
    out[:, 0] = np.arange(size)
    left_out = np.zeros((size, TIERS), np.int64)
    left_out[:, 0] = [size + 1 if must else 1 for must in group.must]
    left_out[:, 4] = group.moved
    return Table(
        size,
        len(pairs[0]),
        len(threes[0]),
        np.concatenate([pairs[0], threes[0], out]),
        np.concatenate([pairs[1], threes[1], left_out]),
    )


def whole(
    size: int, members: Array, tiers: Array, largest: int | None = None
) -> tuple[Array, list[tuple[int, int]]]:
    """The tiers as one whole number a row, and their parts for `apart`.

    A tier is divided by what divides all its values (seconds are multiples of 60), and weighs more than everything
    below it can add up to: no day adds up to more than the dearest share of a row for every diver. With `largest`
    only as many tiers are taken, one at least, as keep a whole day below it; without it all of them, in Python's
    own integers where 64 bits might not hold a few days' sum.
    """
    count = (members < size).sum(axis=1)
    parts, above = list[tuple[int, int]](), 1
    for values in tiers.T:
        shared = max(1, int(np.gcd.reduce(values)))
        most = int((values // shared / count).max(initial=0) * size) + 2
        above *= most
        if largest is not None and above > largest and parts:
            break
        parts.append((most, shared))
    return weigh(tiers, parts), parts


def weigh(tiers: Array, parts: Sequence[tuple[int, int]]) -> Array:
    """The first tiers of each row as the whole number that `whole` makes of them; rounded down where a tier is no
    multiple of what divides those of `parts`."""
    costs, above = np.zeros(len(tiers), np.int64), 1
    for values, (most, shared) in zip(tiers.T, parts, strict=False):
        above *= most
        if above > LARGEST:
            costs = costs.astype(object)
        costs = costs * most + values // shared
    return costs


def fits(tiers: Sequence[int], parts: Sequence[tuple[int, int]], size: int) -> bool:
    """Whether days with one further three of these tiers are told apart by the same whole numbers."""
    return all(
        tier % shared == 0 and tier // shared * size <= 3 * (most - 1)
        for tier, (most, shared) in zip(tiers, parts, strict=True)
    )


def apart(cost: int, parts: Sequence[tuple[int, int]]) -> tuple[int, ...]:
    """The tiers that a sum of such whole numbers stands for."""
    found = []
    for most, shared in reversed(parts[1:]):
        cost, tier = divmod(cost, most)
        found.append(tier * shared)
    return (cost * parts[0][1], *reversed(found))
