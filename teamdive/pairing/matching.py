"""Heaviest matching in a general graph, in integers: pairs of divers with the greatest total gain.

Edmonds' blossom method in its primal-dual form with alternating trees grown from every free vertex at
once (Edmonds, Paths, trees, and flowers, 1965; Galil, Efficient algorithms for finding maximum matching
in graphs, 1986). Gains are whole numbers of any size, so ties can be told apart by digits below the
costs; labels are kept doubled, so that every halving is exact. The labels that come back prove the
optimum: see `proof`.
"""

from __future__ import annotations

from teamdive.pairing.proof import Matching

FREE, EVEN, ODD = 0, 1, 2
NONE = -1


def heaviest(size: int, gain: list[list[int]]) -> Matching:
    """The matching of greatest total gain. `gain[i][j]` symmetric, 0 where i and j cannot pair."""
    return _Search(size, gain).run()


class _Search:
    """Vertices are 0..size-1, blossoms size..; `top[v]` is the outermost blossom (or vertex) that holds v.

    `via[x][y]` is the real edge (from inside x, to inside y) of least slack between two tops.
    """

    def __init__(self, size: int, gain: list[list[int]]) -> None:
        room = size + size // 2 + 1
        self.size, self.used = size, size
        self.twice = [[2 * value for value in row] for row in gain]
        greatest = max((value for row in gain for value in row), default=0)
        self.label = [greatest] * size + [0] * (room - size)
        self.top = [*range(size)] + [NONE] * (room - size)
        self.mate = [NONE] * room
        self.parent = [NONE] * room
        self.kind = [FREE] * room
        self.near = [NONE] * room
        self.seen = [0] * room
        self.round = 0
        self.ring: list[list[int]] = [[] for _ in range(room)]
        self.home = [[NONE] * size for _ in range(room)]
        self.via: list[list[tuple[int, int] | None]] = [[None] * room for _ in range(room)]
        for u in range(size):
            self.home[u][u] = u
            for v in range(size):
                if u != v and gain[u][v] > 0:
                    self.via[u][v] = (u, v)
        self.queue: list[int] = []

    def run(self) -> Matching:
        while self._stage():
            pass
        size = self.size
        blossoms = tuple(
            (tuple(v for v in range(size) if self.home[b][v] != NONE), self.label[b])
            for b in range(size, self.used)
            if self.top[b] != NONE and self.label[b] > 0
        )
        return Matching(tuple(self.mate[:size]), tuple(self.label[:size]), blossoms)

    # --- slack ---

    def _slack(self, edge: tuple[int, int]) -> int:
        return self.label[edge[0]] + self.label[edge[1]] - self.twice[edge[0]][edge[1]]

    def _nearer(self, vertex: int, top: int) -> None:
        edge = self.via[vertex][top]
        if edge is None:
            return
        known = self.near[top]
        old = None if known == NONE else self.via[known][top]
        if old is None or self._slack(edge) < self._slack(old):
            self.near[top] = vertex

    def _find_near(self, top: int) -> None:
        self.near[top] = NONE
        for u in range(self.size):
            if self.top[u] != top and self.kind[self.top[u]] == EVEN:
                self._nearer(u, top)

    def _enqueue(self, top: int) -> None:
        if top < self.size:
            self.queue.append(top)
        else:
            for part in self.ring[top]:
                self._enqueue(part)

    def _set_top(self, part: int, top: int) -> None:
        self.top[part] = top
        if part >= self.size:
            for inner in self.ring[part]:
                self._set_top(inner, top)

    # --- changing the matching ---

    def _even_place(self, blossom: int, part: int) -> int:
        """Turn the ring round if need be so that `part` stands an even number of steps from the base."""
        ring = self.ring[blossom]
        at = ring.index(part)
        if at % 2:
            ring[1:] = ring[:0:-1]
            return len(ring) - at
        return at

    def _match(self, x: int, y: int) -> None:
        """Match top x along its edge towards top y; inside a blossom the base moves to where the edge ends."""
        edge = self.via[x][y]
        assert edge is not None
        self.mate[x] = edge[1]
        if x >= self.size:
            part = self.home[x][edge[0]]
            at = self._even_place(x, part)
            ring = self.ring[x]
            for step in range(at):
                self._match(ring[step], ring[step ^ 1])
            self._match(part, y)
            self.ring[x] = ring[at:] + ring[:at]

    def _augment(self, x: int, y: int) -> None:
        while True:
            freed = NONE if self.mate[x] == NONE else self.top[self.mate[x]]
            self._match(x, y)
            if freed == NONE:
                return
            back = self.top[self.parent[freed]]
            self._match(freed, back)
            x, y = back, freed

    def _meet(self, x: int, y: int) -> int:
        """The nearest even top on both ways to the roots, or none when the roots differ."""
        self.round += 1
        while x != NONE or y != NONE:
            if x != NONE:
                if self.seen[x] == self.round:
                    return x
                self.seen[x] = self.round
                x = NONE if self.mate[x] == NONE else self.top[self.mate[x]]
                if x != NONE:
                    x = self.top[self.parent[x]]
            x, y = y, x
        return NONE

    def _shrink(self, x: int, base: int, y: int) -> None:
        """Make one blossom of the odd ring x ... base ... y."""
        b = self.size
        while b < self.used and self.top[b] != NONE:
            b += 1
        self.used = max(self.used, b + 1)
        ring = [base]
        for start in (x, y):
            part = start
            while part != base:
                inner = self.top[self.mate[part]]
                ring += [part, inner]
                self._enqueue(inner)
                part = self.top[self.parent[inner]]
            if start == x:
                ring[1:] = ring[:0:-1]
        self.ring[b] = ring
        self.label[b], self.kind[b], self.mate[b], self.parent[b] = (
            0,
            EVEN,
            self.mate[base],
            self.parent[base],
        )
        self._set_top(b, b)
        for other in range(self.used):
            self.via[b][other] = self.via[other][b] = None
        self.home[b] = [NONE] * self.size
        for part in ring:
            for other in range(self.used):
                edge = self.via[part][other]
                if edge is not None:
                    old = self.via[b][other]
                    if old is None or self._slack(edge) < self._slack(old):
                        self.via[b][other] = edge
                        self.via[other][b] = (edge[1], edge[0])
            for v in range(self.size):
                if self.home[part][v] != NONE:
                    self.home[b][v] = part
        self._find_near(b)

    def _open(self, b: int) -> None:
        """Take apart an odd blossom whose label reached zero; the tree keeps the even way through it."""
        for part in self.ring[b]:
            self._set_top(part, part)
        edge = self.via[b][self.top[self.parent[b]]]
        assert edge is not None
        entry = self.home[b][edge[0]]
        at = self._even_place(b, entry)
        ring = self.ring[b]
        for step in range(0, at, 2):
            odd, even = ring[step], ring[step + 1]
            way = self.via[even][odd]
            assert way is not None
            self.parent[odd] = way[0]
            self.kind[odd], self.kind[even] = ODD, EVEN
            self.near[odd] = NONE
            self._find_near(even)
            self._enqueue(even)
        self.kind[entry], self.parent[entry] = ODD, self.parent[b]
        for part in ring[at + 1 :]:
            self.kind[part] = FREE
            self._find_near(part)
        self.top[b] = NONE

    def _tight(self, edge: tuple[int, int]) -> bool:
        """Use an edge without slack out of an even top; true when the matching grew."""
        x, y = self.top[edge[0]], self.top[edge[1]]
        if self.kind[y] == FREE:
            self.parent[y], self.kind[y] = edge[0], ODD
            inner = self.top[self.mate[y]]
            self.near[y] = self.near[inner] = NONE
            self.kind[inner] = EVEN
            self._enqueue(inner)
        elif self.kind[y] == EVEN:
            base = self._meet(x, y)
            if base == NONE:
                self._augment(x, y)
                self._augment(y, x)
                return True
            self._shrink(x, base, y)
        return False

    def _tops(self) -> list[int]:
        return [x for x in range(self.used) if self.top[x] == x]

    def _stage(self) -> bool:
        """Grow the matching by one pair; false when it is the heaviest."""
        for x in range(self.used):
            self.kind[x], self.near[x] = FREE, NONE
        self.queue = []
        for x in self._tops():
            if self.mate[x] == NONE:
                self.parent[x], self.kind[x] = NONE, EVEN
                self._enqueue(x)
        if not self.queue:
            return False
        while True:
            at = 0
            while at < len(self.queue):
                u = self.queue[at]
                at += 1
                if self.kind[self.top[u]] == ODD:
                    continue
                for v in range(self.size):
                    if self.via[u][v] is not None and self.top[u] != self.top[v]:
                        if self._slack((u, v)) == 0:
                            if self._tight((u, v)):
                                return True
                        else:
                            self._nearer(u, self.top[v])
            if not self._shift():
                return False
            self.queue = []
            for x in range(self.used):
                # Looked at afresh each time: a blossom may have swallowed the next top.
                u = self.near[x] if self.top[x] == x else NONE
                if u != NONE and self.top[u] != x:
                    edge = self.via[u][x]
                    if edge is not None and self._slack(edge) == 0 and self._tight(edge):
                        return True
            for b in range(self.size, self.used):
                if self.top[b] == b and self.kind[b] == ODD and self.label[b] == 0:
                    self._open(b)

    def _shift(self) -> bool:
        """Move the labels until an edge becomes tight or a blossom opens; false when free labels reach 0."""
        steps: list[int] = []
        for x in self._tops():
            if x >= self.size and self.kind[x] == ODD:
                steps.append(self.label[x] // 2)
            edge = None if self.near[x] == NONE else self.via[self.near[x]][x]
            if edge is not None and self.kind[x] != ODD:
                slack = self._slack(edge)
                steps.append(slack if self.kind[x] == FREE else slack // 2)
        # Free vertices are even and all hold the least even label.
        ceiling = min(self.label[u] for u in range(self.size) if self.kind[self.top[u]] == EVEN)
        step = min([ceiling, *steps])
        for u in range(self.size):
            kind = self.kind[self.top[u]]
            self.label[u] += step if kind == ODD else -step if kind == EVEN else 0
        for b in range(self.size, self.used):
            if self.top[b] == b:
                self.label[b] += 2 * step if self.kind[b] == EVEN else -2 * step if self.kind[b] == ODD else 0
        return step < ceiling
