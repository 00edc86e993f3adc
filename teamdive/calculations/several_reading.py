"""The dives of one day in one body: what each asks, its waves, the boats, and what is wished between the dives.

Beside the settings, `on`, `policy` and `divers` of a body for one dive:

    {"dives": [{"dive": {...}, "surface_interval_min": 90,
                "divers": [{"id": "a", "cylinders": [...], "gas": {...}}],
                "waves": [{"id": "1", "divers": 6, "boat": "rib", "leader_needed": true, "surface_cover": [...]}],
                "...": "wishes, locked, announced, out_of_water, overrides, forbidden, guided, surface_cover"}],
     "boats": [{"id": "rib", "persons": 8, "aboard": ["skipper", "a"], "surface_cover": [...]}],
     "between_dives": {"partners": "keep", "cost_s": 120, "teams_before": [["a", "b"]]}, "least_change": false}

`surface_interval_min` (from the second dive on) is the least that anybody has: with waves, from the last one up to
the first one down. `divers` of a dive are those who take other gas on it. Without `waves` a dive has one wave a boat,
or one for all. A boat takes `persons` or `divers`. `partners` is keep, change or either; `teams_before` have dived
already. What is known only after a dive (times, who dived) goes into `earlier_dives`, and the rest is asked again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from teamdive.calculations.asked_reading import (
    MOST_IN_GROUP,
    Asked,
    no_one_twice,
    read_asked,
    read_ids,
    read_people_ids,
    read_roles,
    read_teams,
)
from teamdive.calculations.body import Errors, Fields
from teamdive.calculations.diver_reading import read_gear, read_team_diver
from teamdive.calculations.pairing_reading import read_demand_fields, read_demands, read_on, read_person
from teamdive.calculations.policy_reading import read_policy
from teamdive.calculations.problem import pointer
from teamdive.calculations.reading import read_interval_s
from teamdive.calculations.team_reading import WATER_C, Reading, read_team_dive, read_team_settings
from teamdive.pairing.model import Demands, Person, Policy, listed
from teamdive.physics.diver import Diver, TeamDive

MOST_DIVERS = 30
MOST_DIVES = 3
MOST_WAVES = 4
MOST_BOATS = 4
MOST_ABOARD = 400
PRICE_S = 120
# What is answered for one dive at a time; the fewest changes are asked of the whole day.
ONE_DIVE_ONLY = (
    "why_not",
    "alternatives",
    "drop_outs",
    "robust",
    "remedies",
    "facts",
    "find",
    "least_change",
)


@dataclass(frozen=True)
class BoatAsked:
    """`persons` or `divers` is what it takes, the other None; `aboard` have a fixed seat on it."""

    id: str
    persons: int | None
    divers: int | None
    aboard: tuple[str, ...]
    cover: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class WaveAsked:
    id: str
    divers: int
    boat: str | None
    leader_needed: bool
    cover: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class DiveAsked:
    """`interval_s`: out of the water since the dive before (first: 0); `gear`: divers as they dive on this one."""

    dive: TeamDive
    demands: Demands
    interval_s: int
    asked: Asked
    waves: tuple[WaveAsked, ...]
    gear: Mapping[str, Diver]


@dataclass(frozen=True)
class SeveralAsked:
    on: int
    policy: Policy
    reading: Reading
    divers: Mapping[str, Diver]
    people: tuple[Person, ...]
    dives: tuple[DiveAsked, ...]
    boats: tuple[BoatAsked, ...]
    partners: str
    price_s: int
    before: tuple[tuple[str, ...], ...]


def read_several(body: object) -> SeveralAsked:
    """The whole body; raises `Problem` with every error in it."""
    errors = Errors()
    top = Fields(errors, body)
    reading, on = read_on(top, read_team_settings(top))
    policy = read_policy(top.fields_or_none("policy"), reading.unit)
    items = top.list_of_fields("divers", 1, MOST_DIVERS)
    ids = read_people_ids(items)
    asked = top.list_of_fields("dives", 1, MOST_DIVES)
    water_c = _water_c(asked[0].get("dive")) if asked else None
    reading = replace(reading, water_at="/dives/0/dive/water_temp_c")
    divers = [read_team_diver(item, reading, water_c) for item in items]
    people = [read_person(item, diver, reading.unit, on) for item, diver in zip(items, divers, strict=True)]
    known = {diver.id: diver for diver in divers}
    least_change = top.flag("least_change")
    boats = _boats(top)
    dives = [_dive(item, at, reading, known, ids, boats, least_change) for at, item in enumerate(asked)]
    _one_boat_each(top, ids, boats, dives)
    partners, price_s, before = _between(top.fields_or_none("between_dives"))
    top.close()
    errors.raise_if_any()
    return SeveralAsked(
        on, policy, reading, known, tuple(people), tuple(dives), boats, partners, price_s, before
    )


def _water_c(dive: object) -> float | None:
    """The water of the first dive, in which the cylinders are counted; a wrong value is told with the dive."""
    told = dive.get("water_temp_c") if isinstance(dive, dict) else None
    if isinstance(told, bool) or not isinstance(told, (int, float)):
        return None
    return float(told) if WATER_C[0] <= told <= WATER_C[1] else None


def _dive(
    item: Fields,
    at: int,
    reading: Reading,
    divers: Mapping[str, Diver],
    ids: Sequence[str],
    boats: Sequence[BoatAsked],
    least_change: bool,
) -> DiveAsked:
    reading = replace(reading, water_at=f"/dives/{at}/dive/water_temp_c")
    fields = item.fields("dive")
    demand_fields, current_kn = read_demand_fields(fields)
    dive = read_team_dive(fields, reading, current_kn)
    demands = read_demands(demand_fields, fields, current_kn, dive)
    fields.close()
    interval_s = 0 if at == 0 else read_interval_s(item, "surface_interval_min")
    gear: dict[str, Diver] = {}
    for own in item.list_of_fields_or_none("divers", 0, MOST_DIVERS) or []:
        name = own.text("id", 100)
        if name in gear:
            own.fail("id", "duplicate", "Two divers have this id.")
        elif name in divers:
            gear[name] = read_gear(own, reading, divers[name], dive.water_c)
        elif own.has("id"):
            own.fail("id", "unknown_diver", "No diver of this body has this id.")
        own.close()
    asked = replace(read_asked(item, ids), least_change=least_change)
    for name in ONE_DIVE_ONLY:
        if item.has(name):
            message = (
                "Asked of the whole day, beside dives."
                if name == "least_change"
                else "Ask it of one dive alone."
            )
            item.fail(name, "not_allowed", message)
    waves = _waves(item, boats)
    item.close()
    return DiveAsked(dive, demands, interval_s, asked, waves, gear)


def _waves(item: Fields, boats: Sequence[BoatAsked]) -> tuple[WaveAsked, ...]:
    waves: list[WaveAsked] = []
    for fields in item.list_of_fields_or_none("waves", 1, MOST_WAVES) or []:
        name = fields.text("id", 100)
        if any(name == wave.id for wave in waves):
            fields.fail("id", "duplicate", "Two waves of this dive have this id.")
        divers = fields.integer("divers", 2, MOST_DIVERS, "divers")
        boat = fields.text_or_none("boat", 100)
        if boat is not None and not any(boat == one.id for one in boats):
            fields.fail("boat", "unknown_boat", "No boat of this body has this id.")
        if boat is None and boats and not fields.has("boat"):
            fields.required("boat", "Give the id of the boat this wave dives from.")
        needed = fields.flag_or_none("leader_needed")
        waves.append(WaveAsked(name, divers, boat, needed is not False, read_roles(fields)))
        fields.close()
    return tuple(waves)


def _boats(top: Fields) -> tuple[BoatAsked, ...]:
    boats: list[BoatAsked] = []
    for fields in top.list_of_fields_or_none("boats", 1, MOST_BOATS) or []:
        name = fields.text("id", 100)
        if any(name == boat.id for boat in boats):
            fields.fail("id", "duplicate", "Two boats have this id.")
        persons = fields.integer_or_none("persons", 1, MOST_ABOARD, "persons")
        divers = fields.integer_or_none("divers", 1, MOST_ABOARD, "divers")
        fields.one_of_two("persons", "divers")
        if not fields.has("persons") and not fields.has("divers"):
            fields.required("persons", "Give how many persons the boat takes, or how many divers.")
        aboard = tuple(read_ids(fields, "aboard", 0, MOST_ABOARD))
        boats.append(BoatAsked(name, persons, divers, aboard, read_roles(fields)))
        fields.close()
    return tuple(boats)


def people_of(boat: BoatAsked, dives: Sequence[DiveAsked]) -> tuple[str, ...]:
    """Who has a fixed place on a boat: those aboard, and those who cover it or one of its waves."""
    covering = [person for _, person in boat.cover]
    for dive in dives:
        covering += [person for wave in dive.waves if wave.boat == boat.id for _, person in wave.cover]
    return tuple(dict.fromkeys([*boat.aboard, *covering]))


def _one_boat_each(
    top: Fields, ids: Sequence[str], boats: Sequence[BoatAsked], dives: Sequence[DiveAsked]
) -> None:
    seen: set[str] = set()
    for at, boat in enumerate(boats):
        here = people_of(boat, dives)
        twice = [person for person in here if person in ids and person in seen]
        if twice:
            text = (
                f"{listed(twice)} would be on another boat too, aboard or at the surface: one boat all day."
            )
            top.errors.add(pointer(top.pointer("boats"), at), "duplicate", text)
        seen.update(here)


def _between(fields: Fields | None) -> tuple[str, int, tuple[tuple[str, ...], ...]]:
    if fields is None:
        return "either", PRICE_S, ()
    partners = fields.choice_or_none("partners", ("either", "keep", "change")) or "either"
    price_s = fields.integer_or_none("cost_s", 0, 86_400, "seconds")
    before = read_teams(fields, "teams_before", 2, MOST_IN_GROUP, None)
    no_one_twice(fields, "teams_before", before)
    fields.close()
    return partners, PRICE_S if price_s is None else price_s, before
