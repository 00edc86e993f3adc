"""What the search is handed and what it gives back: whole numbers and positions, no names."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations


@dataclass(frozen=True)
class Team:
    """A permitted team: `members` ascending positions in the list of divers sorted by id."""

    members: tuple[int, ...]
    overrides: int
    safety: int
    seconds: int
    changes: int

    def tiers(self) -> tuple[int, int, int, int, int]:
        return 0, self.overrides, self.safety, self.seconds, self.changes


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


# Where nothing is known of how long a pair could stay, in minutes.
NO_LIMIT = 10**6


# What is known of one diver, as bits: those of a team are told in one step. See `Floors`.
FREE, PRACTISED, LEADS, CHARGED, STRETCHED, NOT_KNOWN, HELPS, AT_EDGE, AWAY = (1 << bit for bit in range(9))


@dataclass(frozen=True)
class Floors:
    """What a three costs at least, from what is known of each diver and of each pair, by position.

    `own`: minutes a diver could have (0 where that is not known). `limit[i][j]`: minutes that the pair can have,
    `NO_LIMIT` where it was not asked: a third diver only takes time away, since every limit of a team is the least
    over its divers and the gas to share goes by its two heaviest breathers. `safety`: what a diver's own stretches
    cost in any team; `beside[i][j]`: what those of j cost more with i as the leader; who leads is among those of
    least `rank`. `prices`: of one whom nobody else can help, of all at the edge, of all away for long.
    `bits`: PRACTISED or LEADS is one at least in every team, the latter where anybody is CHARGED, and two STRETCHED
    are not in one team; a diver whom an override names is FREE of all that, and so is every team that holds one.
    NOT_KNOWN: how long this diver could stay. HELPS: fit to help others. AT_EDGE, AWAY: see `cost.safety`.
    `announced`: threes as announced, None where nothing was. `strangers`: 1 for who was not announced, where
    changes come first; None where they come last. `barred`: a rule bars every three.
    """

    own: tuple[int, ...]
    limit: tuple[tuple[int, ...], ...]
    safety: tuple[int, ...]
    beside: tuple[tuple[int, ...], ...]
    rank: tuple[int, ...]
    prices: tuple[int, int, int]
    bits: tuple[int, ...]
    announced: frozenset[tuple[int, ...]] | None
    strangers: tuple[int, ...] | None
    barred: bool = False

    def of(self, members: tuple[int, ...]) -> Team | None:
        """The three at the least it can cost; None where a rule bars it for certain."""
        i, j, k = members
        x, y, z = self.bits[i], self.bits[j], self.bits[k]
        anyone, two, everyone = x | y | z, x & y | x & z | y & z, x & y & z
        if not anyone & FREE:
            if two & STRETCHED or not anyone & PRACTISED:
                return None
            if anyone & CHARGED and not anyone & LEADS:
                return None
        limit, own = self.limit, self.own
        have = min(limit[i][j], limit[i][k], limit[j][k])
        # A limit that is not known of one is not known of the team, and costs nobody minutes.
        seconds = 0 if anyone & NOT_KNOWN else 60 * sum(own[one] - have for one in members if own[one] > have)
        safety = self._safety(members, anyone, two, everyone)
        count = 0 if self.announced is None or members in self.announced else len(members)
        if self.strangers is None:
            return Team(members, 0, safety, seconds, count)
        return Team(members, count + sum(self.strangers[one] for one in members), 0, safety, seconds)

    def _safety(self, members: tuple[int, ...], anyone: int, two: int, everyone: int) -> int:
        alone, edge, away = self.prices
        found = 0 if two & HELPS else alone if anyone & HELPS else 3 * alone
        if everyone & AT_EDGE:
            found += edge
        if everyone & AWAY:
            found += away
        if not anyone & STRETCHED:
            return found
        i, j, k = members
        first = min(self.rank[i], self.rank[j], self.rank[k])
        costs = (self.beside[one] for one in members if self.rank[one] == first)
        return (
            found + self.safety[i] + self.safety[j] + self.safety[k] + min(c[i] + c[j] + c[k] for c in costs)
        )


@dataclass(frozen=True)
class Threes:
    """Teams of three, of which only those that may be best need a price; called, it gives all that are permitted.

    `floors` is asked once threes are wanted. `price`: the team itself; None where it is not permitted.
    """

    floors: Callable[[], Floors]
    price: Callable[[tuple[int, ...]], Team | None]

    def least(self) -> list[Team]:
        """Every three that no rule bars for certain, at the least it can cost, in the order of members."""
        floors = self.floors()
        every = [] if floors.barred else combinations(range(len(floors.own)), 3)
        return [floor for members in every if (floor := floors.of(members)) is not None]

    def __call__(self) -> list[Team]:
        return [team for one in self.least() if (team := self.price(one.members)) is not None]
