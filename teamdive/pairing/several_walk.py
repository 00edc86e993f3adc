"""The best way through all dives of a day, proven.

The lowest diver whose place on any dive is open decides next, the first such dive first, so that a change of mates
is paid for as soon as it is chosen. A branch is left where what was spent, the exact least cost of the rest of each
dive by itself (`Completion`) and the changes that can no longer be avoided (`between.certain`) reach the best day
known; and where the same was open before for no more. First the cheapest branch goes first, which finds the least
cost; then branches go in the order of ids and the first day of that cost is the answer: diver by diver and dive by
dive the team-mates, a pair before a three, left out last, then waves in the order given.
"""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.pairing.several import NO_BOAT, Column, Placed, Plan, Several
from teamdive.pairing.several_between import Between
from teamdive.pairing.several_rooms import Completion, State

MOST_STEPS = 30_000
"""Branches each of the two passes may take; past them the best day met is given with its gap."""


@dataclass(frozen=True)
class Walked:
    """`plan` None: none cheaper than the limit was met. `ended`: nothing was left untried."""

    plan: Plan | None
    cost: int
    ended: bool


def best_plan(several: Several, limit: int | None = None, most: int = MOST_STEPS) -> tuple[Walked, int]:
    """The best day cheaper than `limit` (any, where it is None), and what no day costs less than."""
    tables = [Completion(dive, several.boats) for dive in several.dives]
    least = sum(table.whole() for table in tables)
    first = _Walk(several, tables, several.most() if limit is None else limit, False, most).found()
    if first.plan is None:
        return first, least
    in_order = _Walk(several, tables, first.cost + 1, True, most).found()
    found = first if in_order.plan is None else in_order
    return Walked(found.plan, found.cost, first.ended), first.cost if first.ended else least


class _Walk:
    """One pass. The lists hold what has been decided so far and are put back on the way up."""

    def __init__(
        self, several: Several, tables: list[Completion], limit: int, by_ids: bool, most: int
    ) -> None:
        self.several, self.tables, self.limit, self.by_ids, self.most = several, tables, limit, by_ids, most
        self.between = Between(several)
        self.free = [dive.free for dive in several.dives]
        self.threes = [dive.threes for dive in several.dives]
        self.states = [table.rooms.start for table in tables]
        self.rest = [table.whole() for table in tables]
        self.boat_of = [several.boat_of(diver) for diver in range(several.size)]
        self.seats = [boat.seats for boat in several.boats]
        self.chosen: list[list[Placed]] = [[] for _ in several.dives]
        self.seen: dict[tuple[object, ...], int] = {}
        self.best: Plan | None = None
        self.steps = 0
        self.done = False

    def found(self) -> Walked:
        self.walk(0)
        return Walked(self.best, self.limit, self.steps < self.most)

    def walk(self, spent: int) -> None:
        at = self._next()
        if at is None:
            if spent < self.limit:
                self.best, self.limit = tuple(tuple(teams) for teams in self.chosen), spent
                # In the order of ids the first day of the least cost is the answer.
                self.done = self.by_ids
            return
        branches = self._branches(at, spent)
        if not self.by_ids:
            branches.sort(key=lambda one: (one[0], one[1]))
        kept = self.free[at], self.threes[at], self.states[at], self.rest[at]
        for bound, _, column, wave, now, after, rest in branches:
            if self.done or bound >= self.limit:
                continue
            if self.steps >= self.most:
                self.done = True
                return
            self.steps += 1
            lowest = kept[0] & -kept[0]
            bits = lowest if column is None else column.bits
            self.free[at], self.states[at], self.rest[at] = kept[0] ^ bits, after, rest
            new: list[int] = []
            boat = NO_BOAT
            if column is not None:
                boat = self.several.dives[at].waves[wave].boat
                self.threes[at] = kept[1] - (1 if column.three else 0)
                new = self._seated(column, boat) or []
                self._seat(new, boat, boat)
                self.chosen[at].append(Placed(column, wave))
            self.between.decide(at, bits, column is None)
            if self._first_time(now):
                self.walk(now)
            self.between.undo(at, bits)
            if column is not None:
                self.chosen[at].pop()
                self._seat(new, boat, NO_BOAT)
            self.free[at], self.threes[at], self.states[at], self.rest[at] = kept

    def _next(self) -> int | None:
        """The dive whose lowest free diver is the lowest of all; None once nothing is open."""
        best: int | None = None
        for at, free in enumerate(self.free):
            if free and (best is None or free & -free < self.free[best] & -self.free[best]):
                best = at
        return best

    def _branches(self, at: int, spent: int) -> list[tuple[int, int, Column | None, int, int, State, int]]:
        """(bound, place in the order of ids, the team or None for left out, wave, spent with it, rooms, rest)."""
        free, state, table = self.free[at], self.states[at], self.tables[at]
        lowest = free & -free
        others = sum(self.rest) - self.rest[at]
        found: list[tuple[int, int, Column | None, int, int, State, int]] = []

        def branch(column: Column | None, wave: int, more: int, rest: int | None, after: State) -> None:
            if rest is not None and spent + more + rest + others < self.limit:
                found.append(
                    (spent + more + rest + others, len(found), column, wave, spent + more, after, rest)
                )

        for column in self.several.dives[at].columns[lowest.bit_length() - 1]:
            if column.bits & free != column.bits or (column.three and self.threes[at] == 0):
                continue
            more = column.cost + self.between.price_of(at, column.bits, False)
            left = self.threes[at] - (1 if column.three else 0)
            for wave in column.waves:
                after = table.rooms.put(state, column, wave)
                if after is None or self._seated(column, self.several.dives[at].waves[wave].boat) is None:
                    continue
                branch(column, wave, more, table.least(free ^ column.bits, left, after), after)
        out = self.several.dives[at].left[lowest.bit_length() - 1] + self.between.price_of(at, lowest, True)
        branch(None, 0, out, table.least(free ^ lowest, self.threes[at], state), state)
        return found

    def _first_time(self, now: int) -> bool:
        """Whether a day can still come of this: not where the same was open before for no more."""
        if now + sum(self.rest) + self.between.certain(self.free) >= self.limit:
            return False
        key = (*self.free, *self.threes, *self.states, *self.between.open(self.free), *self.boat_of)
        before = self.seen.get(key)
        if before is not None and before <= now:
            return False
        self.seen[key] = now
        return True

    def _seated(self, column: Column, boat: int) -> list[int] | None:
        """Who of a team takes a free seat of this boat; None where one has another boat or the seats run out."""
        if boat == NO_BOAT:
            return []
        new = [diver for diver in column.members if self.boat_of[diver] == NO_BOAT]
        if any(self.boat_of[diver] not in (NO_BOAT, boat) for diver in column.members):
            return None
        return None if len(new) > self.seats[boat] else new

    def _seat(self, divers: list[int], boat: int, now: int) -> None:
        for diver in divers:
            self.boat_of[diver] = now
            self.seats[boat] += 1 if now == NO_BOAT else -1
