"""Questions to `teams`: the worked day of eight, and random groups with everything a club may say of them."""

from __future__ import annotations

import copy
from random import Random
from typing import Any

from teamdive.calculations.problem import Problem
from teamdive.calculations.teams import teams

Body = dict[str, Any]
ON = "2027-06-12"
# What a body with several dives states for each of them.
OF_A_DIVE = (
    "dive",
    "wishes",
    "announced",
    "out_of_water",
    "overrides",
    "locked",
    "forbidden",
    "guided",
    "surface_cover",
    "why_not",
)


def done(
    depth: float,
    current: float | None = None,
    level: int = 0,
    *,
    count: int = 3,
    on: str = "2027-05-20",
    **more: Any,
) -> Body:
    """Past dives that were alike; `level` of the task `survey`, 0 for none."""
    task = {"kind": "survey", "level": level} if level else None
    return {"depth": depth, "current_kn": current, "task": task, "count": count, "on": on, **more}


def diver(name: str, record: list[Body] | None, **changes: Any) -> Body:
    """A grown, fit diver with analysed air in 12 L at 215 bar, breathing 16 L/min; None drops a field."""
    item: Body = {
        "id": name,
        "role": "diver",
        "certified_depth": 40,
        "born": "1985-03-01",
        "fitness": "in_date",
        "rmv_l_min": 16,
        "experience": {"dives": 120, "last_dive": "2027-05-20", "dives_last_year": 20, "done": record},
        "earlier_dives": [],
        "cylinders": [
            {"id": "c", "volume": 12, "working_pressure": 232, "start_pressure": 215, "use": "main"}
        ],
        "gas": {
            "o2_fraction": 0.21,
            "analysis": {"o2_fraction": 0.21, "by": name, "at": "2027-06-12T08:00:00Z", "cylinder": "c"},
        },
    }
    for key, value in changes.items():
        if key in ("volume", "start_pressure"):
            item["cylinders"][0][key] = value
        elif key == "last_dive":
            item["experience"]["last_dive"] = value
        elif value is None:
            item.pop(key, None)
        else:
            item[key] = value
    return item


def question(divers: list[Body], **top: Any) -> Body:
    """27 m for 17 min in 0.5 kn, a survey at level 3; two sharing at 30 L/min each, no margin on gas."""
    body: Body = {
        "depth_unit": "m",
        "pressure_unit": "bar",
        "volume_unit": "l",
        "on": ON,
        "gas_margin_percent": 0,
        "site_altitude_m": 0,
        "sharing": {
            "stressed_rmv_l_min": 30,
            "delay_at_depth_min": 1,
            "surface_reserve": 50,
            "regulator_minimum": 10,
        },
        "dive": {
            "depth": 27,
            "bottom_time_min": 17,
            "demands": {"current_kn": 0.5, "task": {"kind": "survey", "level": 3}},
        },
        "divers": divers,
    }
    return body | top


def eight(**top: Any) -> Body:
    """Three leaders, three who stretch in one dimension, one in three, one long out of the water."""
    return question(
        [
            diver("A", [done(40, 1.0, 5)], role="leader", start_pressure=220, rmv_l_min=15),
            diver("B", [done(32, 1.0, 4)], role="leader", start_pressure=210, rmv_l_min=17),
            diver("C", [done(33, 0.8), done(12, 0.2, 4)], start_pressure=200, rmv_l_min=20),
            diver("D", [done(18, 0.3, 4)], volume=10, start_pressure=200, rmv_l_min=24),
            diver("E", [done(30, 0.8)], volume=15, start_pressure=220, rmv_l_min=19),
            diver("F", [done(18, 0.1)]),
            diver("G", [done(30, 0.6, 4)], role="leader"),
            diver("H", [done(30, 0.6, 4, on="2026-04-10")], last_dive="2026-04-10"),
        ],
        **top,
    )


