"""What a team costs: first safety, then minutes, in integers of fixed weights.

Safety is a scale of our own; only its order is compared. No setting changes it, and no amount of minutes
outweighs it. All of it is common practice, no source, but for the step beside somebody who holds it
(AAUS Standards for Scientific Diving 4.40) and the order of thought: protect the newest first.

Seconds are the bottom time each diver could have had less what the team can have, both floored to whole
minutes first, so a multiple of 60 for each diver, plus the stated price of wishes not met.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from teamdive.pairing.case import ADULT, Case, leads_to_depth
from teamdive.pairing.days import age
from teamdive.pairing.experience import MARGIN_CAP
from teamdive.pairing.model import Person, Reason, TeamGas, listed
from teamdive.pairing.rules import excused
from teamdive.pairing.rules_diver import personal
from teamdive.pairing.rules_experience import NAMES, stretch_text
from teamdive.pairing.rules_team import team_gas, together
from teamdive.physics.team import LIMIT_NAMES

# A stretch counts by its square, so that one diver with two is worse than two divers with one each.
STRETCH = 100
GUARDIAN_LEADS = 20
STRANGER_LEADS = 20
MARGIN_STEP = 10
NO_HELPER = 15
ALL_AT_EDGE = 30
ALL_AWAY = 25
HALF_A_LEAD = 50
# A private wish not kept, in the search only: above every safety penalty, below overrides and places.
PRIVATE = 200_000


@dataclass(frozen=True)
class Candidate:
    """A permitted team with its price. `divers` sorted by id; `overrides`: how many it rests on.

    `hidden` is what private wishes cost it: the search counts it with the safety penalty, no answer shows it.
    """

    divers: tuple[str, ...]
    lead: str | None
    gas: TeamGas
    overrides: int
    safety: int
    seconds: int
    reasons: tuple[Reason, ...]
    hidden: int = 0


FIRST_EXPOSURE = "first exposure, the club's limit for a step"


def lead_of(team: Sequence[Person], case: Case) -> Person:
    """Who leads: practised before not, dive leader before diver, nobody's guardian whose child takes a step,
    most margin where a mate is stretched, then id."""
    needed = [name for person in team for name in case.standings[person.id].any_of]

    def rank(person: Person) -> tuple[bool, bool, bool, int, int, str]:
        margins = dict(case.standings[person.id].margins)
        least = min((margins.get(name, 0) for name in needed), default=0)
        practised = case.standings[person.id].practised
        return (
            not practised,
            not leads_to_depth(person, case),
            _guards_a_step(person, team, case),
            -least,
            -sum(margins.values()),
            person.id,
        )

    return min(team, key=rank)


def _guards_a_step(person: Person, team: Sequence[Person], case: Case) -> bool:
    return any(person.id in mate.guardians and case.standings[mate.id].stretches > 0 for mate in team)


def own_safety(person: Person, case: Case) -> int:
    """What a diver's own stretches cost in any team."""
    return STRETCH * case.standings[person.id].stretches * case.standings[person.id].stretches


def own_minutes(person: Person, case: Case) -> int | None:
    """The whole minutes that this diver could have on this dive; None where that is not known."""
    own, most = None if person.gas is None else person.gas.own_s, case.policy.first_exposure_s
    if own is not None and most is not None and case.standings[person.id].stretches > 0:
        own = min(own, most)
    return None if own is None else own // 60


