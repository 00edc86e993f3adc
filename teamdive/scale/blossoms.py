"""Alternating trees over divers, and the odd rings of them that are handled as one: what `heaviest` searches with."""

from __future__ import annotations

from typing import Any

import numpy as np

from teamdive.pairing.matching import NONE

FREE, EVEN, ODD = 0, 1, 2
# Above this a doubled label or a sum of three might leave 64 bits; Python's own integers take over.
LARGEST = 2**58

Array = np.ndarray[Any, np.dtype[Any]]


class Blossoms:
    """Vertices are 0..size-1, blossoms above; `top[v]` is the outermost blossom (or vertex) that holds v.

    `gain`: symmetric whole numbers, at most 0 where two cannot pair. `enter[x]`: the edge (from outside, to
    inside) by which the tree came to top x. `near[v]`, `nearest[v]`: least slack of v to an even vertex of another
    top, and that vertex.
    """

    def __init__(self, gain: Array) -> None:
        size = len(gain)
        greatest = int(gain.max()) if size else 0
        kind = np.int64 if greatest < LARGEST else object
        self.size = size
        self.infinite = 8 * max(greatest, 1)
        self.twice = np.where(gain > 0, 2 * gain.astype(kind), -4 * max(greatest, 1)).astype(kind)
        np.fill_diagonal(self.twice, -4 * max(greatest, 1))
        self.label = np.zeros(size, kind)
        self.top = np.arange(size)
        self.mate = np.full(size, NONE)
        self.kind_of = np.zeros(size, np.int8)
        self.near = np.full(size, self.infinite, kind)
        self.nearest = np.full(size, NONE)
        # Of blossoms and of vertices: the ring with its edges, what holds it, base vertex, members.
        self.ring: dict[int, list[int]] = {}
        self.edges: dict[int, list[tuple[int, int]]] = {}
        self.worth: dict[int, int] = {}
        self.holder: dict[int, int] = {}
        self.base: dict[int, int] = {v: v for v in range(size)}
        self.members: dict[int, Array] = {v: np.array([v]) for v in range(size)}
        self.kind: dict[int, int] = {}
        self.enter: dict[int, tuple[int, int] | None] = {}
        self.unused = size

    def _part(self, blossom: int) -> None:
        for part in self.ring[blossom]:
            self.holder.pop(part, None)
            self.top[self.members[part]] = part
        for kept in (self.ring, self.edges, self.worth, self.base, self.members, self.kind, self.enter):
            kept.pop(blossom, None)

    def _set_kind(self, top: int, kind: int, enter: tuple[int, int] | None) -> None:
        self.kind[top], self.enter[top] = kind, enter
        self.kind_of[self.members[top]] = kind

    def _scan(self, fresh: Array) -> None:
        """Look from these even vertices at everybody."""
        slack = self.label[fresh, None] + self.label - self.twice[fresh]
        slack[self.top[fresh, None] == self.top] = self.infinite
        at = slack.argmin(axis=0)
        least = slack[at, np.arange(self.size)]
        better = least < self.near
        self.near[better] = least[better]
        self.nearest[better] = fresh[at[better]]

    def _way_up(self, top: int) -> list[int]:
        """The even tops from here to the root."""
        way = [top]
        while (enter := self.enter[way[-1]]) is not None:
            odd = int(self.top[enter[0]])
            above = self.enter[odd]
            assert above is not None
            way.append(int(self.top[above[0]]))
        return way

    def _shrink(self, v: int, w: int, common: int) -> None:
        """Make one even blossom of the odd ring that edge (v, w) closes."""
        ring, edges = [], [(v, w)]
        part = int(self.top[v])
        while part != common:
            enter = self.enter[part]
            assert enter is not None
            ring.append(part)
            edges.append(enter)
            part = int(self.top[enter[0]])
        ring.append(common)
        ring.reverse()
        edges.reverse()
        part = int(self.top[w])
        while part != common:
            enter = self.enter[part]
            assert enter is not None
            ring.append(part)
            edges.append((enter[1], enter[0]))
            part = int(self.top[enter[0]])
        blossom, self.unused = self.unused, self.unused + 1
        self.ring[blossom], self.edges[blossom], self.worth[blossom] = ring, edges, 0
        self.base[blossom] = self.base[common]
        held = np.concatenate([self.members[part] for part in ring])
        fresh = held[self.kind_of[held] == ODD]
        self.members[blossom] = held
        self.top[held] = blossom
        for part in ring:
            self.holder[part] = blossom
        self._set_kind(blossom, EVEN, self.enter[common])
        # What was nearest may be inside now: look again, at the even vertices outside.
        inner = held[self.top[self.nearest[held]] == blossom]
        self.near[inner] = self.infinite
        outside = np.flatnonzero((self.kind_of == EVEN) & (self.top != blossom))
        if len(inner) and len(outside):
            slack = self.label[inner, None] + self.label[outside] - self.twice[np.ix_(inner, outside)]
            at = slack.argmin(axis=1)
            self.near[inner] = slack[np.arange(len(inner)), at]
            self.nearest[inner] = outside[at]
        if len(fresh):
            self._scan(fresh)

    def _walk(self, blossom: int, part: int) -> list[tuple[int, int, int, int]]:
        """The even way round the ring from a part to the base: (part, next part, edge's end in each) by steps."""
        ring, edges = self.ring[blossom], self.edges[blossom]
        at, count = ring.index(part), len(ring)
        found = []
        step = 1 if at % 2 else -1
        while at % count:
            after = (at + step) % count
            a, b = edges[at] if step == 1 else edges[after][::-1]
            found.append((ring[at], ring[after], a, b))
            at = after
        return found

    def _open(self, blossom: int) -> None:
        """Take apart an odd blossom whose label reached zero; the tree keeps the even way through it."""
        enter = self.enter[blossom]
        assert enter is not None
        part = enter[1]
        while self.holder[part] != blossom:
            part = self.holder[part]
        steps = self._walk(blossom, part)
        ring = self.ring[blossom]
        self._part(blossom)
        for other in ring:
            self._set_kind(other, FREE, None)
        for at in range(0, len(steps), 2):
            odd, even, a, b = steps[at]
            self._set_kind(odd, ODD, enter)
            self._set_kind(even, EVEN, (a, b))
            enter = steps[at + 1][2:]
        self._set_kind(steps[-1][1] if steps else part, ODD, enter)
        for at in range(0, len(steps), 2):
            self._scan(self.members[steps[at][1]])

    def _rebase(self, top: int, v: int) -> None:
        """Turn the pairs inside a blossom so that v is the one paired outside."""
        if top < self.size:
            return
        part = v
        while self.holder[part] != top:
            part = self.holder[part]
        self._rebase(part, v)
        steps = self._walk(top, part)
        for at in range(1, len(steps), 2):
            one, other, a, b = steps[at]
            self._rebase(one, a)
            self._rebase(other, b)
            self.mate[a], self.mate[b] = b, a
        turn = self.ring[top].index(part)
        self.ring[top] = self.ring[top][turn:] + self.ring[top][:turn]
        self.edges[top] = self.edges[top][turn:] + self.edges[top][:turn]
        self.base[top] = v
