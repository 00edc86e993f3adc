"""What it costs who dives with whom on more dives than one, told as soon as it is decided."""

from __future__ import annotations

from teamdive.pairing.several import Several, mates_of


class Between:
    """`mates[k][i]`: the team (bits) of diver i on dive k, one bit past the last diver where i is left out, 0 while
    open or where i cannot dive. Dive 0 are the teams made before, where there are any."""

    def __init__(self, several: Several) -> None:
        self.several = several
        self.shift = 1 if several.before else 0
        self.mates = [mates_of(several.size, several.before)] if several.before else []
        self.mates += [[0] * several.size for _ in several.dives]
        self.teams: list[list[int]] = [[*several.before]] if several.before else []
        self.teams += [[] for _ in several.dives]
        # Teams that each dive permits; where the rules bar a team on one of two dives it cannot stay together.
        self.permitted = [
            frozenset(column.bits for row in dive.columns for column in row) for dive in several.dives
        ]

    def price_of(self, at: int, bits: int, out: bool) -> int:
        """What deciding this team, or leaving this diver out, costs against what is decided on other dives."""
        several, here = self.several, at + self.shift
        if several.partners == "either":
            return 0
        value = 1 << several.size if out else bits
        count = 0
        for diver in range(several.size):
            if not bits >> diver & 1:
                continue
            if several.partners == "keep":
                for other in (here - 1, here + 1):
                    decided = self.mates[other][diver] if 0 <= other < len(self.mates) else 0
                    count += 1 if decided and decided != value else 0
            elif not out:
                met = 0
                for other, mates in enumerate(self.mates):
                    met |= mates[diver] if other != here else 0
                count += (met & bits & ~(1 << diver)).bit_count()
        return several.price * count

    def decide(self, at: int, bits: int, out: bool) -> None:
        here, value = at + self.shift, 1 << self.several.size if out else bits
        for diver in range(self.several.size):
            if bits >> diver & 1:
                self.mates[here][diver] = value
        if not out:
            self.teams[here].append(bits)

    def undo(self, at: int, bits: int) -> None:
        here = at + self.shift
        for diver in range(self.several.size):
            if bits >> diver & 1:
                self.mates[here][diver] = 0
        if self.teams[here] and self.teams[here][-1] == bits:
            self.teams[here].pop()

    def certain(self, free: list[int]) -> int:
        """What those still open will cost for certain: their mates of the dive before or after are no longer to be
        had, so they dive with others or are left out. Counted once for each of them and each such dive."""
        if self.several.partners != "keep":
            return 0
        count = 0
        for here, teams in enumerate(self.teams):
            for other in (here - 1, here + 1):
                if not self.shift <= other < len(self.teams):
                    continue
                open_there = free[other - self.shift]
                for bits in teams:
                    left = bits & open_there
                    if left and (left != bits or bits not in self.permitted[other - self.shift]):
                        count += left.bit_count()
        return self.several.price * count

    def open(self, free: list[int]) -> tuple[int, ...]:
        """All that later decisions still depend on: the decided teams with a diver open on another dive, and those
        left out on one dive and open on another, dive by dive."""
        if self.several.partners == "either":
            return ()
        found: list[int] = []
        out = 1 << self.several.size
        for here, teams in enumerate(self.teams):
            elsewhere = 0
            for at, bits in enumerate(free):
                near = abs(at + self.shift - here) == 1 or self.several.partners == "change"
                elsewhere |= bits if near and at + self.shift != here else 0
            found += sorted(bits for bits in teams if bits & elsewhere)
            found.append(
                out
                + sum(1 << i for i, one in enumerate(self.mates[here]) if one == out and elsewhere >> i & 1)
            )
        return tuple(found)