def safety(team: Sequence[Person], lead: Person, case: Case) -> list[Reason]:
    """The parts of the safety penalty, each with its sentence."""
    found: list[Reason] = []
    for person in team:
        now = case.standings[person.id]
        if now.stretches == 0:
            continue
        counted = own_safety(person, case)
        text = f"{person.id} {stretch_text(now)}, beside {lead.id}."
        if now.nearest is not None and now.nearest.lacks:
            lacking = listed([NAMES[name] for name in now.nearest.lacks])
            text = f"{text} The nearest past dive lacks {lacking}."
        found.append(Reason("stretch", (person.id,), text, safety=counted))
        if person.id == lead.id:
            continue
        margin = _margin_beside(lead, person, case)
        names = listed([NAMES[name] for name in now.any_of])
        text = f"{lead.id} has {margin} of {MARGIN_CAP} steps to spare in {names}, where {person.id} is stretched."
        found.append(Reason("margin", (lead.id, person.id), text, safety=MARGIN_STEP * (MARGIN_CAP - margin)))
    alone = tuple(
        person.id for person in team if not any(helps(mate, case) for mate in team if mate.id != person.id)
    )
    if alone:
        text = f"Nobody else in the team is fit to help {listed(alone)}."
        found.append(Reason("no_helper", alone, text, safety=NO_HELPER * len(alone)))
    ids = tuple(person.id for person in team)
    if all(case.standings[person.id].at_edge for person in team):
        found.append(
            Reason("all_at_edge", ids, "Nobody in the team has a step to spare.", safety=ALL_AT_EDGE)
        )
    if all(long_away(person, case) for person in team):
        half = case.policy.lay_off_days // 2
        found.append(Reason("all_away", ids, f"Nobody has dived in the last {half} days.", safety=ALL_AWAY))
    if lead.own_task and any(case.standings[person.id].stretches > 0 for person in team):
        text = f"{lead.id} has a task of their own, so is half a lead for someone stretched."
        found.append(Reason("half_a_lead", (lead.id,), text, safety=HALF_A_LEAD))
    new = [person for person in team if person != lead and case.standings[person.id].stretches > 0]
    for person in new:
        if _first_together(lead, person):
            text = f"{person.id} takes a step beside {lead.id}, with whom they have not dived before."
            found.append(Reason("stranger_leads", (lead.id, person.id), text, safety=STRANGER_LEADS))
    if _guards_a_step(lead, team, case):
        text = f"{lead.id} leads a step of their own child."
        found.append(Reason("guardian_leads", (lead.id,), text, safety=GUARDIAN_LEADS))
    return found


def beside(lead: Person, person: Person, case: Case) -> int:
    """What the stretches of a diver cost beside a leader, at least, above what they cost anywhere."""
    if lead.id == person.id or case.standings[person.id].stretches == 0:
        return 0
    strange = STRANGER_LEADS if _first_together(lead, person) else 0
    return MARGIN_STEP * (MARGIN_CAP - _margin_beside(lead, person, case)) + strange


def _margin_beside(lead: Person, person: Person, case: Case) -> int:
    """The steps that a leader has to spare where this diver is stretched."""
    margins = dict(case.standings[lead.id].margins)
    return min(margins.get(name, 0) for name in case.standings[person.id].any_of)


def helps(person: Person, case: Case) -> bool:
    """Whether this diver is fit to help a mate."""
    of_age = person.born is None or age(person.born, case.on) >= ADULT
    return of_age and not person.supervised and case.standings[person.id].stretches == 0


def long_away(person: Person, case: Case) -> bool:
    """Whether this diver has not dived for half the time that makes a lay-off."""
    return (case.standings[person.id].days_since or 0) > case.policy.lay_off_days // 2


def minutes(team: Sequence[Person], gas: TeamGas, case: Case) -> list[Reason]:
    """Diver-minutes lost and wishes not met, each with its sentence."""
    found: list[Reason] = []
    if gas.limit_s is not None:
        have = gas.limit_s // 60
        losses: list[tuple[str, int]] = []
        for person in team:
            own = own_minutes(person, case)
            lost = 0 if own is None else max(0, own - have)
            if lost:
                losses.append((person.id, lost))
        whose = gas.limiting_diver or ""
        what = LIMIT_NAMES.get(gas.limited_by or "", FIRST_EXPOSURE)
        text = (
            f"Limited to {have} min by {whose}'s {what}"
            if gas.limited_by != "planned"
            else f"All {have} min planned"
        )
        if losses:
            text += ": costs " + listed([f"{name} {lost} min" for name, lost in losses])
        seconds = 60 * sum(lost for _, lost in losses)
        ids = (whose,) if losses else tuple(person.id for person in team)
        found.append(Reason("limit", ids, f"{text}.", seconds=seconds))
    ids = tuple(person.id for person in team)
    for wish in case.wishes:
        if wish.strength != "prefer" or wish.private:
            continue
        here = tuple(sorted(set(ids).intersection(wish.divers)))
        if wish.kind == "together" and here and len(here) < len(wish.divers):
            text = f"{listed(wish.divers)} would rather dive together."
            found.append(Reason("wish_together", here, text, seconds=case.policy.wish_s * len(here)))
        if wish.kind == "apart" and len(here) > 1:
            text = f"{listed(here)} would rather dive apart."
            found.append(Reason("wish_apart", here, text, seconds=case.policy.wish_s * len(here)))
    return found


