"""The two or three dives of one day as the search sees them: whole numbers and positions, no names.

Divers are positions in the list of all sorted by id, the same on every dive; sets of divers are bits of a whole
number. A team's cost holds all its tiers (see `several_case`). Dives are coupled by nothing but the price between
them (`between`) and the boats: a diver stays with one boat all day. Waves are of one dive.
"""

from __future__ import annotations

from dataclasses import dataclass

NO_BOAT = -1
LOOSE = -1
"""In place of a room or of seats that cannot run out."""


@dataclass(frozen=True)
class Wave:
    """Teams in the water at the same time. `leader`: one of its divers must be able to lead."""

    room: int
    boat: int
    leader: bool


@dataclass(frozen=True)
class Boat:
    """`seats` are for divers who have no fixed one; `aboard` (bits) are those who have."""

    seats: int
    aboard: int


@dataclass(frozen=True)
class Column:
    """A permitted team; `waves` are those in which it may dive. `three`: it counts against the threes allowed."""

    members: tuple[int, ...]
    bits: int
    cost: int
    leads: bool
    three: bool
    waves: tuple[int, ...]


@dataclass(frozen=True)
class OneDive:
    """`columns[i]` are the teams whose lowest member is i, in the order of members; `left[i]` is what it costs to
    leave i out; `free` (bits) are those to place; `threes` the most teams of three."""

    columns: tuple[tuple[Column, ...], ...]
    left: tuple[int, ...]
    free: int
    threes: int
    waves: tuple[Wave, ...]


@dataclass(frozen=True)
class Several:
    """`partners`: "keep" (on each two dives that follow each other, every diver who could dive on both and does not
    dive with the same mates costs `price`; being left out on both is the same), "change" (each diver of two who dive
    together costs it for each dive after their first) or "either". `before`: teams (bits) of the dive before these,
    already made.
    """

    size: int
    dives: tuple[OneDive, ...]
    boats: tuple[Boat, ...]
    partners: str
    price: int
    before: tuple[int, ...]

    def boat_of(self, diver: int) -> int:
        """The boat on which a diver has a fixed seat, or `NO_BOAT`."""
        return next((at for at, boat in enumerate(self.boats) if boat.aboard >> diver & 1), NO_BOAT)

    def most(self) -> int:
        """More than any day costs that is no worse than leaving everybody out on every dive."""
        out = sum(
            dive.left[diver] for dive in self.dives for diver in range(self.size) if dive.free >> diver & 1
        )
        return out + self.price * self.size * len(self.dives) + 1


@dataclass(frozen=True)
class Placed:
    column: Column
    wave: int


Plan = tuple[tuple[Placed, ...], ...]
"""For each dive its teams, each in its wave."""


def mates_of(size: int, teams: tuple[int, ...]) -> list[int]:
    """For each diver the bits of the team, 0 where there is none."""
    found = [0] * size
    for bits in teams:
        for diver in range(size):
            if bits >> diver & 1:
                found[diver] = bits
    return found
