"""What is left of waves and boats while a dive is filled, as one short tuple of whole numbers.

For each wave the room left and whether it is led (0 empty, 1 without a leader yet, 2 led), then for each boat the
seats left; `LOOSE` where it cannot run out, so that equal situations look alike.
"""

from __future__ import annotations

from teamdive.pairing.several import LOOSE, NO_BOAT, Boat, Column, OneDive

State = tuple[int, ...]


class Rooms:
    """The waves and boats of one dive."""

    def __init__(self, dive: OneDive, boats: tuple[Boat, ...]) -> None:
        self.waves = dive.waves
        self.boats = boats
        size = dive.free.bit_count()
        every = [column for row in dive.columns for column in row]
        all_lead = all(column.leads for column in every)
        start: list[int] = []
        for wave in dive.waves:
            start.append(LOOSE if wave.room >= size else wave.room)
            start.append(0 if wave.leader and not all_lead else 2)
        used = [wave.boat for wave in dive.waves]
        start += [
            LOOSE if boat.seats >= size or at not in used else boat.seats for at, boat in enumerate(boats)
        ]
        self.start: State = tuple(start)
        # Of two waves that are alike in all respects only the first is tried while both are as full.
        self.alike = [
            next(
                (
                    before
                    for before in range(at)
                    if dive.waves[before] == wave
                    and all((before in column.waves) == (at in column.waves) for column in every)
                ),
                NO_BOAT,
            )
            for at, wave in enumerate(dive.waves)
        ]

    def unseated(self, column: Column, wave: int) -> int:
        """How many of a team take one of the boat's free seats."""
        boat = self.waves[wave].boat
        return 0 if boat == NO_BOAT else (column.bits & ~self.boats[boat].aboard).bit_count()

    def put(self, state: State, column: Column, wave: int) -> State | None:
        """What is left with this team in this wave; None where it does not fit or an equal wave is tried first."""
        same = self.alike[wave]
        if same != NO_BOAT and state[2 * same : 2 * same + 2] == state[2 * wave : 2 * wave + 2]:
            return None
        after = list(state)
        room = state[2 * wave]
        if room != LOOSE:
            if room < len(column.members):
                return None
            after[2 * wave] = room - len(column.members)
        if column.leads:
            after[2 * wave + 1] = 2
        elif after[2 * wave + 1] == 0:
            after[2 * wave + 1] = 1
        boat = self.waves[wave].boat
        if boat != NO_BOAT:
            seats = state[2 * len(self.waves) + boat]
            wanted = self.unseated(column, wave)
            if seats != LOOSE:
                if seats < wanted:
                    return None
                after[2 * len(self.waves) + boat] = seats - wanted
        return tuple(after)

    def led(self, state: State) -> bool:
        """Whether no wave that needs a leader dives without one."""
        return all(state[2 * wave + 1] != 1 for wave in range(len(self.waves)))


class Completion:
    """The least cost of placing those still free on one dive by itself: exact, each situation worked out once.

    As a bound for the whole day it is never too high: it leaves out the price between the dives, which is never
    negative, and what other dives take of the boats, which only narrows the choice.
    """

    def __init__(self, dive: OneDive, boats: tuple[Boat, ...]) -> None:
        self.dive = dive
        self.rooms = Rooms(dive, boats)
        self.known: dict[tuple[int, int, State], int | None] = {}

    def whole(self) -> int:
        """The least cost of the whole dive: leaving everybody out is always possible."""
        found = self.least(self.dive.free, self.dive.threes, self.rooms.start)
        assert found is not None
        return found

    def least(self, free: int, threes: int, state: State) -> int | None:
        """None where a wave would be left without its leader whatever is done."""
        if free == 0:
            return 0 if self.rooms.led(state) else None
        key = (free, threes, state)
        if key in self.known:
            return self.known[key]
        lowest = free & -free
        diver = lowest.bit_length() - 1
        best = self.least(free ^ lowest, threes, state)
        if best is not None:
            best += self.dive.left[diver]
        for column in self.dive.columns[diver]:
            if column.bits & free != column.bits or (column.three and threes == 0):
                continue
            for wave in column.waves:
                after = self.rooms.put(state, column, wave)
                if after is None:
                    continue
                rest = self.least(free ^ column.bits, threes - (1 if column.three else 0), after)
                if rest is not None and (best is None or column.cost + rest < best):
                    best = column.cost + rest
        self.known[key] = best
        return best
