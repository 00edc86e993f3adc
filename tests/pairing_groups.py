"""Random groups for the search alone, and two ways to the best day that share nothing with it."""

from __future__ import annotations

from itertools import combinations
from random import Random

from teamdive.pairing.group import Group, Team

Key = tuple[int, int, int, int, int, list[tuple[int, ...]]]


def random_group(
    random: Random, size: int, density: float, leading: float
) -> tuple[Group, list[Team], list[Team]]:
    """Divers of whom some lead and some stretch; a team needs a leader and holds one stretched at most."""
    leads = [random.random() < leading for _ in range(size)]
    fresh = [not lead and random.random() < 0.6 for lead in leads]
    own = [random.randint(8, 20) for _ in range(size)]
    known = random.random() < 0.3

    def team(members: tuple[int, ...]) -> Team | None:
        if (
            not any(leads[i] for i in members)
            or sum(fresh[i] for i in members) > 1
            or random.random() > density
        ):
            return None
        least = min(own[i] for i in members)
        return Team(
            members,
            overrides=1 if random.random() < 0.05 else 0,
            safety=sum(100 + 10 * random.randint(0, 4) for i in members if fresh[i])
            + 15 * random.randint(0, 1),
            seconds=sum(60 * (own[i] - least) for i in members),
            changes=random.choice([0, len(members)]) if known else 0,
        )

    made = [
        [one for members in combinations(range(size), count) if (one := team(members)) is not None]
        for count in (2, 3)
    ]
    moved = tuple(1 if known else 0 for _ in range(size))
    return Group(size, (False,) * size, moved), made[0], made[1]


def all_partitions(group: Group, pairs: list[Team], threes: list[Team], regime: str) -> Key:
    """The least day by trying every partition, diver by diver; compared by the tiers as they are stated."""
    teams = [*pairs, *(threes if regime != "never" else [])]
    best: Key | None = None

    def place(at: int, placed: frozenset[int], chosen: list[Team], out: list[int]) -> None:
        nonlocal best
        if at == group.size:
            key: Key = (
                len(out),
                sum(team.overrides for team in chosen),
                sum(team.safety for team in chosen),
                sum(team.seconds for team in chosen),
                sum(team.changes for team in chosen) + sum(group.moved[i] for i in out),
                sorted(team.members for team in chosen),
            )
            if best is None or key < best:
                best = key
            return
        if at in placed:
            place(at + 1, placed, chosen, out)
            return
        place(at + 1, placed, chosen, [*out, at])
        for team in teams:
            if team.members[0] == at and not placed.intersection(team.members):
                second = len(team.members) == 3 and any(len(one.members) == 3 for one in chosen)
                if second and regime == "only_when_odd":
                    continue
                place(at + 1, placed.union(team.members), [*chosen, team], out)

    place(0, frozenset(), [], [])
    assert best is not None
    return best


def tiers(group: Group, teams: tuple[Team, ...], out: tuple[int, ...]) -> tuple[int, int, int, int, int]:
    return (
        len(out),
        sum(team.overrides for team in teams),
        sum(team.safety for team in teams),
        sum(team.seconds for team in teams),
        sum(team.changes for team in teams) + sum(group.moved[i] for i in out),
    )
