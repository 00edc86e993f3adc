"""Teams of three: who watches whom, what happens if one ends the dive, and what could be done instead.

The split is decided before the dive. Whoever is stretched, supervised or under age is not sent up alone,
and nobody is left alone below: then all end the dive. Common practice, no source, but for the size of a team
(ISO 24803: two or three).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from teamdive.pairing.case import ADULT, Case
from teamdive.pairing.cost import Candidate, price
from teamdive.pairing.days import age
from teamdive.pairing.model import Person, Reason, TeamGas, listed
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.rules import standing_reasons
from teamdive.pairing.rules_team import team_gas, together
from teamdive.physics.rounding import floor_div

# What one diver can do in a second dive after this one: (team, who dived before, for how long) -> limit.
AgainOf = Callable[[tuple[str, ...], str, int], TeamGas]


@dataclass(frozen=True)
class Split:
    """If `ends` ends the dive: who may go on and to which second of bottom time, who goes up with `ends`.

    `pair_s` is what the two others could have as a team of their own, None where they are none.
    """

    ends: str
    go_on: tuple[str, ...] | None
    until_s: int | None
    up_with: tuple[str, ...]
    pair_s: int | None
    message: str


@dataclass(frozen=True)
class Instead:
    """`odd` holds the deck while `first` dives; with `second`, `odd` dives afterwards with `twice`."""

    kind: str  # deck | two_waves
    odd: str
    first: Candidate
    second: tuple[str, ...] | None
    twice: str | None
    second_s: int | None
    message: str


def ring(team: Candidate, case: Case) -> tuple[tuple[str, str], ...]:
    """(who, watches whom): the leader watches whoever has most stretches, then least to spare; one ring."""
    lead = team.lead or team.divers[0]
    others = sorted((name for name in team.divers if name != lead), key=lambda name: _need(name, case))
    return ((lead, others[0]), (others[0], others[1]), (others[1], lead))


def _need(name: str, case: Case) -> tuple[int, int, str]:
    now = case.standings[name]
    return (-now.stretches, sum(steps for _, steps in now.margins), name)


def split(team: Candidate, pricing: Pricing) -> tuple[Split, ...]:
    """What each member's end means for the two others, the leader's first."""
    lead = team.lead or team.divers[0]
    order = [lead, *(name for name in team.divers if name != lead)]
    return tuple(_if_ends(name, team, lead, pricing) for name in order)


def _if_ends(name: str, team: Candidate, lead: str, pricing: Pricing) -> Split:
    rest = tuple(one for one in team.divers if one != name)
    pair = team_alone(rest, pricing)
    pair_s = None if isinstance(pair, list) else pair.gas.limit_s
    why = _not_alone(pricing.case.people[name], pricing.case)
    if isinstance(pair, list):
        text = f"If {name} ends the dive, all end it: {listed(rest)} are no team of their own ({pair[0].message})"
        return Split(name, None, None, rest, None, text)
    if not pair_s:
        text = f"If {name} ends the dive, all end it: how long {listed(rest)} could go on is not known."
        return Split(name, None, None, rest, None, text)
    minutes = floor_div(pair_s, 60)
    if why is not None:
        with_whom = lead if lead != name else rest[0]
        left = next(one for one in rest if one != with_whom)
        text = (
            f"If {name} ends the dive, all end it: {name} {why} and does not go up alone, so {with_whom} goes with "
            f"{name}, and {left} is no team alone. {listed(rest)} as a pair would have had {minutes} min."
        )
        return Split(name, None, None, rest, pair_s, text)
    text = (
        f"If {name} ends the dive, {listed(rest)} bring {name} to the boat or the marker and see {name} up; "
        f"then they may go on to minute {minutes}."
    )
    return Split(name, rest, pair_s, rest, pair_s, text)


def _not_alone(person: Person, case: Case) -> str | None:
    """Why this diver is not sent up alone, or None."""
    if case.standings[person.id].stretches > 0:
        return "is stretched"
    if person.supervised:
        return "is supervised"
    young = person.born is None or age(person.born, case.on) < ADULT
    return "is not known to be of age" if young else None


def team_alone(ids: Sequence[str], pricing: Pricing, guided: bool = False) -> Candidate | list[Reason]:
    """The price of these as a team of their own, whatever the organiser has fixed, or what bars it."""
    case = replace(
        pricing.case,
        locked=(),
        guided=(tuple(ids),) if guided else (),
        announced=(),
        wishes=tuple(one for one in pricing.case.wishes if one.kind == "apart"),
    )
    team = pricing.members(ids)
    reasons = standing_reasons(together(team, case), case)
    if reasons:
        return reasons
    gas = pricing.gas_of(tuple(ids))
    return standing_reasons(team_gas(gas), case) or price(team, gas, case)


def instead(team: Candidate, pricing: Pricing, again: AgainOf) -> tuple[Instead, ...]:
    """What could be done instead of this three, the least stretched odd diver first.

    Two of the three dive and the odd one holds the deck, which somebody has to; or the odd one dives in a second,
    smaller wave with one of them, who dives twice where residual nitrogen leaves time. The second dive is
    reckoned with a cylinder as full as the first.
    """
    case = pricing.case
    lead = team.lead or team.divers[0]
    found: list[Instead] = []
    odd_first = sorted(team.divers, key=lambda name: (name == lead, case.standings[name].stretches, name))
    for odd in odd_first:
        rest = tuple(one for one in team.divers if one != odd)
        pair = team_alone(rest, pricing)
        if isinstance(pair, list) or not pair.gas.limit_s or pair.hidden:
            continue
        minutes = floor_div(pair.gas.limit_s, 60)
        text = f"{odd} holds the deck while {listed(rest)} dive: {minutes} min."
        found.append(Instead("deck", odd, pair, None, None, None, text))
        second = _second_wave(odd, pair, pricing, again)
        if second is not None:
            twice, ids, seconds = second
            interval = floor_div(case.policy.wave_interval_s, 60)
            text = (
                f"Two waves: {listed(rest)} dive first ({minutes} min) while {odd} holds the deck; then {odd} dives "
                f"with {twice}, who dives twice ({floor_div(seconds, 60)} min after {interval} min out of the water)."
            )
            found.append(Instead("two_waves", odd, pair, ids, twice, seconds, text))
    return tuple(found)


def _second_wave(
    odd: str, pair: Candidate, pricing: Pricing, again: AgainOf
) -> tuple[str, tuple[str, ...], int] | None:
    """Who of the pair dives again with `odd`, the team of that dive and its limit; the leader of the pair first."""
    best: tuple[str, tuple[str, ...], int] | None = None
    for twice in sorted(pair.divers, key=lambda name: (name != pair.lead, name)):
        ids = tuple(sorted((odd, twice)))
        alone = team_alone(ids, pricing)
        if isinstance(alone, list) or alone.hidden or best is not None:
            continue
        gas = again(ids, twice, pair.gas.limit_s or 0)
        if gas.limit_s and not gas.short:
            best = (twice, ids, gas.limit_s)
    return best
