"""Heaviest matching for hundreds of divers, in whole numbers, with its proof.

The method of `pairing.matching` (Edmonds 1965; Galil 1986) with two additions: every search over edges is one
NumPy operation over all divers, and a search may start from any labels that cover the edges (a first guess
made diver by diver, or the end of another search with some divers taken away), so only few paths are left to
find. Labels and gains are doubled whole numbers, so that every halving is exact.

Unequal labels of the divers still alone are what a warm start brings: a diver whose label reaches 0 may stay
alone, so the path from the root to that diver is turned round and the root is matched instead.
"""

from __future__ import annotations

import copy
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from teamdive.pairing.matching import NONE
from teamdive.scale.blossoms import EVEN, FREE, ODD, Array, Blossoms


@dataclass(frozen=True)
class Proof:
    """Labels that cover every edge: label[i] + label[j] + inside[i][j] >= 2 gain[i][j], all at least 0.

    `inside[i][j]`: labels of all blossoms that hold both. `total`: twice the greatest gain.
    """

    labels: Array
    inside: Array
    total: int

    def without(self, threes: Array) -> Array:
        """Twice an upper bound on the gain of a matching without the three divers of each row.

        A blossom of odd size that loses two or three of its divers holds one pair less; blossoms are nested or
        apart, so the labels of those that lose two are the largest of the three sums over pairs.
        """
        a, b, c = threes.T
        inside, labels = self.inside, self.labels
        lost = np.maximum(np.maximum(inside[a, b], inside[a, c]), inside[b, c])
        found: Array = self.total - labels[a] - labels[b] - labels[c] - lost
        return found


