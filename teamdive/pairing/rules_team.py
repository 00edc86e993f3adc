"""Hard rules about one team: each a small function that answers with a reason, or with nothing when it holds."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from teamdive.pairing.case import ADULT, Case, leads_to_depth
from teamdive.pairing.days import age
from teamdive.pairing.model import Person, Reason, TeamGas, depth_text, listed
from teamdive.pairing.rules_diver import JUNIOR_UNTIL, YOUNGER_JUNIOR_UNTIL, stretch_text


def no_leader(team: Sequence[Person], case: Case) -> Reason | None:
    """A leader in every team, or, where the club says so, beside who is stretched, supervised or a junior.

    ISO 24801-2 lets autonomous divers of one level dive together.
    """
    if case.policy.leader_needed == "when_stretched" and not any(
        _in_charge_of_another(person, case) for person in team
    ):
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


def _in_charge_of_another(person: Person, case: Case) -> bool:
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
    return Reason("two_stretched", new, f"Two stretched together: {parts}.")


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
    return None


def threes(team: Sequence[Person], case: Case) -> Reason | None:
    ids = tuple(person.id for person in team)
    if len(ids) < 3 or case.policy.threes != "never" or set(ids) in [set(one) for one in case.locked]:
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
