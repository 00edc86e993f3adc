"""One dive, everybody who may go on it, what was decided about them, and where each rule comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from teamdive.pairing.days import age
from teamdive.pairing.experience import Standing
from teamdive.pairing.model import Demands, Override, Person, Policy, Wish
from teamdive.physics.tables import load


@dataclass(frozen=True)
class Rule:
    overridable: bool
    source: str


# Code -> whether a leader may override it, and where it comes from; the same file in both languages.
DATA = load("pairing")
RULES: Mapping[str, Rule] = {
    code: Rule(rule["overridable"], rule["source"]) for code, rule in DATA["rules"].items()
}
SOURCES: dict[str, str] = DATA["sources"]

ADULT = 18


@dataclass(frozen=True)
class Case:
    """One dive, everybody who may go on it, and what was decided about them.

    `least_change`: the fewest changes against `announced` count first, right after the number placed.
    """

    demands: Demands
    on: int
    policy: Policy
    people: Mapping[str, Person]
    standings: Mapping[str, Standing]
    overrides: tuple[Override, ...] = ()
    wishes: tuple[Wish, ...] = ()
    forbidden: tuple[tuple[str, ...], ...] = ()
    locked: tuple[tuple[str, ...], ...] = ()
    announced: tuple[tuple[str, ...], ...] = ()
    least_change: bool = False


def leads_to_depth(person: Person, case: Case) -> bool:
    """A dive leader certified to this depth and of age (ISO 24801-3: 18).

    Where no role is stated, being practised in all of this dive stands for it.
    """
    of_age = person.born is None or age(person.born, case.on) >= ADULT
    deep = person.certified_depth is not None and person.certified_depth >= case.demands.depth
    leads = case.standings[person.id].practised if person.leader is None else person.leader
    return leads and of_age and deep
