"""Hard rules about one team: each a small function that answers with a reason, or with nothing when it holds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations

from teamdive.pairing.case import ADULT, Case, leads_to_depth, one_step_deeper
from teamdive.pairing.days import age
from teamdive.pairing.model import EQUIPMENT, LAY_OFF, Person, Reason, TeamGas, decimal, depth_text, listed
from teamdive.pairing.rules_diver import JUNIOR_UNTIL, YOUNGER_JUNIOR_UNTIL
from teamdive.pairing.rules_experience import stretch_text


def is_guided(team: Sequence[Person], case: Case) -> bool:
    """Whether this is a group that the organiser has put under one leader."""
    ids = {person.id for person in team}
    return any(ids == set(one) for one in case.guided)


def no_leader(team: Sequence[Person], case: Case) -> Reason | None:
    """A leader in every team, or, where the club says so, beside who is stretched, supervised or a junior.

    ISO 24801-2 lets autonomous divers of one level dive together.
    """
    led = is_guided(team, case) or any(in_charge_of_another(person, case) for person in team)
    if case.policy.leader_needed == "when_stretched" and not led:
        return None
    if any(leads_to_depth(person, case) for person in team):
        return None
    ids = tuple(person.id for person in team)
    planned = depth_text(case.demands.depth, case.demands.unit)
    return Reason(
        "no_leader",
        ids,
        f"Neither of them leads to {planned}." if len(ids) == 2 else f"None of them leads to {planned}.",
    )


def in_charge_of_another(person: Person, case: Case) -> bool:
    young = person.born is not None and age(person.born, case.on) < JUNIOR_UNTIL
    return case.standings[person.id].stretches > 0 or person.supervised or young


def nobody_practised(team: Sequence[Person], case: Case) -> Reason | None:
    """Someone must have done all of it at once, often and lately enough to lead (weight 3 by default)."""
    if any(case.standings[person.id].practised for person in team):
        return None
    ids = tuple(person.id for person in team)
    message = f"None of {listed(ids)} has done all of this at once {case.policy.lead_weight} times lately."
    return Reason("nobody_practised", ids, message)


def two_stretched(team: Sequence[Person], case: Case) -> Reason | None:
    new = tuple(person.id for person in team if case.standings[person.id].stretches > 0)
    if len(new) < 2:
        return None
    parts = listed([f"{name} {stretch_text(case.standings[name])}" for name in new])
    for code, dimension, said in NEVER_TWO:
        both = tuple(name for name in new if dimension in case.standings[name].dimensions)
        if len(both) > 1:
            return Reason(code, new, f"{said}: {parts}.")
    return Reason("two_stretched", new, f"Two stretched together: {parts}.")


# Two of these are named for what they are.
NEVER_TWO = (
    ("two_back", LAY_OFF, "Two back from a lay-off together"),
    ("two_untested", EQUIPMENT, "Two in equipment they have not dived with"),
)


def deeper_beside(team: Sequence[Person], case: Case) -> Reason | None:
    """One step past the own certified depth only beside somebody who holds it (AAUS 4.40)."""
    deeper = tuple(person.id for person in team if one_step_deeper(person, case))
    holders = [p for p in team if p.certified_depth is not None and p.certified_depth >= case.demands.depth]
    if not deeper or holders:
        return None
    planned = depth_text(case.demands.depth, case.demands.unit)
    return Reason(
        "deeper_beside", deeper, f"Nobody beside {listed(deeper)} holds a certification to {planned}."
    )


def supervision_ratio(team: Sequence[Person], case: Case) -> Reason | None:
    """No more divers under one leader than the club's ratio; ISO level 1: four supervised for a leader."""
    leads = [person for person in team if leads_to_depth(person, case)]
    guided = is_guided(team, case)
    led = tuple(person.id for person in team if person not in leads and (guided or person.supervised))
    ratio = case.policy.guided_ratio
    if len(led) <= ratio * max(1, len(leads)):
        return None
    return Reason(
        "supervision_ratio", led, f"{len(led)} divers to be looked after: not more than {ratio} for a leader."
    )


def guardian_leads(team: Sequence[Person], case: Case) -> Reason | None:
    """A parent or guardian does not lead the step of their own child, but where the club allows it."""
    if case.policy.guardian_may_lead:
        return None
    for person in team:
        if case.standings[person.id].stretches == 0:
            continue
        leads = [p for p in team if p.id != person.id and case.standings[p.id].practised]
        if leads and all(p.id in person.guardians for p in leads):
            whom = leads[0].id
            text = f"{whom} is the guardian of {person.id}, who takes a step: another leader is asked for, "
            return Reason("guardian_leads", (person.id, whom), f"{text}{whom} may be the third of the team.")
    return None


def gas_sharing(team: Sequence[Person], case: Case) -> Reason | None:
    """Any two have a way of sharing gas in common, where both are stated."""
    for a, b in combinations(team, 2):
        ways = a.shares_gas_by, b.shares_gas_by
        if ways[0] is not None and ways[1] is not None and not set(ways[0]).intersection(ways[1]):
            text = f"{a.id} and {b.id} share gas in different ways ({_ways(ways[0])}; {_ways(ways[1])})."
            return Reason("gas_sharing", (a.id, b.id), text)
    return None


