"""What a team costs: first safety, then minutes, in integers of fixed weights.

Safety is a scale of our own; only its order is compared. No setting changes it, and no amount of minutes
outweighs it. All of it is common practice, no source, but for the step beside somebody who holds it
(AAUS Standards for Scientific Diving 4.40) and the order of thought: protect the newest first.

Seconds are the bottom time each diver could have had less what the team can have, both floored to whole
minutes first, so a multiple of 60 for each diver, plus the stated price of wishes not met.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from teamdive.pairing.case import ADULT, Case, leads_to_depth
from teamdive.pairing.days import age
from teamdive.pairing.experience import MARGIN_CAP
from teamdive.pairing.model import Person, Reason, TeamGas, listed
from teamdive.pairing.rules import excused
from teamdive.pairing.rules_diver import NAMES, personal, stretch_text
from teamdive.pairing.rules_team import team_gas, together
from teamdive.physics.team import LIMIT_NAMES

# A stretch counts by its square, so that one diver with two is worse than two divers with one each.
STRETCH = 100
MARGIN_STEP = 10
NO_HELPER = 15
ALL_AT_EDGE = 30
ALL_AWAY = 25
HALF_A_LEAD = 50


@dataclass(frozen=True)
class Candidate:
    """A permitted team with its price. `divers` sorted by id; `overrides`: how many it rests on."""

    divers: tuple[str, ...]
    lead: str | None
    gas: TeamGas
    overrides: int
    safety: int
    seconds: int
    reasons: tuple[Reason, ...]


def lead_of(team: Sequence[Person], case: Case) -> Person:
    """Who leads: practised before not, dive leader before diver, most margin where a mate is stretched, then id."""
    needed = [name for person in team for name in case.standings[person.id].any_of]

    def rank(person: Person) -> tuple[bool, bool, int, int, str]:
        margins = dict(case.standings[person.id].margins)
        least = min((margins.get(name, 0) for name in needed), default=0)
        practised = case.standings[person.id].practised
        return (not practised, not leads_to_depth(person, case), -least, -sum(margins.values()), person.id)

    return min(team, key=rank)


def safety(team: Sequence[Person], lead: Person, case: Case) -> list[Reason]:
    """The parts of the safety penalty, each with its sentence."""
    found: list[Reason] = []
    lead_margins = dict(case.standings[lead.id].margins)
    for person in team:
        now = case.standings[person.id]
        if now.stretches == 0:
            continue
        counted = STRETCH * now.stretches * now.stretches
        text = f"{person.id} {stretch_text(now)}, beside {lead.id}."
        if now.nearest is not None and now.nearest.lacks:
            lacking = listed([NAMES[name] for name in now.nearest.lacks])
            text = f"{text} The nearest past dive lacks {lacking}."
        found.append(Reason("stretch", (person.id,), text, safety=counted))
        if person.id == lead.id:
            continue
        margin = min(lead_margins.get(name, 0) for name in now.any_of)
        names = listed([NAMES[name] for name in now.any_of])
        text = f"{lead.id} has {margin} of {MARGIN_CAP} steps to spare in {names}, where {person.id} is stretched."
        found.append(Reason("margin", (lead.id, person.id), text, safety=MARGIN_STEP * (MARGIN_CAP - margin)))
    alone = tuple(
        person.id for person in team if not any(_helps(mate, case) for mate in team if mate.id != person.id)
    )
    if alone:
        text = f"Nobody else in the team is fit to help {listed(alone)}."
        found.append(Reason("no_helper", alone, text, safety=NO_HELPER * len(alone)))
    ids = tuple(person.id for person in team)
    if all(case.standings[person.id].at_edge for person in team):
        found.append(
            Reason("all_at_edge", ids, "Nobody in the team has a step to spare.", safety=ALL_AT_EDGE)
        )
    half = case.policy.lay_off_days // 2
    if all((case.standings[person.id].days_since or 0) > half for person in team):
        found.append(Reason("all_away", ids, f"Nobody has dived in the last {half} days.", safety=ALL_AWAY))
    if lead.own_task and any(case.standings[person.id].stretches > 0 for person in team):
        text = f"{lead.id} has a task of their own, so is half a lead for someone stretched."
        found.append(Reason("half_a_lead", (lead.id,), text, safety=HALF_A_LEAD))
    return found


def _helps(person: Person, case: Case) -> bool:
    of_age = person.born is None or age(person.born, case.on) >= ADULT
    return of_age and not person.supervised and case.standings[person.id].stretches == 0


def minutes(team: Sequence[Person], gas: TeamGas, case: Case) -> list[Reason]:
    """Diver-minutes lost and wishes not met, each with its sentence."""
    found: list[Reason] = []
    if gas.limit_s is not None:
        have = gas.limit_s // 60
        losses: list[tuple[str, int]] = []
        for person in team:
            own = None if person.gas is None else person.gas.own_s
            lost = 0 if own is None else max(0, own // 60 - have)
            if lost:
                losses.append((person.id, lost))
        whose = gas.limiting_diver or ""
        what = LIMIT_NAMES.get(gas.limited_by or "", gas.limited_by or "")
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
        if wish.strength != "prefer":
            continue
        here = tuple(sorted(set(ids).intersection(wish.divers)))
        if wish.kind == "together" and here and len(here) < len(wish.divers):
            text = f"{listed(wish.divers)} would rather dive together."
            found.append(Reason("wish_together", here, text, seconds=case.policy.wish_s * len(here)))
        if wish.kind == "apart" and len(here) > 1:
            text = f"{listed(here)} would rather dive apart."
            found.append(Reason("wish_apart", here, text, seconds=case.policy.wish_s * len(here)))
    return found


def price(team: Sequence[Person], gas: TeamGas, case: Case) -> Candidate:
    """The price of a team that no standing rule bars (see `rules`)."""
    lead = lead_of(team, case)
    ids = tuple(person.id for person in team)
    lifted = _lifted(team, gas, case) if case.overrides else []
    parts = safety(team, lead, case)
    costs = minutes(team, gas, case)
    return Candidate(
        divers=ids,
        lead=lead.id if case.standings[lead.id].practised or leads_to_depth(lead, case) else None,
        gas=gas,
        overrides=len(lifted),
        safety=sum(reason.safety for reason in parts),
        seconds=sum(reason.seconds for reason in costs),
        reasons=(*lifted, *parts, *costs),
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
