"""The dives of one day solved together: who dives with whom on each, in which wave and from which boat.

Dive n + 1 is costed from the planned depth and bottom time of dive n, so that only the price between the dives and
the boats couple them: whoever may dive on dive n is taken to have dived it for as long as they alone could, which is
never less than a team of theirs can. With the times as they were, the dives still to come are asked again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from teamdive.calculations.policy_reading import policy_json
from teamdive.calculations.question import Question, priced
from teamdive.calculations.several_json import between_json, boats_json, dive_json, status_of
from teamdive.calculations.several_reading import BoatAsked, DiveAsked, SeveralAsked, people_of, read_several
from teamdive.calculations.several_warnings import several_warnings
from teamdive.calculations.team_physics import Physics
from teamdive.calculations.teams_json import gap_json, reason_json
from teamdive.pairing.case import SOURCES, Case
from teamdive.pairing.cover import cover_lacking
from teamdive.pairing.explain import Gap, day_of
from teamdive.pairing.facts import impossible
from teamdive.pairing.model import Reason
from teamdive.pairing.optimise import best
from teamdive.pairing.partition import Found, Search, find, musts
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.several import NO_BOAT
from teamdive.pairing.several_case import DayBoat, DayDive, DayWave, WholeDay, team_of, tiers_of
from teamdive.pairing.several_windows import best_day
from teamdive.physics.diver import Diver
from teamdive.physics.earlier import EarlierDive
from teamdive.physics.slate import ascent_s


def several(body: Any, search: Search = best) -> dict[str, Any]:
    """Answer who dives with whom on each of the dives of a body with `dives`.

    Gives `status`, for each dive its teams (each with its wave and boat), who has no place, waves and totals as for
    one dive, what the choice of mates between the dives costs, and the totals of all. Limits in minutes, costs in
    seconds. Raises `Problem` with every error of the body.
    """
    asked = read_several(body)
    solved, day = _priced(asked)
    found = best_day(day, search)
    least, cost = tiers_of(found.at_least), tiers_of(found.cost)
    teams = [
        [team_of(dive.pricing, ids) for ids in fixed]
        for dive, fixed in zip(day.dives, found.teams, strict=True)
    ]
    facts: list[dict[str, Any]] = []
    if cost[0] > len(day.names) * len(day.dives) or not any(teams):
        facts = _facts(day, search, found.at_least >= found.cost)
        teams, found = [[] for _ in teams], replace(found, teams=tuple({} for _ in teams))
    days = []
    for dive, own in zip(day.dives, teams, strict=True):
        placed = {name for team in own for name in team.divers}
        left = tuple(name for name in dive.pricing.able if name not in placed)
        days.append(day_of(dive.pricing, Found(tuple(own), left, True, ())))
    between = between_json(day, found.teams)
    answer: dict[str, Any] = {
        "status": status_of(bool(facts), found.cost, found.at_least),
        "dives": [
            dive_json(day, at, days[at], found.teams, solved[at][0], asked.dives[at])
            for at in range(len(days))
        ],
        "boats": boats_json(day, found.teams),
        "between_dives": between,
        "total": {
            "placed": sum(one.total.placed for one in days),
            "overrides": sum(one.total.overrides for one in days),
            "safety_penalty": sum(one.total.safety for one in days),
            "cost_s": sum(one.total.seconds for one in days) + between["cost_s"],
        },
    }
    if answer["status"] == "feasible":
        answer["gap"] = gap_json(_gap(cost, least, day, answer["total"]["safety_penalty"]))
    if facts:
        answer["facts"] = facts
    answer["policy"] = policy_json(asked.policy, asked.reading.unit)
    answer["sources"] = SOURCES
    answer["warnings"] = [*asked.reading.warnings, *several_warnings(asked, day)]
    return answer


def _gap(cost: Sequence[int], least: Sequence[int], day: WholeDay, safety: int) -> Gap:
    """What could still be saved at most; what private wishes cost is not shown in it."""
    more = [a - b for a, b in zip(cost, least, strict=True)]
    changes_first = day.dives[0].pricing.case.least_change
    overrides, stretch, seconds = more[2:5] if changes_first else more[1:4]
    return Gap(more[0], overrides, min(safety, stretch), seconds)


def _facts(day: WholeDay, search: Search, proven: bool) -> list[dict[str, Any]]:
    """Why no team can be formed on any dive, or what has to hold cannot: for each dive that fails by itself."""
    found = []
    for at, dive in enumerate(day.dives):
        needed = musts(dive.pricing.case)
        alone = find(dive.pricing, needed, search)
        if alone is None or not alone.teams:
            found += [reason_json(fact) | {"dive": at + 1} for fact in impossible(dive.pricing, needed)]
    if not found:
        text = (
            "Each dive could be by itself, but what has to hold does not fit these waves and boats together."
        )
        if not proven:
            text = "No way was found to fit what has to hold into these waves and boats; not every way was tried."
        found.append(reason_json(Reason("no_room", (), text)) | {"dive": None})
    return found


def _priced(asked: SeveralAsked) -> tuple[list[tuple[Physics, Pricing]], WholeDay]:
    """The physics and prices of each dive in turn, each diver with what the dives before it left."""
    boats = [_boat(one, asked) for one in asked.boats]
    solved: list[tuple[Physics, Pricing]] = []
    dives: list[DayDive] = []
    now: dict[str, Diver] = dict(asked.divers)
    for at, one in enumerate(asked.dives):
        if at > 0:
            physics, pricing = solved[-1]
            now = {name: carried(now[name], physics, pricing, one.interval_s) for name in now}
        # Gear is of this dive; what was dived before goes with the diver.
        here = {
            name: replace(diver, cylinder=gear.cylinder, mix=gear.mix, not_analysed=gear.not_analysed)
            for name, diver in now.items()
            for gear in [one.gear.get(name, asked.divers[name])]
        }
        question = _question(asked, one, here)
        waves = _waves(asked, one, question)
        if not all(wave.closed for wave in waves):
            question = replace(question, policy=replace(question.policy, surface_cover="shown"))
        everywhere = [name for name in here if all(name in wave.out for wave in waves)]
        ashore = (*question.asked.out_of_water, *everywhere)
        question = replace(question, asked=replace(question.asked, out_of_water=ashore))
        now = here
        solved.append(priced(question))
        dives.append(DayDive(solved[-1][1], waves))
    day = WholeDay(
        names=tuple(sorted(asked.divers)),
        dives=tuple(dives),
        boats=tuple(boats),
        partners=asked.partners,
        price_s=asked.price_s,
        before=asked.before,
    )
    return solved, day


def _question(asked: SeveralAsked, one: DiveAsked, divers: Mapping[str, Diver]) -> Question:
    return Question(
        dive=one.dive,
        demands=one.demands,
        on=asked.on,
        policy=asked.policy,
        settings=asked.reading.settings,
        divers=divers,
        people=asked.people,
        asked=one.asked,
    )


def carried(diver: Diver, physics: Physics, pricing: Pricing, interval_s: int) -> Diver:
    """The diver before the next dive: earlier dives further back, and this one made, where they may dive it, for as
    long as they alone could (planned time at most)."""
    facts = pricing.case.people[diver.id].gas
    own = None if facts is None else facts.own_s
    dive = physics.dive
    bottom_s = own or dive.bottom_time_s
    run_s = bottom_s + ascent_s(dive, physics.settings, bottom_s)
    if diver.earlier is None:
        return diver
    before = tuple(replace(one, surfaced_s=one.surfaced_s + run_s + interval_s) for one in diver.earlier)
    if diver.id in pricing.able:
        before = (*before, EarlierDive(dive.depth, bottom_s, diver.mix, interval_s))
    return replace(diver, earlier=before)


def _boat(one: BoatAsked, asked: SeveralAsked) -> DayBoat:
    """A boat with the seats that are left: who is aboard, covers it or one of its waves has one already."""
    aboard = people_of(one, asked.dives)
    pinned = tuple(name for name in aboard if name in asked.divers)
    taken = len(aboard) if one.persons is not None else len(pinned)
    most = one.persons if one.persons is not None else one.divers or 0
    return DayBoat(
        one.id, max(0, most - taken), pinned, most, one.persons is not None, len(aboard) - len(pinned)
    )


def _waves(asked: SeveralAsked, one: DiveAsked, question: Question) -> tuple[DayWave, ...]:
    """The waves as asked; without any, one for each boat, or one for everybody."""
    places = {boat.id: at for at, boat in enumerate(asked.boats)}
    many = max(2, len(asked.divers))
    if one.waves:
        return tuple(
            _wave(
                wave.id,
                wave.divers,
                NO_BOAT if wave.boat is None else places[wave.boat],
                wave.leader_needed,
                wave.cover if wave.boat is None else (*asked.boats[places[wave.boat]].cover, *wave.cover),
                asked,
                question,
            )
            for wave in one.waves
        )
    if asked.boats:
        return tuple(
            _wave(boat.id, many, at, True, boat.cover, asked, question) for at, boat in enumerate(asked.boats)
        )
    return (_wave(None, many, NO_BOAT, False, (), asked, question),)


def _wave(
    name: str | None,
    room: int,
    boat: int,
    leader: bool,
    cover: tuple[tuple[str, str], ...],
    asked: SeveralAsked,
    question: Question,
) -> DayWave:
    told: tuple[tuple[str, str], ...] = tuple(question.asked.cover)
    if boat != NO_BOAT and len(asked.boats) > 1:
        # Who covers the dive from one boat covers no other.
        there = people_of(asked.boats[boat], asked.dives)
        told = tuple(each for each in told if each[1] in there)
    every = (*told, *cover)
    case = Case(question.demands, question.on, question.policy, {}, {}, cover=every)
    lacking = tuple(cover_lacking(case))
    closed = question.policy.surface_cover == "required" and bool(lacking)
    out = tuple(dict.fromkeys(person for _, person in cover))
    return DayWave(name, room, boat, leader, out, closed, every, lacking)