class Search(Blossoms):
    """The heaviest matching; `gain`: symmetric whole numbers, at most 0 where two cannot pair."""

    def __init__(self, gain: Array) -> None:
        super().__init__(gain)
        self._guess()

    def _guess(self) -> None:
        """Labels that cover every edge, and pairs along edges without slack."""
        if not self.size:
            return
        self.label = np.maximum(self.twice.max(axis=1) // 2, 0)
        for _ in range(2):
            for v in range(self.size):
                if self.mate[v] == NONE:
                    wanted = self.twice[v] - self.label
                    at = int(wanted.argmax())
                    self.label[v] = max(int(wanted[at]), 0)
                    if self.label[v] > 0:
                        tight = np.flatnonzero((wanted == wanted[at]) & (self.mate == NONE))
                        if len(tight):
                            self.mate[v], self.mate[tight[0]] = tight[0], v

    def without(self, divers: Sequence[int]) -> Search:
        """A search among the others that starts where this one ended."""
        other = copy.copy(self)
        for name in ("twice", "label", "top", "mate", "near", "nearest", "kind_of"):
            setattr(other, name, getattr(self, name).copy())
        for name in ("worth", "holder", "base", "members"):
            setattr(other, name, dict(getattr(self, name)))
        other.kind, other.enter = {}, {}
        other.ring = {b: list(ring) for b, ring in self.ring.items()}
        other.edges = {b: list(edges) for b, edges in self.edges.items()}
        for diver in divers:
            while other.top[diver] != diver:
                other._give_up(int(other.top[diver]))
        for diver in divers:
            other.twice[diver, :] = other.twice[:, diver] = -self.infinite // 2
            if other.mate[diver] != NONE:
                other.mate[other.mate[diver]] = other.mate[diver] = NONE
            other.label[diver] = 0
        paired = np.flatnonzero(other.mate != NONE)
        mates = other.mate[paired]
        loose = other.label[paired] + other.label[mates] > other.twice[paired, mates]
        apart = other.top[paired] != other.top[mates]
        other.mate[paired[loose & apart]] = NONE
        return other

    def _give_up(self, blossom: int) -> None:
        """Take a top blossom apart and hand its label to its members: edges inside stay covered and tight."""
        self.label[self.members[blossom]] += self.worth[blossom] // 2
        self.worth[blossom] = 0
        self._part(blossom)

    def run(self) -> Proof:
        """Search to the end; `mate` is then the heaviest matching."""
        while self._stage():
            pass
        inside = np.zeros((self.size, self.size), self.label.dtype)
        total = int(self.label.sum()) if self.size else 0
        for blossom, worth in self.worth.items():
            if worth:
                held = self.members[blossom]
                inside[np.ix_(held, held)] += worth
                total += worth * (len(held) // 2)
        return Proof(self.label, inside, total)

    # --- one path ---

    def _stage(self) -> bool:
        """Pair one more diver, or show that one may stay alone; false when nobody is left to pair."""
        fresh = self._roots()
        while len(fresh):
            self._scan(fresh)
            fresh = fresh[:0]
            while not len(fresh):
                alone = self._shift()
                if alone != NONE:
                    self._pair_up(alone, NONE)
                    return True
                tight = self.near == 0
                free = np.flatnonzero(tight & (self.kind_of == FREE))
                if len(free):
                    grown = []
                    for v in free:
                        if (part := self._grow(int(v))) is None:
                            return True
                        grown.append(part)
                    fresh = np.concatenate(grown)
                    continue
                even = np.flatnonzero(tight & (self.kind_of == EVEN))
                if len(even):
                    if self._close(int(self.nearest[even[0]]), int(even[0])):
                        return True
                    continue
                for blossom in [b for b in self.ring if b not in self.holder and self._worn(b)]:
                    self._open(blossom)
        return False

    def _worn(self, blossom: int) -> bool:
        return self.kind[blossom] == ODD and self.worth[blossom] == 0

    def _roots(self) -> Array:
        """Start anew from every diver alone whose label is above 0; their labels are made alike, even or odd."""
        while worn := [b for b in self.ring if b not in self.holder and self.worth[b] == 0]:
            for blossom in worn:
                self._part(blossom)
        tops = [int(top) for top in np.unique(self.top)]
        self.kind, self.enter = dict.fromkeys(tops, FREE), dict.fromkeys(tops)
        self.kind_of[:] = FREE
        self.near[:] = self.infinite
        alone = [top for top in tops if self.mate[self.base[top]] == NONE and self.label[self.base[top]] > 0]
        for top in alone:
            if self.label[self.base[top]] % 2:
                self.label[self.members[top]] += 1
                if top >= self.size:
                    self.worth[top] -= 2
            self._set_kind(top, EVEN, None)
        return np.concatenate([self.members[top] for top in alone]) if alone else np.zeros(0, int)

    def _shift(self) -> int:
        """Move the labels until something becomes tight; an even diver whose label reached 0, or none."""
        even, free = self.kind_of == EVEN, self.kind_of == FREE
        tops = [b for b in self.ring if b not in self.holder and self.kind[b] != FREE]
        step = self.label[even].min()
        if free.any():
            step = min(step, self.near[free].min())
        step = int(
            min(
                [step, self.near[even].min() // 2, *(self.worth[b] // 2 for b in tops if self.kind[b] == ODD)]
            )
        )
        if step:
            self.label[even] -= step
            self.label[self.kind_of == ODD] += step
            self.near[free] -= step
            self.near[even] -= 2 * step
            for blossom in tops:
                self.worth[blossom] += 2 * step if self.kind[blossom] == EVEN else -2 * step
        alone = np.flatnonzero(even & (self.label == 0))
        return int(alone[0]) if len(alone) else NONE

    def _grow(self, v: int) -> Array | None:
        """Hang a free top with its partner into the tree; None when that pairs somebody alone."""
        if self.kind_of[v] != FREE:
            return np.zeros(0, int)
        top, u = int(self.top[v]), int(self.nearest[v])
        base = self.base[top]
        other = int(self.mate[base])
        if other == NONE:
            self._pair_up(u, v)
            self._rebase(top, v)
            self.mate[v] = u
            return None
        self._set_kind(top, ODD, (u, v))
        self._set_kind(int(self.top[other]), EVEN, (base, other))
        return self.members[int(self.top[other])]

    def _close(self, u: int, v: int) -> bool:
        """Use a tight edge between two even tops; true when it pairs two roots."""
        first, second = self._way_up(int(self.top[u])), set(self._way_up(int(self.top[v])))
        common = next((top for top in first if top in second), NONE)
        if common != NONE:
            self._shrink(u, v, common)
            return False
        self._pair_up(u, v)
        self._pair_up(v, u)
        return True

    def _pair_up(self, v: int, w: int) -> None:
        """Give even vertex v the mate w (or none), and turn the pairs on the way from v to its root."""
        while True:
            top = int(self.top[v])
            enter = self.enter[top]
            self._rebase(top, v)
            self.mate[v] = w
            if enter is None:
                return
            odd = int(self.top[enter[0]])
            above = self.enter[odd]
            assert above is not None
            self._rebase(odd, above[1])
            self.mate[above[1]] = above[0]
            v, w = above