def _first_together(a: Person, b: Person) -> bool:
    """Whether the one who says with whom they have dived does not name the other; not stated is not new."""
    stated = a.dived_with is not None or b.dived_with is not None
    return stated and b.id not in (a.dived_with or ()) and a.id not in (b.dived_with or ())


def penalties(team: Sequence[Person], lead: Person, case: Case) -> list[Reason]:
    """The club's stated prices, each with its sentence; what is not stated of a diver costs nothing."""
    found: list[Reason] = []
    policy = case.policy
    ids = tuple(person.id for person in team)
    busy = tuple(person.id for person in team if person.own_task)
    if len(busy) > 1 and policy.both_tasks_s:
        text = f"{listed(busy)} each have a task of their own: one works, one watches."
        found.append(Reason("both_tasks", busy, text, seconds=policy.both_tasks_s * len(busy)))
    for a, b in combinations(team, 2):
        if policy.first_together_s and _first_together(a, b):
            text = f"{a.id} and {b.id} dive together for the first time: brief longer."
            found.append(Reason("first_together", (a.id, b.id), text, seconds=2 * policy.first_together_s))
    looked_after = any(
        person.supervised or case.standings[person.id].stretches > 0 for person in team if person != lead
    )
    if looked_after and lead.mentor_debt and policy.mentor_debt_s:
        text = f"{lead.id} has looked after others on {lead.mentor_debt} dives more than their share."
        found.append(Reason("mentor_debt", (lead.id,), text, seconds=policy.mentor_debt_s * lead.mentor_debt))
    mixes = {person.gas.o2_e4 for person in team if person.gas is not None}
    if len(mixes) > 1 and policy.other_mix_s:
        text = f"{listed(ids)} breathe different gases."
        found.append(Reason("other_mix", ids, text, seconds=policy.other_mix_s * len(ids)))
    return found


def first_exposure(team: Sequence[Person], gas: TeamGas, case: Case) -> TeamGas:
    """The limit of a team in which somebody takes a step, not longer than the club's first exposure."""
    most = case.policy.first_exposure_s
    new = next((person.id for person in team if case.standings[person.id].stretches > 0), None)
    if most is None or new is None or gas.limit_s is None or gas.limit_s <= most:
        return gas
    return replace(
        gas,
        limit_s=most,
        limited_by="first_exposure",
        limiting_diver=new,
        next_s=gas.limit_s,
        next_by=gas.limited_by,
        next_diver=gas.limiting_diver,
    )


def private_wishes(team: Sequence[Person], case: Case) -> int:
    """How many pairs of this team somebody has said in private not to want."""
    ids = {person.id for person in team}
    return sum(
        max(0, len(ids.intersection(wish.divers)) - 1)
        for wish in case.wishes
        if wish.private and wish.kind == "apart"
    )


def price(team: Sequence[Person], gas: TeamGas, case: Case) -> Candidate:
    """The price of a team that no standing rule bars (see `rules`)."""
    lead = lead_of(team, case)
    gas = first_exposure(team, gas, case)
    ids = tuple(person.id for person in team)
    lifted = _lifted(team, gas, case) if case.overrides else []
    parts = safety(team, lead, case)
    costs = [*minutes(team, gas, case), *penalties(team, lead, case)]
    return Candidate(
        divers=ids,
        lead=lead.id if case.standings[lead.id].practised or leads_to_depth(lead, case) else None,
        gas=gas,
        overrides=len(lifted),
        safety=sum(reason.safety for reason in parts),
        seconds=sum(reason.seconds for reason in costs),
        reasons=(*lifted, *parts, *costs),
        hidden=PRIVATE * private_wishes(team, case),
    )


def _lifted(team: Sequence[Person], gas: TeamGas, case: Case) -> list[Reason]:
    """Every rule that bars the team or one of its divers and was overridden, with by whom and why."""
    found: list[Reason] = []
    broken = [reason for person in team for reason in personal(person, case)]
    for reason in [*broken, *together(team, case), *team_gas(gas)]:
        override = excused(reason, case)
        if override is not None:
            text = f"Overridden by {override.by}: {reason.message} Reason given: {override.reason}"
            found.append(Reason("override", reason.divers, text, what=(reason.code,)))
    return found