def answer(body: Body) -> Body:
    """The outcome as the vectors keep it: an answer without its sources, or a problem."""
    try:
        found = teams(copy.deepcopy(body))
    except Problem as problem:
        return {"problem": problem.as_json()}
    return {"answer": {name: value for name, value in found.items() if name != "sources"}}


# --- random groups -----------------------------------------------------------------------------------

KINDS = ("survey", "photo")
SITES = ("wall", "wreck", "surf_entry")
ROLES = ("boat_handler", "lookout", "oxygen", "standby")
DATES = ("2027-06-01", "2027-05-20", "2027-01-15", "2026-12-12", "2026-06-12", "2025-11-30", "2024-01-01")


def record(random: Random) -> list[Body]:
    """One to four kinds of past dives, some never recorded in full."""
    made = []
    for _ in range(random.randint(1, 4)):
        kind = {"kind": random.choice(KINDS), "level": random.randint(0, 5)}
        one: Body = {
            "depth": random.choice([8, 12, 17.5, 18, 25, 29.9, 30, 33, 39, 40, 45]),
            "on": random.choice(DATES),
            "count": random.choice([1, 1, 2, 3, 4, 12]),
        }
        if random.random() < 0.8:
            one["current_kn"] = random.choice([0, 0.1, 0.25, 0.3, 0.5, 0.8, 1.0, 1.5])
        if random.random() < 0.7:
            one["visibility_m"] = random.choice([1, 3, 5, 6, 8, 10, 15, 20, 30])
        if random.random() < 0.7:
            one["water_temp_c"] = random.choice([4, 6, 8.5, 10, 13, 16, 22])
        if random.random() < 0.2:
            one["night"] = True
        if random.random() < 0.7:
            one["task"] = kind if random.random() < 0.9 else None
        made.append(one)
    return made


def group(random: Random, most: int = 12, rare: bool = False) -> Body:
    """A random group; most divers have what they need, so that there is something to choose. `rare` adds what few
    clubs set and few bodies state."""
    size = random.randint(1, most)
    names = [f"d{i}" for i in range(size)]
    random.shuffle(names)
    demands: Body = {}
    if random.random() < 0.7:
        demands["current_kn"] = random.choice([0.2, 0.5, 0.5, 0.8])
    if random.random() < 0.4:
        demands["visibility_m"] = random.choice([2, 5, 6, 12])
    if random.random() < 0.4:
        demands["water_temp_c"] = random.choice([6, 10, 14.5])
    if random.random() < 0.7:
        demands["task"] = {"kind": "survey", "level": random.randint(1, 4)}
    if random.random() < 0.1:
        demands["night"] = True
    people = [_person(random, name) for name in names]
    body = question(people)
    body["dive"] = {
        "depth": random.choice([12, 18, 22, 27, 27, 30, 33]),
        "bottom_time_min": random.choice([12, 17, 25, 40]),
        "demands": demands,
    }
    if random.random() < 0.1:
        body["method"] = random.choice(["table", "tissue"])
    policy: Body = {}
    if random.random() < 0.6:
        policy["threes"] = random.choice(["free", "never", "only_when_odd"])
    if random.random() < 0.2:
        policy["stretches_allowed"] = random.choice([0, 2])
    if random.random() < 0.3:
        policy["leader_needed"] = "when_stretched"
    if random.random() < 0.2:
        policy["lay_off_days"] = random.choice([30, 90, 365])
    if rare:
        _club(random, policy)
    if policy:
        body["policy"] = policy
    if size >= 4:
        _wishes(random, body, names)
    if rare:
        _rare(random, body, names)
    _more_answers(random, body)
    return body


