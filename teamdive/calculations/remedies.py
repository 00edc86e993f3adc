"""What would give a diver a place, each found by solving the day again with that one thing changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from teamdive.calculations.question import (
    Question,
    at_depth,
    priced,
    with_cylinder,
    with_diver,
    with_override,
)
from teamdive.pairing.case import RULES, leads_to_depth
from teamdive.pairing.cost import Candidate
from teamdive.pairing.experience import BAND_EDGES
from teamdive.pairing.explain import Day, solve
from teamdive.pairing.model import Done, Experience, Override, Person, Reason, decimal, depth_text, listed
from teamdive.pairing.partition import Search
from teamdive.pairing.pricing import Pricing
from teamdive.physics.diver import Diver, TeamDive
from teamdive.physics.earlier import EarlierDive
from teamdive.physics.known import Missing
from teamdive.physics.options import LARGER

ONE_MORE = "one more leader"
INTERVALS_MIN = (30, 60, 90, 120, 180)
MOST_DEPTHS = 6
# A team on a dive of its own is offered where it has this much time.
WORTH_S = 600
GROWN = 19_900_101
MANY = 100
OF_TEAM = ("no_leader", "nobody_practised", "two_stretched")
SET_ASIDE = {
    "no_leader": "a leader in every team",
    "nobody_practised": "somebody practised in every team",
    "two_stretched": "two who take a step stay apart",
    "stretches": "one step at a time",
    "certified_depth": "the certified depth",
}


@dataclass(frozen=True)
class Remedy:
    """One change and whom it places. `value` in `unit` where the change is a number."""

    code: str
    diver: str | None
    message: str
    places: tuple[str, ...]
    value: float | None = None
    unit: str | None = None
    rules: tuple[str, ...] = ()


def remedies(
    question: Question, pricing: Pricing, day: Day, name: str, reasons: Sequence[Reason], search: Search
) -> list[Remedy]:
    """What would place this diver, who has no place in `day` for these reasons; the least trouble first."""
    found = [
        _find_out(name, reasons),
        _larger_cylinder(question, day, name, reasons, search),
        _cap_team(question, pricing, day, name, search),
        _leader_twice(question, pricing, day, name),
        _set_aside(question, day, name, reasons, search),
        _one_booking(question, pricing, day, name, search),
        _cap_dive(question, day, name, search),
    ]
    return [one for one in found if one is not None]


def placed(day: Day) -> set[str]:
    return {name for team in day.teams for name in team.divers}


def gained(question: Question, day: Day, search: Search) -> tuple[Day, tuple[str, ...]] | None:
    """The changed day and who has a place now and had none; None where fewer have one."""
    _, pricing = priced(question)
    changed = solve(pricing, search)
    if changed.total.placed < day.total.placed:
        return None
    return changed, tuple(sorted(placed(changed) - placed(day)))


def _places(question: Question, day: Day, name: str, search: Search) -> tuple[Day, tuple[str, ...]] | None:
    found = gained(question, day, search)
    return found if found is not None and name in found[1] else None


def _find_out(name: str, reasons: Sequence[Reason]) -> Remedy | None:
    what = tuple(
        dict.fromkeys(one for reason in reasons if reason.code != "stretches" for one in reason.what)
    )
    if not what:
        return None
    return Remedy("find_out", name, f"Find out about {name}: {listed(what)}.", ())


def _larger_cylinder(
    question: Question, day: Day, name: str, reasons: Sequence[Reason], search: Search
) -> Remedy | None:
    cylinder, unit = question.divers[name].cylinder, question.settings.volume_unit
    if isinstance(cylinder, Missing) or not any(reason.code == "minimum_gas" for reason in reasons):
        return None
    for by in LARGER[unit]:
        volume = cylinder.volume + by
        found = _places(with_cylinder(question, name, volume), day, name, search)
        if found is not None:
            size = decimal(int(volume * 100 + 0.5), 2)
            text = f"A cylinder of {size} {unit} would place {listed(found[1])}."
            return Remedy("larger_cylinder", name, text, found[1], volume, unit)
    return None


def _depths(question: Question, name: str) -> list[int]:
    """Shallower depths worth a try, deepest first: band edges and what the diver is certified to."""
    planned, unit = question.dive.depth.hundredths, question.dive.depth.unit
    person = next(one for one in question.people if one.id == name)
    tried = {edge for edge in (*BAND_EDGES[unit], person.certified_depth or planned) if edge < planned}
    return sorted(tried, reverse=True)[:MOST_DEPTHS]


def _cap_team(question: Question, pricing: Pricing, day: Day, name: str, search: Search) -> Remedy | None:
    """A team of those without a place on a shallower dive of their own."""
    asked = question.asked
    out = tuple(sorted({*pricing.out, *placed(day)}))
    wishes = tuple(wish for wish in asked.wishes if wish.kind == "apart" or wish.strength == "prefer")
    others = replace(question, asked=replace(asked, out_of_water=out, locked=(), wishes=wishes))
    for depth in _depths(question, name):
        _, shallower = priced(at_depth(others, depth))
        made = solve(shallower, search)
        team = next((one for one in made.teams if name in one.divers), None)
        if team is not None and (team.gas.limit_s is None or team.gas.limit_s >= WORTH_S):
            at = depth_text(depth, question.dive.depth.unit)
            text = f"{listed(team.divers)} could be a team capped at {at}{_minutes(team)}."
            unit = question.dive.depth.unit
            return Remedy("cap_team", name, text, team.divers, depth / 100, unit)
    return None


def _minutes(team: Candidate) -> str:
    return "" if team.gas.limit_s is None else f": {team.gas.limit_s // 60} min"


def _cap_dive(question: Question, day: Day, name: str, search: Search) -> Remedy | None:
    for depth in _depths(question, name):
        found = _places(at_depth(question, depth), day, name, search)
        if found is not None:
            unit = question.dive.depth.unit
            text = (
                f"Were the whole dive capped at {depth_text(depth, unit)}, {listed(found[1])} could dive too."
            )
            return Remedy("cap_dive", None, text, found[1], depth / 100, unit)
    return None


def _leader_twice(question: Question, pricing: Pricing, day: Day, name: str) -> Remedy | None:
    """A leader who has a place dives once more, with this diver, after the least interval that allows it."""
    case, dive = pricing.case, question.dive
    leads = [
        one
        for one in sorted(placed(day))
        if leads_to_depth(case.people[one], case) and case.standings[one].practised
    ]
    for minutes in INTERVALS_MIN:
        for leader in leads:
            again = after_dive(question.divers[leader], dive, minutes * 60)
            two = replace(
                question,
                divers={leader: again, name: question.divers[name]},
                people=tuple(one for one in question.people if one.id in (leader, name)),
                asked=replace(question.asked, wishes=(), locked=(), announced=(), out_of_water=()),
            )
            _, second = priced(two)
            tried = second.try_team((leader, name))
            if len(second.able) == 2 and isinstance(tried, Candidate):
                text = (
                    f"{leader} could dive twice: with {name} at least {minutes} min after coming up"
                    f"{_minutes(tried)}."
                )
                return Remedy("leader_twice", leader, text, (name,), minutes, "min")
    return None


def after_dive(diver: Diver, dive: TeamDive, interval_s: int) -> Diver:
    """The diver once this dive is made to its full planned time and the interval over.

    The ascent is left out of what lies between earlier dives and the next: the careful side.
    """
    if diver.earlier is None:
        return diver
    before = tuple(
        replace(made, surfaced_s=made.surfaced_s + dive.bottom_time_s + interval_s) for made in diver.earlier
    )
    return replace(
        diver, earlier=(*before, EarlierDive(dive.depth, dive.bottom_time_s, diver.mix, interval_s))
    )


def _set_aside(
    question: Question, day: Day, name: str, reasons: Sequence[Reason], search: Search
) -> Remedy | None:
    """Rules that a leader may set aside: all that bar the diver, or those that bar every team with them."""
    codes = tuple(
        dict.fromkeys(
            reason.code
            for reason in reasons
            if reason.code in RULES and (name in reason.divers or reason.code in OF_TEAM)
        )
    )
    if not codes:
        codes = OF_TEAM
    if not all(RULES[code].overridable for code in codes):
        return None
    changed = question
    for code in codes:
        changed = with_override(changed, Override(code, name, "dive leader", "tried"))
    found = _places(changed, day, name, search)
    if found is None:
        return None
    used = {
        code for team in found[0].teams for one in team.reasons if one.code == "override" for code in one.what
    }
    rules = tuple(code for code in codes if code in used)
    words = listed([SET_ASIDE.get(code, code.replace("_", " ")) for code in rules])
    text = f"A leader may set aside, with a reason that stays: {words}. Then {listed(found[1])} could dive."
    return Remedy("set_aside", name, text, found[1], rules=rules)


def one_more_leader(question: Question, pricing: Pricing) -> Question:
    """The same question with one more leader, practised in this very dive, whose gas is the best of the group."""
    own = {
        one.id: one.gas.own_s for one in pricing.case.people.values() if one.gas is not None and one.gas.own_s
    }
    like = min(question.divers.values(), key=lambda one: (-own.get(one.id, 0), one.id))
    demands = question.demands
    done = Done(
        depth=demands.depth,
        on=question.on,
        current=demands.current,
        visibility=demands.visibility,
        water_temp=demands.water_temp,
        night=demands.night,
        task=demands.task,
        count=question.policy.lead_weight,
        site=demands.site,
    )
    diver = replace(
        like, id=ONE_MORE, certified_depth=question.dive.depth, can_share=True, stretched=False, caution=0
    )
    person = Person(
        id=ONE_MORE,
        leader=True,
        certified_depth=demands.depth,
        born=GROWN,
        fitness="in_date",
        experience=Experience(question.on, (done,), MANY),
    )
    return with_diver(question, diver, person)


def _one_booking(question: Question, pricing: Pricing, day: Day, name: str, search: Search) -> Remedy | None:
    found = _places(one_more_leader(question, pricing), day, name, search)
    if found is None:
        return None
    whom = tuple(one for one in found[1] if one != ONE_MORE)
    return Remedy("one_booking", None, leader_would_place(question, whom), whom)


def leader_would_place(question: Question, whom: Sequence[str]) -> str:
    planned = depth_text(question.demands.depth, question.demands.unit)
    return f"One more leader to {planned} with practice of this dive would place {listed(list(whom))}."


def remedy_json(one: Remedy) -> dict[str, Any]:
    item: dict[str, Any] = {"code": one.code, "diver": one.diver, "places": list(one.places)}
    if one.value is not None:
        item |= {"value": one.value, "unit": one.unit}
    if one.rules:
        item["rules"] = list(one.rules)
    return item | {"message": one.message}
