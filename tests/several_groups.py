"""Random days of two or three dives for the search alone, and the best day by trying every one of them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from random import Random

from teamdive.pairing.several import NO_BOAT, Boat, Column, OneDive, Placed, Plan, Several, Wave


def random_several(
    random: Random, size: int, dives: int, density: float = 0.8, regime: str | None = None
) -> Several:
    """Costs are small whole numbers with a few ties; leaving somebody out costs 10,000."""
    boats: tuple[Boat, ...] = ()
    if random.random() < 0.4:
        pinned = [random.choice([0, 0, 0, 1, 2]) for _ in range(size)]
        sides = [sum(1 << i for i in range(size) if pinned[i] == side) for side in (1, 2)]
        boats = tuple(Boat(random.randint(1, size), side) for side in sides)
    return Several(
        size=size,
        dives=tuple(_dive(random, size, boats, density, regime) for _ in range(dives)),
        boats=boats,
        partners=random.choice(["either", "keep", "change"]),
        price=random.choice([0, 1, 3, 10]),
        before=(0b11, 0b1100) if size > 3 and random.random() < 0.2 else (),
    )


def _dive(random: Random, size: int, boats: tuple[Boat, ...], density: float, regime: str | None) -> OneDive:
    leads = [random.random() < 0.6 for _ in range(size)]
    count = random.choice([1, 1, 2]) if not boats else random.choice([2, 3])
    waves = tuple(
        Wave(
            room=random.choice([size, size, random.randint(2, size)]),
            boat=NO_BOAT if not boats else at % 2,
            leader=random.random() < 0.5,
        )
        for at in range(count)
    )
    cover = [random.choice([0, 0, 1 << random.randrange(size)]) for _ in waves]
    columns: list[list[Column]] = [[] for _ in range(size)]
    chosen = regime or random.choice(["never", "only_when_odd", "free"])
    sizes = (2,) if chosen == "never" else (2, 3)
    every = sorted(members for many in sizes for members in combinations(range(size), many))
    for members in every:
        bits = sum(1 << one for one in members)
        if random.random() > density:
            continue
        allowed = tuple(
            at
            for at, wave in enumerate(waves)
            if not bits & cover[at]
            and not any(other != wave.boat and bits & boat.aboard for other, boat in enumerate(boats))
        )
        if allowed:
            cost = random.choice([0, 1, 2, 5, 8, 60]) * len(members)
            led = any(leads[one] for one in members)
            columns[members[0]].append(Column(members, bits, cost, led, len(members) == 3, allowed))
    out = [random.random() < 0.1 for _ in range(size)]
    free = sum(1 << one for one in range(size) if not out[one])
    threes = {"never": 0, "only_when_odd": 1, "free": size}[chosen]
    rows = tuple(tuple(one for one in row if one.bits & free == one.bits) for row in columns)
    return OneDive(rows, (10_000,) * size, free, threes, waves)


def days_of(dive: OneDive, size: int) -> Iterator[tuple[Placed, ...]]:
    """Every way to fill one dive, its waves held against their room and leader; boats are left to the whole day."""

    def fill(at: int, taken: int, chosen: tuple[Placed, ...]) -> Iterator[tuple[Placed, ...]]:
        if at == size:
            yield chosen
            return
        if not dive.free >> at & 1 or taken >> at & 1:
            yield from fill(at + 1, taken, chosen)
            return
        for column in dive.columns[at]:
            if not column.bits & taken:
                for wave in column.waves:
                    yield from fill(at + 1, taken | column.bits, (*chosen, Placed(column, wave)))
        yield from fill(at + 1, taken, chosen)

    for chosen in fill(0, 0, ()):
        if sum(one.column.three for one in chosen) > dive.threes:
            continue
        teams = [[one.column for one in chosen if one.wave == at] for at in range(len(dive.waves))]
        fits = all(
            sum(len(one.members) for one in there) <= wave.room
            and (not there or not wave.leader or any(one.leads for one in there))
            for there, wave in zip(teams, dive.waves, strict=True)
        )
        if fits:
            yield chosen


def cost_of(several: Several, plan: Plan) -> int:
    """What a day costs, said diver by diver and pair by pair."""
    total = 0
    history: list[dict[int, frozenset[int]]] = []
    if several.before:
        teams = [frozenset(i for i in range(several.size) if bits >> i & 1) for bits in several.before]
        history.append({one: team for team in teams for one in team})
    for dive, chosen in zip(several.dives, plan, strict=True):
        now = {i: frozenset[int]() for i in range(several.size) if dive.free >> i & 1}
        now |= {one: frozenset(team.column.members) for team in chosen for one in team.column.members}
        total += sum(team.column.cost for team in chosen)
        total += sum(dive.left[i] for i, team in now.items() if not team)
        if several.partners == "keep" and history:
            total += several.price * sum(history[-1].get(i, team) != team for i, team in now.items())
        history.append(now)
    if several.partners == "change":
        for pair in combinations(range(several.size), 2):
            together = sum(set(pair) <= day.get(pair[0], frozenset()) for day in history)
            total += several.price * 2 * max(0, together - 1)
    return total


def boats_hold(several: Several, plan: Plan) -> bool:
    """Whether everybody stays with one boat and no boat has more divers than it seats."""
    on: dict[int, int] = {}
    for dive, chosen in zip(several.dives, plan, strict=True):
        for team in chosen:
            boat = dive.waves[team.wave].boat
            if boat != NO_BOAT and any(on.setdefault(one, boat) != boat for one in team.column.members):
                return False
    if any(
        boat.aboard >> one & 1 and at != side
        for one, at in on.items()
        for side, boat in enumerate(several.boats)
    ):
        return False
    return all(
        sum(1 for one, side in on.items() if side == at and not boat.aboard >> one & 1) <= boat.seats
        for at, boat in enumerate(several.boats)
    )


def order_of(several: Several, plan: Plan) -> list[tuple[tuple[int, ...], int]]:
    """What equal days are compared by: diver by diver and dive by dive, the team-mates and the wave; left out last."""
    found = []
    for one in range(several.size):
        for dive, chosen in zip(several.dives, plan, strict=True):
            lowest = next((team for team in chosen if team.column.members[0] == one), None)
            held = any(one in team.column.members for team in chosen)
            if lowest is not None:
                found.append((lowest.column.members[1:], lowest.wave))
            elif dive.free >> one & 1 and not held:
                found.append(((several.size,), 0))
    return found


def every_day(several: Several) -> tuple[int, Plan]:
    """The least cost and the first such day, by trying all of them."""
    best: tuple[int, list[tuple[tuple[int, ...], int]]] | None = None
    kept: Plan = ()
    each = [list(days_of(dive, several.size)) for dive in several.dives]

    def go(at: int, plan: Plan) -> None:
        nonlocal best, kept
        if at == len(each):
            if boats_hold(several, plan):
                key = (cost_of(several, plan), order_of(several, plan))
                if best is None or key < best:
                    best, kept = key, plan
            return
        for chosen in each[at]:
            go(at + 1, (*plan, chosen))

    go(0, ())
    assert best is not None
    return best[0], kept
