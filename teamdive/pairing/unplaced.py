"""Why one diver has no place: facts of which none can be spared, in words a leader can act on.

A rule that bars a team mostly rests on facts about people: a pair without a leader on two divers who do not
lead. The facts are those, what bars each diver, and that everyone who has a place keeps it. Some are let go
while the rest still leaves the diver out; of what stays, letting go any one gives a place (a deletion filter:
Chinneck and Dravnieks, Locating minimal infeasible constraint sets in linear programs, 1991; here whole
runs of facts are let go at once, so that few searches are needed).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from teamdive.pairing.case import Case
from teamdive.pairing.cost import Candidate
from teamdive.pairing.facts import out_of_water
from teamdive.pairing.group import Group, Team
from teamdive.pairing.model import Reason, depth_text, listed
from teamdive.pairing.optimise import best
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.rules import standing_reasons
from teamdive.pairing.rules_team import team_gas, together

# Searches for one diver; past them the facts still leave the diver out, but one might be spared.
MOST_SEARCHES = 120
LARGEST = 30

# A rule that bars a team because of what holds for each of these divers: the fact about one of them.
OF_EACH = {
    "no_leader": ("not_a_leader", "{id} does not lead to {depth}."),
    "nobody_practised": (
        "not_practised",
        "{id} has not done all of this at once often and lately enough to lead.",
    ),
    "two_stretched": (
        "takes_a_step",
        "{id} takes a step on this dive, and so wants somebody beside them who does not.",
    ),
}
# Let go in this order: what stays to the end is most likely to be among the facts.
ORDER = ("others_barred", "threes", "takes_a_step", "not_practised", "not_a_leader", "keeps_place")
WANTED = {
    "not_a_leader": "who leads to {depth}",
    "not_practised": "who has done all of this often and lately enough",
    "takes_a_step": "for whom nothing of this dive is new",
}


@dataclass(frozen=True)
class Unplaced:
    """`facts` leave the diver out; `irreducible`: none can be spared. `message` says them aloud."""

    facts: tuple[Reason, ...]
    irreducible: bool
    message: str


@dataclass(frozen=True)
class Barrable:
    """A team by its places in the list of divers, and the sets of facts of which any one bars it."""

    members: tuple[int, ...]
    bars: tuple[frozenset[int], ...]


class Facts:
    """Every fact of a day, and for each diver without a place those that leave them out."""

    def __init__(self, pricing: Pricing, teams: Sequence[Candidate]) -> None:
        self.pricing, self.teams = pricing, teams
        self.case: Case = pricing.case
        # A guided group stays as it is.
        guided = {one for group in self.case.guided for one in group}
        self.names = sorted(one for one in self.case.people if one not in pricing.out and one not in guided)
        self.place = {one: at for at, one in enumerate(self.names)}
        self.facts: list[Reason] = []
        self.number: dict[Reason, int] = {}
        barred = tuple(one for one in self.names if pricing.barred[one])
        # One fact for all of them: each has their own reasons beside their own name.
        text = f"{listed(barred)} cannot dive as things are."
        self.others = self._fact(Reason("others_barred", barred, text))
        self.never = self._fact(Reason("threes", (), "No team of three: the club's setting."))
        self.keeps = {
            self._fact(Reason("keeps_place", (one,), f"{one} has a place and keeps it.")): self.place[one]
            for team in teams
            for one in team.divers
            if one in self.place
        }
        self.made: dict[tuple[int, bool], list[Barrable]] = {}

    def _fact(self, reason: Reason) -> int:
        if reason not in self.number:
            self.number[reason] = len(self.facts)
            self.facts.append(reason)
        return self.number[reason]

    def _barrable(self, size: int, everyone: bool) -> list[Barrable]:
        """Teams of that size among those who may dive, or among everyone."""
        if (size, everyone) not in self.made:
            among = [one for one in self.names if everyone or one in self.pricing.able]
            self.made[size, everyone] = [self._bars(ids) for ids in combinations(among, size)]
        return self.made[size, everyone]

    def _bars(self, ids: tuple[str, ...]) -> Barrable:
        # That threes are the club's setting is one fact for all of them.
        rules = [one for one in together(self.pricing.members(ids), self.case) if one.code != "threes"]
        reasons = standing_reasons([*rules, *team_gas(self.pricing.gas_of(ids))], self.case)
        bars = [frozenset(self._fact(atom) for atom in self._atoms(reason)) for reason in reasons]
        return Barrable(tuple(self.place[one] for one in ids), tuple(bars))

    def _atoms(self, reason: Reason) -> list[Reason]:
        if reason.code not in OF_EACH:
            return [reason]
        code, text = OF_EACH[reason.code]
        depth = depth_text(self.case.demands.depth, self.case.demands.unit)
        return [Reason(code, (one,), text.format(id=one, depth=depth)) for one in reason.divers]

    def _has_place(self, name: str, held: set[int]) -> bool:
        """Whether with these facts alone the diver and everyone who keeps a place can be placed."""
        must = {self.place[name], *(at for fact, at in self.keeps.items() if fact in held)}
        size, everyone = len(self.names), self.others not in held
        group = Group(size, tuple(at in must for at in range(size)), (0,) * size)
        regime = self.case.policy.threes
        if regime == "never" and self.never not in held:
            regime = "only_when_odd"

        def allowed(count: int) -> list[Team]:
            return [
                Team(one.members, 0, 0, 0, 0)
                for one in self._barrable(count, everyone)
                if not any(bar <= held for bar in one.bars)
            ]

        return best(group, allowed(2), lambda: allowed(3), regime) is not None

    def why(self, name: str) -> Unplaced | None:
        """Why this diver has no place; None where another day would have given one."""
        if name in self.pricing.out:
            out = out_of_water(name, self.case)
            return Unplaced((out,), True, out.message)
        own = self.pricing.barred[name]
        if own:
            return Unplaced((own[0],), True, own[0].message)
        if name not in self.place:
            return None
        for size in (2, 3):
            self._barrable(size, False)
        if self.facts[self.others].divers:
            for size in (2, 3):
                self._barrable(size, True)
        rank = {code: at for at, code in enumerate(ORDER)}
        order = sorted(range(len(self.facts)), key=lambda at: (rank.get(self.facts[at].code, -1), at))
        held, parts, searches = set(order), [order], 1
        if self._has_place(name, held):
            return None
        while parts and searches < MOST_SEARCHES:
            part = parts.pop(0)
            searches += 1
            if not self._has_place(name, held - set(part)):
                held -= set(part)
            elif len(part) > 1:
                half = len(part) // 2
                parts = [part[:half], part[half:], *parts]
        facts = tuple(self.facts[at] for at in order if at in held)
        return Unplaced(facts, not parts, self._said(name, facts))

    def _said(self, name: str, facts: Sequence[Reason]) -> str:
        """What is wanted and who has it, then what else stands in the way."""
        depth = depth_text(self.case.demands.depth, self.case.demands.unit)
        codes = [fact.code for fact in facts]
        wanted = next((code for code in WANTED if code in codes), None)
        placed = [fact.divers[0] for fact in facts if fact.code == "keeps_place"]
        if wanted is None:
            parts = [f"Everyone {name} could dive with has a place."] if placed else []
        else:
            also = {fact.divers[0] for fact in facts if fact.code == wanted}
            where = [
                f"{listed(team.divers)} dive together"
                for team in self.teams
                if any(one in also and one in placed for one in team.divers)
            ]
            taken = f": {'; '.join(where)}" if where else ""
            parts = [f"No one {WANTED[wanted].format(depth=depth)} is left for {name}{taken}."]
        parts += [fact.message for fact in facts if fact.code not in ORDER[2:]]
        return " ".join(parts) or f"There is nobody for {name} to dive with."