def _more_answers(random: Random, body: Body) -> None:
    """What may be asked besides the best day."""
    if random.random() < 0.2:
        body["alternatives"] = random.choice([1, 3])
    if random.random() < 0.2:
        body["drop_outs"] = True
    if random.random() < 0.1 and len(body["divers"]) < 14:
        body["robust"] = True
    if random.random() < 0.3 and "announced" in body:
        body["least_change"] = True
    if random.random() < 0.2 and len(body["divers"]) < 14:
        body["remedies"] = True
    if random.random() < 0.1:
        body["facts"] = False
    if random.random() < 0.15 and len(body["divers"]) < 14:
        body["find"] = "pairability"
        body["candidates"] = [_person(random, f"w{i}") for i in range(random.randint(0, 2))]


def _rare(random: Random, body: Body, names: list[str]) -> None:
    if random.random() < 0.15:
        body["dive"]["demands"]["site_kind"] = random.sample(SITES, 1)
    if random.random() < 0.2:
        names_ashore = [*names, "skipper", "mate"]
        body["surface_cover"] = [
            {"role": role, "person": random.choice(names_ashore)}
            for role in random.sample(ROLES, random.randint(1, 4))
        ]
    if len(names) >= 4 and random.random() < 0.15:
        quiet = {"kind": "apart", "divers": random.sample(names, 2), "private": True}
        body["wishes"] = [*body.get("wishes", []), quiet]
    if len(names) >= 4 and "locked" not in body and random.random() < 0.1:
        body["guided"] = [random.sample(names, random.choice([3, 4]))]
    _stated(random, body["divers"], names)
    if random.random() < 0.15:
        for one in body["divers"]:
            if one["role"] == "diver" and random.random() < 0.6:
                one["supervised"] = True


def _club(random: Random, policy: Body) -> None:
    """Now and then one of the settings that are off, or another number, by default."""
    settings: Body = {
        "deeper_beside_certified": True,
        "oxygen_depth_margin": random.choice([0, 5]),
        "most_days_since_dive": random.choice([20, 60]),
        "least_dives_last_year": random.choice([12, 25]),
        "guided_ratio": random.choice([1, 2, 6]),
        "guardian_may_lead": True,
        "one_band_at_a_time": True,
        "repeats_before_next": random.choice([2, 3, 5]),
        "first_exposure_min": random.choice([8, 12.5]),
        "three_visibility_m": random.choice([3, 10]),
        "wave_interval_min": random.choice([30, 90]),
        "surface_cover": random.choice(["warn", "required"]),
        "cover_roles_combined": [["lookout", "standby"], list(ROLES)][: random.randint(0, 2)],
        "both_tasks_s": 60,
        "first_together_s": random.choice([0, 120]),
        "mentor_debt_s": 180,
        "other_mix_s": 60,
    }
    for name, value in settings.items():
        if random.random() < 0.06:
            policy[name] = value


def _stated(random: Random, people: list[Body], names: list[str]) -> None:
    """Facts about people that few bodies state."""
    for one in people:
        for past in (one.get("experience") or {}).get("done") or []:
            if random.random() < 0.5:
                past["site_kind"] = random.sample(SITES, random.randint(0, 2))
        if random.random() < 0.05:
            one["certified_until"] = random.choice(["2027-06-11", "2027-06-12", "2030-01-01"])
        if random.random() < 0.05:
            one["new_equipment"] = random.choice([["drysuit"], ["nitrox", "drysuit"], []])
        if random.random() < 0.15:
            one["shares_gas_by"] = random.sample(["long hose", "octopus", "pony"], random.randint(0, 2))
        if random.random() < 0.1:
            one["signals"] = random.sample(["hand", "light", "rope"], random.randint(1, 2))
        if random.random() < 0.15:
            one["dived_with"] = random.sample([*names, "else"], random.randint(0, 2) % (len(names) + 1))
        if random.random() < 0.1:
            one["mentor_debt"] = random.randint(0, 4)
        if random.random() < 0.05:
            one["own_task"] = True
        if random.random() < 0.05:
            one["supervised"] = True
        if random.random() < 0.06:
            one["guardians"] = [random.choice(names)]
        if random.random() < 0.1 and one.get("experience"):
            one["experience"].pop("dives_last_year", None)
        if random.random() < 0.06 and one.get("gas"):
            share = random.choice([0.3, 0.32, 0.36])
            one["gas"] = {
                "o2_fraction": share,
                "analysis": {
                    "o2_fraction": share,
                    "by": one["id"],
                    "at": "2027-06-12T08:00:00Z",
                    "cylinder": "c",
                },
            }


