"""The tiers by which days compare as one whole number, and an answer from the teams that are in it."""

from __future__ import annotations

from collections.abc import Sequence

from teamdive.pairing.group import Answer, Group, Team

TIERS = 5  # not placed, overrides, safety, seconds, changes


class Scale:
    """Tiers as one whole number, and back."""

    def __init__(self, group: Group, teams: Sequence[Team], room: int = 0) -> None:
        """`room`: one further team, not among `teams`, may cost so much in each tier."""
        size = group.size
        rows = [team.tiers() for team in teams]
        # At most size // 2 teams, and each diver left out once (size + 1 times for one who must be placed).
        most = [max((row[tier] for row in rows), default=0) * (size // 2) + room + 1 for tier in range(TIERS)]
        most[0] = size * (size + 1) + 1
        most[4] += sum(group.moved)
        self.most = most
        self.size = size
        self.base = (size + 1) ** 2
        self.places = [1]
        for _ in range(size):
            self.places.append(self.places[-1] * self.base)
        self.below = self.places[size]

    def weigh(self, tiers: tuple[int, ...], digits: int) -> int:
        value = 0
        for tier, most in zip(tiers, self.most, strict=True):
            value = value * most + tier
        return value * self.below + digits

    def team(self, team: Team) -> int:
        # Teams compare by their lowest diver first, then by the others, a pair before a three.
        first, second = team.members[0], team.members[1]
        third = team.members[2] + 1 if len(team.members) > 2 else 0
        digits = (second * (self.size + 1) + third) * self.places[self.size - 1 - first]
        return self.weigh(team.tiers(), digits)

    def left_out(self, group: Group, diver: int) -> int:
        digits = (self.base - 1) * self.places[self.size - 1 - diver]
        return self.weigh((self.size + 1 if group.must[diver] else 1, 0, 0, 0, group.moved[diver]), digits)

    def tiers(self, value: int) -> tuple[int, ...]:
        value //= self.below
        found: list[int] = []
        for most in reversed(self.most):
            value, tier = divmod(value, most)
            found.append(tier)
        return tuple(reversed(found))


def cost_of(scale: Scale, group: Group, teams: Sequence[Team], out: Sequence[int]) -> int:
    return sum(scale.team(team) for team in teams) + sum(scale.left_out(group, diver) for diver in out)


def answer_of(scale: Scale, group: Group, teams: list[Team], at_least: int | None) -> Answer:
    placed = {diver for team in teams for diver in team.members}
    out = tuple(diver for diver in range(group.size) if diver not in placed)
    cost = cost_of(scale, group, teams, out)
    return Answer(
        teams=tuple(sorted(teams, key=lambda team: team.members)),
        not_placed=out,
        proven=at_least is None or at_least >= cost,
        at_least=scale.tiers(cost if at_least is None else at_least),
    )
