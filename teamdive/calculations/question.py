"""A question about teams once it is read, and the same question with one thing changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from teamdive.calculations.asked_reading import Asked
from teamdive.calculations.team_physics import Physics
from teamdive.pairing.case import Case
from teamdive.pairing.experience import standing
from teamdive.pairing.model import Demands, Override, Person, Policy
from teamdive.pairing.pricing import Pricing
from teamdive.physics.diver import Diver, TeamDive, TeamSettings
from teamdive.physics.known import Missing
from teamdive.physics.units import Depth


@dataclass(frozen=True)
class Question:
    """One dive, its divers as physics and as pairing know them (`people` in the order given), what is asked.

    `weeks_before`: what is known only on the day itself bars nobody; `candidates` wait for a place.
    """

    dive: TeamDive
    demands: Demands
    on: int
    policy: Policy
    settings: TeamSettings
    divers: Mapping[str, Diver]
    people: tuple[Person, ...]
    asked: Asked
    weeks_before: bool = False
    candidates: tuple[tuple[Diver, Person], ...] = ()


def priced(question: Question) -> tuple[Physics, Pricing]:
    """The physics of every diver, and every team tried as it is asked for."""
    asked, on = question.asked, question.on
    case = Case(
        demands=question.demands,
        on=on,
        policy=question.policy,
        people={person.id: person for person in question.people},
        standings={
            person.id: standing(
                person.experience, question.demands, on, question.policy, bool(person.new_equipment)
            )
            for person in question.people
        },
        overrides=asked.overrides,
        wishes=asked.wishes,
        forbidden=asked.forbidden,
        locked=asked.locked,
        announced=asked.announced,
        least_change=asked.least_change,
        guided=asked.guided,
        cover=asked.cover,
    )
    physics = Physics(question.dive, question.divers, question.settings, case)
    facts = {person.id: physics.alone(person.id) for person in question.people}
    if question.weeks_before:
        facts = {name: replace(gas, not_known=()) for name, gas in facts.items()}
    case = replace(case, people={p.id: replace(p, gas=facts[p.id]) for p in question.people})
    ashore = dict.fromkeys((*asked.out_of_water, *(person for _, person in asked.cover)))
    out = tuple(name for name in ashore if name in case.people)
    return physics, Pricing(case, physics.team, out)


def at_depth(question: Question, hundredths: int) -> Question:
    """The same dive to another depth, in hundredths of its unit."""
    depth = Depth(hundredths, question.dive.depth.unit)
    return replace(
        question,
        dive=replace(question.dive, depth=depth),
        demands=replace(question.demands, depth=hundredths),
    )


def with_diver(question: Question, diver: Diver, person: Person) -> Question:
    """One more diver."""
    return replace(question, divers={**question.divers, diver.id: diver}, people=(*question.people, person))


def with_override(question: Question, override: Override) -> Question:
    """One more rule set aside."""
    asked = replace(question.asked, overrides=(*question.asked.overrides, override))
    return replace(question, asked=asked)


def with_cylinder(question: Question, name: str, volume: float) -> Question:
    """A diver with a cylinder of another size at the same pressures; as it was where none is known."""
    diver = question.divers[name]
    if isinstance(diver.cylinder, Missing):
        return question
    larger = replace(diver, cylinder=replace(diver.cylinder, volume=volume))
    return replace(question, divers={**question.divers, name: larger})
