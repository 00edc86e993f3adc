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
UNKNOWN = -1


@dataclass(frozen=True)
class Floors:
    """What a three costs at least, from what is known of each diver and of each pair, by position.

    `own`: minutes a diver could have, or `UNKNOWN`. `limit[i][j]`: minutes that the pair can have, `NO_LIMIT`
    where it was not asked: a third diver only takes time away, since every limit of a team is the least over its
    divers and the gas to share goes by its two heaviest breathers. `safety`: what a diver's own stretches cost in
    any team. `leads`, `practised`: one at least in every team, the former where anybody is `charged`; a diver whom
    an override names is `free` of both, and so is every team that holds one. `announced`: threes as announced, None
    where nothing was. `strangers`: 1 for who was not announced, where changes come first; None where they come
    last. `barred`: a rule bars every three.
    """

    own: tuple[int, ...]
    limit: tuple[tuple[int, ...], ...]
    safety: tuple[int, ...]
    leads: tuple[bool, ...]
    practised: tuple[bool, ...]
    charged: tuple[bool, ...]
    free: tuple[bool, ...]
    announced: frozenset[tuple[int, ...]] | None
    strangers: tuple[int, ...] | None
    barred: bool = False

    def of(self, members: tuple[int, ...]) -> Team | None:
        """The three at the least it can cost; None where a rule bars it for certain."""
        if not any(self.free[one] for one in members):
            if not any(self.practised[one] for one in members):
                return None
            if any(self.charged[one] for one in members) and not any(self.leads[one] for one in members):
                return None
        i, j, k = members
        have = min(self.limit[i][j], self.limit[i][k], self.limit[j][k])
        own = [self.own[one] for one in members]
        # A limit that is not known of one is not known of the team, and costs nobody minutes.
        seconds = 0 if UNKNOWN in own else 60 * sum(max(0, most - have) for most in own)
        safety = sum(self.safety[one] for one in members)
        count = 0 if self.announced is None or members in self.announced else len(members)
        if self.strangers is None:
            return Team(members, 0, safety, seconds, count)
        return Team(members, count + sum(self.strangers[one] for one in members), 0, safety, seconds)


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
