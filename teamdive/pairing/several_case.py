"""The dives of a day with their people as the search sees them, and what it found as teams again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from teamdive.pairing.case import leads_to_depth
from teamdive.pairing.cost import Candidate
from teamdive.pairing.partition import changes, musts
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.several import Boat, Column, OneDive, Plan, Several, Wave

TIER = 10**12
"""No tier of a whole day adds up to this much."""
TIERS = 5
ANY_WAVE = -1


@dataclass(frozen=True)
class DayWave:
    """A wave of one dive; `id` None where none was asked. `out`: who covers it from the surface; `closed`: nobody may
    dive in it. `cover`: who has which role out of the water, `lacking` the roles nobody has."""

    id: str | None
    room: int
    boat: int
    leader: bool
    out: tuple[str, ...]
    closed: bool
    cover: tuple[tuple[str, str], ...]
    lacking: tuple[str, ...]


@dataclass(frozen=True)
class DayBoat:
    """`aboard`: divers of this day with a fixed seat; `seats`: what is left for others. It takes `most` persons, or
    divers; `crew`: others with a place on it, who count where persons do."""

    id: str
    seats: int
    aboard: tuple[str, ...]
    most: int
    persons: bool
    crew: int


@dataclass(frozen=True)
class DayDive:
    pricing: Pricing
    waves: tuple[DayWave, ...]


@dataclass(frozen=True)
class WholeDay:
    """`before`: teams of the dive before these, by ids. See `several.Several` for `partners` and `price_s`."""

    names: tuple[str, ...]
    dives: tuple[DayDive, ...]
    boats: tuple[DayBoat, ...]
    partners: str
    price_s: int
    before: tuple[tuple[str, ...], ...]

    def place(self) -> dict[str, int]:
        return {name: at for at, name in enumerate(self.names)}


def weigh(tiers: Sequence[int]) -> int:
    """Tiers, the first the heaviest, as one whole number."""
    value = 0
    for tier in tiers:
        value = value * TIER + tier
    return value


def tiers_of(value: int) -> tuple[int, ...]:
    """The tiers of `weigh`."""
    found: list[int] = []
    for _ in range(TIERS):
        value, tier = divmod(value, TIER)
        found.append(tier)
    return tuple(reversed(found))


def seconds_tier(day: WholeDay) -> int:
    """One second in the tier of seconds, which moves down one place where changes come first."""
    return TIER if not day.dives[0].pricing.case.least_change else 1


def team_tiers(team: Candidate, pricing: Pricing) -> tuple[int, int, int, int, int]:
    """What a team costs: none left out, overrides, safety, seconds, changes; changes first where they are to be fewest
    (see `partition`)."""
    case = pricing.case
    count = changes(team.divers, case)
    if not case.least_change:
        return 0, team.overrides, team.safety + team.hidden, team.seconds, count
    known = {name for one in case.announced for name in one}
    count += sum(1 for name in team.divers if name not in known)
    return 0, count, team.overrides, team.safety + team.hidden, team.seconds


def left_tiers(name: str, day: WholeDay, pricing: Pricing) -> tuple[int, int, int, int, int]:
    """What it costs to leave a diver out: more than everybody else's places for one who has to dive."""
    case = pricing.case
    must = any(name in fact.divers for fact in musts(case))
    known = any(name in one for one in case.announced)
    many = len(day.names) * len(day.dives) + 1
    return many if must else 1, 0, 0, 0, 1 if known and not case.least_change else 0


Fixed = Mapping[tuple[str, ...], int]
"""Teams that stay for now, each in its wave or in `ANY_WAVE`."""


def several_of(day: WholeDay, among: Sequence[str], kept: Sequence[Fixed]) -> Several:
    """The day with all teams `among` these divers; the others keep the teams in `kept`, one a dive."""
    place = day.place()
    boats = tuple(Boat(boat.seats, _bits(boat.aboard, place)) for boat in day.boats)
    return Several(
        size=len(day.names),
        dives=tuple(
            _one_dive(day, dive, among, fixed, boats) for dive, fixed in zip(day.dives, kept, strict=True)
        ),
        boats=boats,
        partners=day.partners,
        price=day.price_s * seconds_tier(day),
        before=tuple(_bits([name for name in team if name in place], place) for team in day.before),
    )


def _bits(names: Sequence[str], place: Mapping[str, int]) -> int:
    return sum(1 << place[name] for name in names)


def _one_dive(
    day: WholeDay, dive: DayDive, among: Sequence[str], kept: Fixed, boats: Sequence[Boat]
) -> OneDive:
    pricing, case, place = dive.pricing, dive.pricing.case, day.place()
    regime = case.policy.threes
    held = {ids: None for ids in (*case.locked, *case.guided)} | dict(kept)
    taken = {name for ids in held for name in ids}
    able = [name for name in among if name in pricing.able and name not in taken]
    sizes = (2,) if regime == "never" else (2, 3)
    teams = sorted([*held, *(ids for size in sizes for ids in combinations(able, size))])
    rows: list[list[Column]] = [[] for _ in day.names]
    for ids in teams:
        tried = pricing.try_team(ids)
        if not isinstance(tried, Candidate) or not all(name in pricing.able for name in ids):
            continue
        three = len(ids) == 3 and ids not in case.guided
        bits = _bits(ids, place)
        only = held.get(ids)
        waves = tuple(
            at
            for at, wave in enumerate(dive.waves)
            if only in (None, ANY_WAVE, at) and not wave.closed and _may(ids, bits, wave, boats)
        )
        if waves:
            leads = any(leads_to_depth(case.people[name], case) for name in ids)
            members = tuple(place[name] for name in ids)
            cost = weigh(team_tiers(tried, pricing))
            rows[members[0]].append(Column(members, bits, cost, leads, three, waves))
    locked_threes = sum(1 for ids in case.locked if len(ids) == 3)
    most = {"never": locked_threes, "only_when_odd": max(1, locked_threes), "free": len(day.names)}[regime]
    return OneDive(
        columns=tuple(tuple(row) for row in rows),
        left=tuple(weigh(left_tiers(name, day, pricing)) for name in day.names),
        free=_bits(pricing.able, place),
        threes=most,
        waves=tuple(Wave(wave.room, wave.boat, wave.leader) for wave in dive.waves),
    )


def _may(ids: Sequence[str], bits: int, wave: DayWave, boats: Sequence[Boat]) -> bool:
    """Whether nobody of the team covers this wave or has a seat on another boat."""
    elsewhere = any(at != wave.boat and bits & boat.aboard for at, boat in enumerate(boats))
    return not elsewhere and not any(name in wave.out for name in ids)


def team_of(pricing: Pricing, ids: tuple[str, ...]) -> Candidate:
    """The price of a team that the search chose."""
    tried = pricing.try_team(ids)
    assert isinstance(tried, Candidate)
    return tried


def teams_of(day: WholeDay, plan: Plan) -> list[Fixed]:
    """For each dive its teams by ids, each with its wave, in the order of ids."""
    found: list[Fixed] = []
    for chosen in plan:
        teams = {tuple(day.names[one] for one in team.column.members): team.wave for team in chosen}
        found.append({ids: teams[ids] for ids in sorted(teams)})
    return found
