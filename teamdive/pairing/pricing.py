"""Every team of a dive tried once: the rules that bar it, or its price."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations

from teamdive.pairing.case import Case
from teamdive.pairing.cost import Candidate, price
from teamdive.pairing.model import Person, Reason, TeamGas
from teamdive.pairing.rules import standing_reasons
from teamdive.pairing.rules_diver import personal
from teamdive.pairing.rules_team import team_gas, together

GasOf = Callable[[tuple[str, ...]], TeamGas]


class Pricing:
    """Every team tried once: its standing reasons, or its price."""

    def __init__(self, case: Case, gas_of: GasOf, out: Sequence[str], like: Pricing | None = None) -> None:
        """`like` has the same rules and prices for every team: other announced teams, more divers out."""
        self.case = case
        self.gas_of = gas_of
        self.out = tuple(out)
        self.barred: dict[str, list[Reason]] = {}
        for name, person in case.people.items():
            if name not in self.out:
                self.barred[name] = standing_reasons(personal(person, case), case)
        self.able = sorted(name for name, reasons in self.barred.items() if not reasons)
        self.kept: dict[tuple[str, ...], Candidate | list[Reason]] = {} if like is None else like.kept

    def members(self, ids: Sequence[str]) -> list[Person]:
        return [self.case.people[name] for name in sorted(ids)]

    def try_team(self, ids: Sequence[str]) -> Candidate | list[Reason]:
        """The priced team, or the reasons that no override lifts (of the team; not of its divers)."""
        key = tuple(sorted(ids))
        if key not in self.kept:
            team = self.members(key)
            reasons = standing_reasons(together(team, self.case), self.case)
            if reasons:
                self.kept[key] = reasons
            else:
                gas = self.gas_of(key)
                short = standing_reasons(team_gas(gas), self.case)
                self.kept[key] = short or price(team, gas, self.case)
        return self.kept[key]

    def permitted(self, among: Sequence[str], size: int) -> list[Candidate]:
        """Priced teams of that size, in the order of ids."""
        found = []
        for ids in combinations(among, size):
            tried = self.try_team(ids)
            if isinstance(tried, Candidate):
                found.append(tried)
        return found
