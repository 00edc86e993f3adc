"""Odd sets of divers that a fractional day breaks: too many pairs' worth of teams within the set.

A heuristic: sets it misses cost time, never the proof, since the integer program settles what is left.
"""

from __future__ import annotations

import numpy as np

from teamdive.scale.columns import Array

# Rows added at a time, how much a set must be broken by, and the largest set that is grown.
MOST, BY, LARGEST = 40, 0.02, 15


def broken(size: int, members: Array, share: Array) -> list[Array]:
    """Odd sets, most broken first. `members` padded with `size`; `share`: how much of each column is taken."""
    used = np.flatnonzero((share > 1e-6) & (share < 1 - 1e-6))
    held, part = members[used], share[used]
    both = np.zeros((size + 1, size + 1))
    for a, b in ((0, 1), (0, 2), (1, 2)):
        np.add.at(both, (held[:, a], held[:, b]), part)
        np.add.at(both, (held[:, b], held[:, a]), part)
    both[size], both[:, size] = 0.0, 0.0
    np.fill_diagonal(both, 0.0)
    found: dict[tuple[int, ...], float] = {}
    for chosen in [*_threes(size, both), *_components(size, both)]:
        for grown in _grown(chosen, both, held, part):
            by = _within(grown, held, part, size) - len(grown) // 2
            if by > BY:
                found[tuple(sorted(grown))] = by
    order = sorted(found, key=lambda one: (-found[one] / np.sqrt(len(one)), one))
    return [np.array(one) for one in order[:MOST]]


def _within(chosen: tuple[int, ...], held: Array, part: Array, size: int) -> float:
    mask = np.zeros(size + 1, bool)
    mask[list(chosen)] = True
    return float(part[mask[held].sum(axis=1) >= 2].sum())


def _threes(size: int, both: Array) -> list[tuple[int, ...]]:
    """Sets of three whose pairs' shares add up to more than one or nearly so."""
    live = np.flatnonzero(both.any(axis=0))
    small = both[np.ix_(live, live)]
    found: list[tuple[float, tuple[int, ...]]] = []
    for at, i in enumerate(live):
        near = at + 1 + np.flatnonzero(small[at, at + 1 :] > 0)
        if len(near) < 2:
            continue
        total = small[at, near][:, None] + small[at, near] + small[np.ix_(near, near)]
        rows, cols = np.nonzero(np.triu(total > 1 + BY, 1))
        for r, c in zip(rows, cols, strict=True):
            three = (int(i), int(live[near[r]]), int(live[near[c]]))
            found.append((-float(total[r, c]), three))
    found.sort()
    return [three for _, three in found[: 5 * MOST]]


def _components(size: int, both: Array) -> list[tuple[int, ...]]:
    """Odd groups that hang together by shares above one of a few marks."""
    found = []
    for mark in (0.0, 0.1, 0.3, 0.45):
        left = set(np.flatnonzero(both.any(axis=0)).tolist())
        while left:
            group, edge = set(), [min(left)]
            while edge:
                v = edge.pop()
                if v in left:
                    left.remove(v)
                    group.add(v)
                    edge += np.flatnonzero(both[v] > mark).tolist()
            if len(group) % 2 and len(group) > 2:
                found.append(tuple(sorted(group)))
    return found


def _grown(chosen: tuple[int, ...], both: Array, held: Array, part: Array) -> list[tuple[int, ...]]:
    """The set itself, and larger ones made by taking in the two divers that share most with it."""
    found = [chosen]
    now = list(chosen)
    while len(now) + 2 <= LARGEST:
        near = both[now].sum(axis=0)
        near[now] = -1.0
        first = int(near.argmax())
        near += both[first]
        near[[*now, first]] = -1.0
        second = int(near.argmax())
        if near[second] <= 0.0 or both[first, now].sum() <= 0.0:
            break
        now += [first, second]
        found.append(tuple(now))
    return found