def signals(team: Sequence[Person], case: Case) -> Reason | None:
    """Any two have signals in common, where both are stated."""
    for a, b in combinations(team, 2):
        if a.signals is not None and b.signals is not None and not set(a.signals).intersection(b.signals):
            text = f"{a.id} and {b.id} use different signals ({_ways(a.signals)}; {_ways(b.signals)})."
            return Reason("signals", (a.id, b.id), text)
    return None


def _ways(names: tuple[str, ...]) -> str:
    return listed(names) or "none"


def three_visibility(team: Sequence[Person], case: Case) -> Reason | None:
    """A three keeps together only where it can see: the club's least visibility for one."""
    least, seen = case.policy.three_visibility, case.demands.visibility
    if least is None or len(team) < 3 or (seen is not None and seen >= least):
        return None
    found = "is not stated" if seen is None else f"is {decimal(seen, 2)} m"
    ids = tuple(person.id for person in team)
    return Reason(
        "three_visibility",
        ids,
        f"Visibility {found}; the club asks for {decimal(least, 2)} m for more than two.",
    )


def junior_adult(team: Sequence[Person], case: Case) -> Reason | None:
    """A junior dives with a certified adult; the youngest with a leader or their own guardian."""
    grown = [p for p in team if p.born is not None and age(p.born, case.on) >= ADULT and not p.supervised]
    deep = [p for p in grown if p.certified_depth is not None and p.certified_depth >= case.demands.depth]
    for person in team:
        years = ADULT if person.born is None else age(person.born, case.on)
        if years >= JUNIOR_UNTIL:
            continue
        fit = [
            p for p in deep if years >= YOUNGER_JUNIOR_UNTIL or p.leader is True or p.id in person.guardians
        ]
        if not fit:
            whom = (
                "a certified adult" if years >= YOUNGER_JUNIOR_UNTIL else "an adult leader or their guardian"
            )
            return Reason(
                "junior_adult", (person.id,), f"{person.id} is {years} and dives only beside {whom}."
            )
    return None


def wish_apart(team: Sequence[Person], case: Case) -> Reason | None:
    ids = {person.id for person in team}
    for wish in case.wishes:
        both = tuple(sorted(ids.intersection(wish.divers)))
        if wish.kind == "apart" and wish.strength == "must" and len(both) > 1:
            return Reason("wish_apart", both, f"{listed(both)} are to be kept apart.")
    return None


def wish_together(team: Sequence[Person], case: Case) -> Reason | None:
    ids = {person.id for person in team}
    for wish in case.wishes:
        if wish.kind == "together" and wish.strength == "must":
            here = ids.intersection(wish.divers)
            if here and len(here) < len(wish.divers):
                return Reason("wish_together", wish.divers, f"{listed(wish.divers)} are to dive together.")
    return None


def forbidden(team: Sequence[Person], case: Case) -> Reason | None:
    ids = {person.id for person in team}
    for pair in case.forbidden:
        if ids.issuperset(pair):
            return Reason("forbidden", pair, f"{listed(pair)} together is ruled out.")
    return None


def locked(team: Sequence[Person], case: Case) -> Reason | None:
    ids = {person.id for person in team}
    for fixed in case.locked:
        if ids.intersection(fixed) and ids != set(fixed):
            return Reason("locked", fixed, f"The team {listed(fixed)} is fixed.")
    for fixed in case.guided:
        if ids.intersection(fixed) and ids != set(fixed):
            return Reason("guided", fixed, f"The guided group {listed(fixed)} is fixed.")
    return None


def threes(team: Sequence[Person], case: Case) -> Reason | None:
    ids = tuple(person.id for person in team)
    if len(ids) < 3 or case.policy.threes != "never" or is_guided(team, case):
        return None
    if set(ids) in [set(one) for one in case.locked]:
        return None
    return Reason("threes", ids, "No team of three: the club's setting.")


TEAM: tuple[Callable[[Sequence[Person], Case], Reason | None], ...] = (
    threes,
    wish_apart,
    wish_together,
    forbidden,
    locked,
    no_leader,
    nobody_practised,
    two_stretched,
    junior_adult,
    deeper_beside,
    supervision_ratio,
    guardian_leads,
    gas_sharing,
    signals,
    three_visibility,
)


def together(team: Sequence[Person], case: Case) -> list[Reason]:
    """Every rule that bars this team, overridden or not, but for gas (see `team_gas`)."""
    return [reason for rule in TEAM if (reason := rule(team, case)) is not None]


def team_gas(facts: TeamGas) -> list[Reason]:
    """Gas that cannot bring two up is gas that does not allow the dive."""
    return [
        Reason("minimum_gas", (name,), f"{name}'s gas cannot bring two up from this dive with this team.")
        for name in facts.short
    ]
