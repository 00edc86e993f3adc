"""The dives of a day, their waves and boats as the answer writes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any

from teamdive.calculations.several_reading import DiveAsked
from teamdive.calculations.team_physics import Physics
from teamdive.calculations.teams_json import (
    diver_json,
    not_placed_json,
    overrides_json,
    recheck_json,
    team_json,
    total_json,
)
from teamdive.calculations.teams_parts import guided_json, instead_json
from teamdive.pairing.case import leads_to_depth
from teamdive.pairing.cover import COVER_NAMES
from teamdive.pairing.explain import Day, NotPlaced, changed, recheck
from teamdive.pairing.model import COVER_ROLES, Reason, listed
from teamdive.pairing.several import NO_BOAT
from teamdive.pairing.several_case import DayWave, Fixed, WholeDay


def status_of(impossible: bool, cost: int, at_least: int) -> str:
    if impossible:
        return "impossible"
    return "optimal" if at_least >= cost else "feasible"


def dive_json(
    day: WholeDay, at: int, own: Day, every: Sequence[Fixed], physics: Physics, asked: DiveAsked
) -> dict[str, Any]:
    """One dive as `teams` answers one, each team with its wave and boat; `every` has the teams of all dives."""
    teams = every[at]
    waves, pricing = day.dives[at].waves, day.dives[at].pricing
    case = pricing.case
    out = [_not_placed(one, day, at, every) for one in own.not_placed]
    item: dict[str, Any] = {
        "dive": at + 1,
        "teams": [
            team_json(team, pricing, physics)
            | {"wave": waves[teams[team.divers]].id, "boat": _boat_id(day, waves[teams[team.divers]])}
            for team in own.teams
        ],
        "not_placed": [not_placed_json(one) for one in out],
        "total": total_json(own),
        "changed": [
            {
                "diver": name,
                "from": None if before is None else list(before),
                "to": None if after is None else list(after),
            }
            for name, before, after in changed(case, own)
        ],
        "divers": [diver_json(person, case) for person in case.people.values()],
        "overrides": overrides_json(case, own),
        "instead_of_three": instead_json(own, pricing, physics),
        "guided_offers": guided_json(own, pricing),
        "waves": [_wave_json(day, at, number, teams) for number in range(len(waves))],
    }
    if asked.asked.announced:
        item["announced"] = [recheck_json(one) for one in recheck(pricing)]
    return item


def _boat_id(day: WholeDay, wave: DayWave) -> str | None:
    return None if wave.boat == NO_BOAT else day.boats[wave.boat].id


def _wave_json(day: WholeDay, at: int, number: int, teams: Fixed) -> dict[str, Any]:
    """Who dives in a wave, who could lead it, and who covers it from the surface."""
    wave, case = day.dives[at].waves[number], day.dives[at].pricing.case
    there = [ids for ids in teams if teams[ids] == number]
    divers = sorted(name for ids in there for name in ids)
    leads = [name for name in divers if leads_to_depth(case.people[name], case)]
    roles = [one for one in leads if case.standings[one].stretches == 0] or leads
    return {
        "id": wave.id,
        "boat": _boat_id(day, wave),
        "room": wave.room,
        "teams": [list(ids) for ids in there],
        "divers": divers,
        "lead": roles[0] if roles else None,
        "surface_cover": {
            "roles": [{"role": role, "person": person} for role, person in wave.cover],
            "missing": [role for role in COVER_ROLES if COVER_NAMES[role] in wave.lacking],
        },
    }


def _not_placed(one: NotPlaced, day: WholeDay, at: int, teams: Sequence[Fixed]) -> NotPlaced:
    """With waves or boats that hold no further team, that is said instead of who else is taken."""
    dive = day.dives[at]
    if one.id not in dive.pricing.able:
        return one
    room = any(_open(one.id, day, at, number, teams) for number in range(len(dive.waves)))
    if room:
        return one
    text = f"There is no room for a further team with {one.id} in the waves and boats of dive {at + 1}."
    return replace(one, reasons=(Reason("no_room", (one.id,), text),))


def _open(name: str, day: WholeDay, at: int, number: int, teams: Sequence[Fixed]) -> bool:
    """Whether a pair with this diver would still fit this wave and its boat."""
    wave = day.dives[at].waves[number]
    inside = sum(len(ids) for ids in teams[at] if teams[at][ids] == number)
    if wave.closed or name in wave.out or wave.room - inside < 2:
        return False
    if wave.boat == NO_BOAT:
        return True
    on = [riders(day, boat, teams) for boat in range(len(day.boats))]
    if any(name in those for those in on):
        return name in on[wave.boat]
    boat = day.boats[wave.boat]
    return boat.most - len(on[wave.boat]) - (boat.crew if boat.persons else 0) > 0


def riders(day: WholeDay, boat: int, teams: Sequence[Fixed]) -> list[str]:
    """The divers with a fixed seat on a boat and those who dive from it, by id."""
    found = set(day.boats[boat].aboard)
    for dive, fixed in zip(day.dives, teams, strict=True):
        found |= {name for ids, wave in fixed.items() if dive.waves[wave].boat == boat for name in ids}
    return sorted(found)


def boats_json(day: WholeDay, teams: Sequence[Fixed]) -> list[dict[str, Any]]:
    """Who goes on which boat: those with a fixed seat and those who dive from it."""
    found = []
    for at, boat in enumerate(day.boats):
        divers = riders(day, at, teams)
        taken = len(divers) + (boat.crew if boat.persons else 0)
        found.append(
            {
                "id": boat.id,
                "divers": divers,
                "others_aboard": boat.crew,
                "takes": {"persons" if boat.persons else "divers": boat.most},
                "seats_left": boat.most - taken,
            }
        )
    return found


def between_json(day: WholeDay, teams: Sequence[Fixed]) -> dict[str, Any]:
    """What it costs who dives with whom on more dives than one, each part with its sentence."""
    dives = [{name: ids for ids in fixed for name in ids} for fixed in teams]
    able = [set(dive.pricing.able) for dive in day.dives]
    first = 1
    if day.before:
        names = [tuple(name for name in team if name in day.names) for team in day.before]
        dives.insert(0, {name: ids for ids in names for name in ids})
        able.insert(0, {name for ids in names for name in ids})
        first = 0
    reasons: list[dict[str, Any]] = []

    def add(code: str, at: int, divers: Sequence[str], count: int, message: str) -> None:
        if count and day.price_s:
            seconds = day.price_s * count
            reasons.append(
                {
                    "code": code,
                    "dive": at + first,
                    "divers": list(divers),
                    "seconds": seconds,
                    "message": message,
                }
            )

    for at in range(1, len(dives)):
        if day.partners == "keep":
            moved = [
                name
                for name in sorted(able[at - 1] & able[at])
                if dives[at - 1].get(name) != dives[at].get(name)
            ]
            verb = "does" if len(moved) == 1 else "do"
            text = f"{listed(moved)} {verb} not dive with the same mates as on the dive before."
            add("other_mates", at, moved, len(moved), text)
        if day.partners == "change":
            for pair in combinations(sorted(dives[at]), 2):
                together = [set(pair) <= set(one.get(pair[0], ())) for one in dives[: at + 1]]
                if together[at] and any(together[:at]):
                    add("same_mates", at, pair, 2, f"{listed(pair)} dive together again.")
    return {
        "partners": day.partners,
        "cost_per_diver_s": day.price_s,
        "cost_s": sum(one["seconds"] for one in reasons),
        "reasons": reasons,
    }
