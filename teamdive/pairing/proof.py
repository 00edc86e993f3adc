"""What a heaviest matching comes with: labels that no other matching can exceed.

The labels cover every edge: those of its two ends and of every blossom that holds both add up to its doubled gain
at least (Edmonds, Maximum matching and a polyhedron with 0,1-vertices, 1965).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Matching:
    """`mate[i]` is i's partner or -1. `labels` and `blossoms` (members, label) are the doubled dual."""

    mate: tuple[int, ...]
    labels: tuple[int, ...]
    blossoms: tuple[tuple[tuple[int, ...], int], ...]


def bound(matching: Matching) -> int:
    """Twice the gain of the matching, and so what no other one exceeds."""
    return sum(matching.labels) + sum(label * (len(members) // 2) for members, label in matching.blossoms)


def inside(matching: Matching) -> list[list[int]]:
    """For each two vertices the labels of all blossoms that hold both."""
    size = len(matching.labels)
    found = [[0] * size for _ in range(size)]
    for members, label in matching.blossoms:
        for i in members:
            for j in members:
                found[i][j] += label
    return found
