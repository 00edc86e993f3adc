"""Weeks before a dive: can this roster be paired for it, on whom does it hang, and what would help most.

What is known only on the day itself (start pressure, analysis, the dives before) does not bar anybody here; it
is named under `assumed`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Any

from teamdive.calculations.question import Question, priced, with_cylinder, with_diver
from teamdive.calculations.remedies import ONE_MORE, gained, leader_would_place, one_more_leader
from teamdive.calculations.teams_parts import demands_json
from teamdive.pairing.case import Case
from teamdive.pairing.cost import Candidate
from teamdive.pairing.drop_outs import DropOut
from teamdive.pairing.explain import Day, drop_outs
from teamdive.pairing.model import decimal, listed
from teamdive.pairing.partition import Search
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.proposal import Step, next_steps, step_text
from teamdive.pairing.work_up import evenings
from teamdive.physics.known import Missing
from teamdive.physics.options import LARGER

OF_THE_DAY = ("gas", "oxygen", "oxygen_used", "table_no_stop", "tissue_no_stop")


def pairability(question: Question, pricing: Pricing, day: Day, search: Search) -> dict[str, Any]:
    """The answer as JSON."""
    of = len(pricing.case.people) - len(pricing.out)
    critical = sorted(
        (one for one in drop_outs(pricing, day, search) if one.loses),
        key=lambda one: (-len(one.loses), one.diver),
    )
    leader = _one_more(question, pricing, day, search)
    cylinder = _cylinder(question, pricing, day, search)
    case = pricing.case
    steps = {person.id: next_steps(person, case) for person in case.people.values()}
    return {
        "placed": day.total.placed,
        "of": of,
        "message": _said(day, of, critical, leader, cylinder),
        "critical": [
            {"diver": one.diver, "loses": list(one.loses), "message": one.message} for one in critical
        ],
        "one_more_leader": leader,
        "larger_cylinder": cylinder,
        "waiting_list": _waiting(question, day, search),
        "assumed": _assumed(question),
        "next_steps": [_steps_json(name, some, case) for name, some in steps.items()],
        "work_up": [
            {
                "demands": demands_json(one.demands),
                "serves": list(one.serves),
                "message": one.message,
            }
            for one in evenings(case, steps)
        ],
    }


def _one_more(question: Question, pricing: Pricing, day: Day, search: Search) -> dict[str, Any] | None:
    found = gained(one_more_leader(question, pricing), day, search)
    whom = [] if found is None else [name for name in found[1] if name != ONE_MORE]
    if not whom:
        return None
    return {"places": whom, "message": leader_would_place(question, whom)}


def _cylinder(question: Question, pricing: Pricing, day: Day, search: Search) -> dict[str, Any] | None:
    """The one larger cylinder that places the most; of equal ones the smallest step, then by id."""
    best: tuple[int, float, str] | None = None
    answer: dict[str, Any] | None = None
    unit = question.settings.volume_unit
    for name in _short_of_gas(pricing):
        cylinder = question.divers[name].cylinder
        if isinstance(cylinder, Missing):
            continue
        for by in LARGER[unit]:
            volume = cylinder.volume + by
            found = gained(with_cylinder(question, name, volume), day, search)
            if found is None or not found[1]:
                continue
            key = (-len(found[1]), float(by), name)
            if best is None or key < best:
                size = decimal(int(volume * 100 + 0.5), 2)
                text = f"A cylinder of {size} {unit} for {name} would place {listed(found[1])}."
                best = key
                answer = {"diver": name, "value": volume, "unit": unit, "places": list(found[1])}
                answer["message"] = text
    return answer


def _short_of_gas(pricing: Pricing) -> list[str]:
    """Whose gas bars them, or a pair with them: only there can a larger cylinder place anybody."""
    reasons = [reason for own in pricing.barred.values() for reason in own]
    for ids in combinations(pricing.able, 2):
        tried = pricing.try_team(ids)
        reasons += [] if isinstance(tried, Candidate) else tried
    return sorted({name for reason in reasons if reason.code == "minimum_gas" for name in reason.divers})


def _waiting(question: Question, day: Day, search: Search) -> dict[str, Any]:
    """Each booking that could be made: whom it places. In the order asked, and the best fit first."""
    each: list[dict[str, Any]] = []
    ranks: list[tuple[int, int, int, int]] = []
    for at, (diver, person) in enumerate(question.candidates):
        found = gained(with_diver(question, diver, person), day, search)
        whom = [] if found is None else list(found[1])
        others = [name for name in whom if name != person.id]
        text = f"{person.id} would have {'a' if person.id in whom else 'no'} place"
        if others:
            text += f"; {listed(others)} would have one too"
        total = day.total if found is None else found[0].total
        each.append({"diver": person.id, "places": whom, "message": f"{text}."})
        ranks.append((-len(whom), total.safety, total.seconds, at))
    return {
        "in_the_order_asked": [one["diver"] for one in each],
        "best_fit_first": [each[rank[3]]["diver"] for rank in sorted(ranks)],
        "each": each,
    }


def _assumed(question: Question) -> list[dict[str, Any]]:
    physics, _ = priced(question)
    found = []
    for person in question.people:
        what = [
            name
            for limit, names in physics.alone(person.id).not_known
            if limit in OF_THE_DAY
            for name in names
        ]
        if what:
            found.append({"diver": person.id, "what": list(dict.fromkeys(what))})
    return found


def _said(
    day: Day,
    of: int,
    critical: Sequence[DropOut],
    leader: dict[str, Any] | None,
    cylinder: dict[str, Any] | None,
) -> str:
    """What the organiser reads at booking time."""
    parts = [f"{day.total.placed} of {of} placed."]
    if critical:
        worst = critical[0]
        count = len(worst.loses)
        parts.append(f"If {worst.diver} drops out, {count} {'loses' if count == 1 else 'lose'} the dive.")
    if leader is not None:
        parts.append(leader["message"])
    elif cylinder is not None:
        parts.append(cylinder["message"])
    return " ".join(parts)


def _steps_json(name: str, steps: Sequence[Step], case: Case) -> dict[str, Any]:
    """The dive itself where it is one step; the dives that are one step where it is more."""
    now = case.standings[name]
    lacking: Any = list(now.dimensions) if now.log_known else {"not_known": ["experience.done"]}
    found = [
        {"dimension": step.stretch, "demands": demands_json(step.demands), "message": step_text(step, case)}
        for step in steps
    ]
    if now.log_known and now.stretches == 1:
        only = Step(now.dimensions[0], case.demands, ())
        found = [
            {
                "dimension": only.stretch,
                "demands": demands_json(only.demands),
                "message": "this dive is one step",
            }
        ]
    return {"diver": name, "lacks": lacking, "steps": found}
