"""One dive, everybody who may go on it, what was decided about them, and where each rule comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from teamdive.pairing.days import age
from teamdive.pairing.experience import BAND_EDGES, Standing
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
    `guided`: groups under one leader. `cover`: who has which role out of the water.
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
    guided: tuple[tuple[str, ...], ...] = ()
    cover: tuple[tuple[str, str], ...] = ()  # (role, person)


def leads_to_depth(person: Person, case: Case) -> bool:
    """A dive leader certified to this depth and of age (ISO 24801-3: 18).

    Where no role is stated, being practised in all of this dive stands for it.
    """
    of_age = person.born is None or age(person.born, case.on) >= ADULT
    deep = person.certified_depth is not None and person.certified_depth >= case.demands.depth
    leads = case.standings[person.id].practised if person.leader is None else person.leader
    return leads and of_age and deep


def one_step_deeper(person: Person, case: Case) -> bool:
    """Whether this diver may go one step past the certified depth, beside somebody who holds it.

    AAUS Standards for Scientific Diving 4.40 (steps from memory), where the club has switched it on. Never a
    junior or a supervised diver.
    """
    held = person.certified_depth
    if not case.policy.deeper_beside_certified or held is None or held >= case.demands.depth:
        return False
    of_age = person.born is not None and age(person.born, case.on) >= ADULT
    step = next((edge for edge in BAND_EDGES[case.demands.unit] if edge > held), held)
    return of_age and not person.supervised and case.demands.depth <= step