def _person(random: Random, name: str) -> Body:
    good = random.random() < 0.6
    strong = [done(random.choice([33, 38, 40]), random.choice([0.8, 1.0]), random.choice([4, 5]), count=4)]
    strong[0] |= {"visibility_m": 3, "water_temp_c": 5, "night": True}
    changes: Body = {
        "role": "leader" if good and random.random() < 0.8 else "diver",
        "volume": random.choice([10, 12, 12, 15]),
        "start_pressure": random.choice([180, 200, 210, 220, 230]),
        "rmv_l_min": random.choice([13, 15, 16, 18, 20, 24]),
    }
    odd = random.random()
    if odd < 0.03:
        changes["certified_depth"] = None
    elif odd < 0.08:
        changes["certified_depth"] = random.choice([18, 20])
    elif odd < 0.10:
        changes["born"] = None
    elif odd < 0.14:
        changes["born"] = random.choice(
            ["2016-06-13", "2014-01-01", "2012-06-12", "2010-02-28", "2018-01-01"]
        )
        changes["guardian_consent"] = random.choice([True, False, None])
    elif odd < 0.17:
        changes["fitness"] = random.choice([None, "out_of_date", "restricted", "unfit"])
    elif odd < 0.20:
        changes["earlier_dives"] = None
    elif odd < 0.26:
        changes["earlier_dives"] = [
            {"depth": 24, "bottom_time_min": 20, "o2_fraction": 0.21, "surfaced_min_before_descent": 75}
        ]
    elif odd < 0.28:
        changes["start_pressure"] = None
    elif odd < 0.30:
        changes["gas"] = random.choice([None, {"o2_fraction": 0.36}])
    elif odd < 0.32:
        changes["start_pressure"] = 70
    elif odd < 0.34:
        changes["own_task"] = True
    elif odd < 0.36:
        changes["supervised"] = True
    person = diver(name, strong if good else record(random), **changes)
    if random.random() < 0.05:
        person["experience"]["last_dive"] = random.choice([None, "2026-10-01", "2026-12-20"])
    if random.random() < 0.03:
        person["experience"]["done"] = None
    return person


def _wishes(random: Random, body: Body, names: list[str]) -> None:
    def two() -> list[str]:
        return random.sample(names, 2)

    if random.random() < 0.4:
        body["wishes"] = [
            {
                "kind": random.choice(["together", "apart"]),
                "divers": random.sample(names, random.choice([2, 2, 3])),
                "strength": random.choice(["must", "prefer", "prefer"]),
            }
            for _ in range(random.randint(1, 3))
        ]
    if random.random() < 0.2:
        body["forbidden"] = [two()]
    if random.random() < 0.15:
        body["locked"] = [two()]
    if random.random() < 0.3:
        body["why_not"] = [two(), random.sample(names, 3)]
    if random.random() < 0.3:
        shuffled = random.sample(names, len(names))
        body["announced"] = [shuffled[i : i + 2] for i in range(0, len(shuffled) - 1, 2)]
    if random.random() < 0.15:
        body["out_of_water"] = [random.choice([*names, "crew"])]
    if random.random() < 0.3:
        rules = (
            "stretches",
            "two_stretched",
            "no_leader",
            "certified_depth",
            "earlier_dives_not_known",
            "unfit",
        )
        body["overrides"] = [
            {"rule": random.choice(rules), "diver": one, "by": by, "reason": "seen last week"}
            for one, by in (two(), two())
        ]
