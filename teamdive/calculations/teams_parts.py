"""Parts of the answer about teams: the next step of a diver, threes, cover at the surface, guided groups."""

from __future__ import annotations

from typing import Any

from teamdive.calculations.asked_reading import Asked
from teamdive.calculations.team_physics import Physics
from teamdive.pairing.case import Case
from teamdive.pairing.cost import Candidate
from teamdive.pairing.cover import COVER_NAMES, cover_lacking
from teamdive.pairing.explain import Day
from teamdive.pairing.guided import guided_offers
from teamdive.pairing.model import COVER_ROLES, Demands, Person, listed
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.proposal import Step, next_steps, proposal_text, step_text
from teamdive.pairing.threes import Instead, Split, instead, ring, split
from teamdive.physics.rounding import floor_div, tenths_of_minutes_down


def proposal_json(person: Person, case: Case) -> dict[str, Any] | None:
    """The dives of the day that are one step away, where this one is more; None where it is not."""
    steps = next_steps(person, case)
    if not steps:
        return None
    return {
        "steps": [_step(step, case) for step in steps],
        "message": proposal_text(person.id, steps, case),
    }


def _step(step: Step, case: Case) -> dict[str, Any]:
    return {
        "stretch": step.stretch,
        "relax": list(step.relaxed),
        "demands": demands_json(step.demands),
        "message": step_text(step, case),
    }


def demands_json(asked: Demands) -> dict[str, Any]:
    def scaled(value: int | None, scale: int) -> float | None:
        return None if value is None else value / scale

    return {
        "depth": asked.depth / 100,
        "current_kn": scaled(asked.current, 1000),
        "visibility_m": scaled(asked.visibility, 100),
        "water_temp_c": scaled(asked.water_temp, 10),
        "night": asked.night,
        "task": None if asked.task is None else {"kind": asked.task.kind, "level": asked.task.level},
        "site_kind": list(asked.site),
    }


def kind_of(team: Candidate, case: Case) -> str:
    """pair, three or guided."""
    if any(set(team.divers) == set(one) for one in case.guided):
        return "guided"
    return "three" if len(team.divers) == 3 else "pair"


def three_json(team: Candidate, pricing: Pricing) -> dict[str, Any]:
    """Who watches whom and what happens if one ends the dive; nothing for a pair or a guided group."""
    if kind_of(team, pricing.case) != "three":
        return {}
    return {
        "ring": [{"diver": who, "watches": whom} for who, whom in ring(team, pricing.case)],
        "split": [_split(one) for one in split(team, pricing)],
    }


def _split(one: Split) -> dict[str, Any]:
    return {
        "ends": one.ends,
        "go_on": None if one.go_on is None else list(one.go_on),
        "until_min": None if one.until_s is None else floor_div(one.until_s, 60),
        "up_with": list(one.up_with),
        "pair_limit_min": None if one.pair_s is None else floor_div(one.pair_s, 60),
        "message": one.message,
    }


def instead_json(day: Day, pricing: Pricing, physics: Physics) -> list[dict[str, Any]]:
    """For each team of three what could be done instead of it, to be offered before it."""
    return [
        {
            "team": list(team.divers),
            "offers": [_instead(one) for one in instead(team, pricing, physics.again)],
        }
        for team in day.teams
        if kind_of(team, pricing.case) == "three"
    ]


def _instead(one: Instead) -> dict[str, Any]:
    limit = one.first.gas.limit_s
    return {
        "kind": one.kind,
        "deck": one.odd,
        "first": list(one.first.divers),
        "first_limit_min": None if limit is None else tenths_of_minutes_down(limit),
        "second": None if one.second is None else list(one.second),
        "twice": one.twice,
        "second_limit_min": None if one.second_s is None else tenths_of_minutes_down(one.second_s),
        "message": one.message,
    }


def guided_json(day: Day, pricing: Pricing) -> list[dict[str, Any]]:
    """Guided groups that would give supervised divers without a team a place."""
    left = [one.id for one in day.not_placed]
    return [
        {
            "divers": list(group.divers),
            "lead": group.lead,
            "joins": list(joined),
            "limit_min": tenths_of_minutes_down(group.gas.limit_s or 0),
            "message": f"{group.lead} could take {listed(joined)} along as a guided group of "
            f"{len(group.divers)}: {floor_div(group.gas.limit_s or 0, 60)} min.",
        }
        for group, joined in guided_offers(day.teams, left, pricing)
    ]


def cover_json(case: Case) -> dict[str, Any]:
    """Who has which role at the surface, and which nobody has."""
    lacking = cover_lacking(case)
    return {
        "roles": [{"role": role, "person": person} for role, person in case.cover],
        "missing": [role for role in COVER_ROLES if COVER_NAMES[role] in lacking],
    }


def cover_warnings(case: Case, asked: Asked) -> list[dict[str, str]]:
    """A role without a holder is said where the club wants it said, or where somebody has begun to name them."""
    lacking = cover_lacking(case)
    wanted = case.policy.surface_cover == "warn" or (
        case.policy.surface_cover == "shown" and asked.cover_given
    )
    if not lacking or not wanted:
        return []
    message = f"Name who stays out of the water before anyone dives: missing {', '.join(lacking)}."
    return [{"code": "surface_cover_missing", "pointer": "/surface_cover", "message": message}]
