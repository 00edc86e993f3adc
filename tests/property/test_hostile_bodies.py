"""Every field of a full body replaced by what it must not be, or taken away: an answer or a refusal, never a crash.

Whatever comes back can be written as UTF-8 JSON (RFC 8259), and each refusal points into the body (RFC 6901)
and says what to do.
"""

import copy
import json
import math

import pytest

from teamdive.calculations.day import day
from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem
from teamdive.calculations.teams import teams
from tests.parity import gas_bodies, team_bodies
from tests.parity.plan_bodies import diver, earlier, metric

HOSTILE = [True, -1, 0, 1e-9, 5e-324, 1e308, math.nan, math.inf, 10**400, "", "x", [], [[]], {}, {"zz": 1}]

DAY = {
    "depth_unit": "ft",
    "gf": [0.4, 0.8],
    "method": "shorter",
    "max_ppo2_bar": 1.4,
    "caution": 1,
    "site_altitude_m": 300,
    "hours_at_altitude": 20,
    "water": "fresh",
    "descent_rate": 60,
    "ascent_rate": 30,
    "dives": [
        {
            "depth": 90,
            "bottom_time_min": 12,
            "o2_fraction": 0.32,
            "analysed": True,
            "caution": 2,
            "cold_or_hard": True,
        },
        {
            "surface_interval_min": 75,
            "samples": [[0, 0], [2, 50], [20, 40], [25, 0]],
            "o2_fraction": 0.21,
        },
    ],
    "minutes_since_surfacing": 30,
    "days_of_diving": 1,
    "no_fly": {"to_altitude_m": 2400, "club_wait_min": 600},
}
PLAN = metric(
    [
        diver("a", filled_at="2027-06-12T06:00:00Z", earlier_dives=earlier(18, 40, 90), caution=1)
        | {"supervised": True, "junior": False, "born": "1990-02-28", "gas_margin_percent": 10},
        gas_bodies.logged("b", [17.5, 21]),
    ],
    {
        "on": "2027-06-12",
        **gas_bodies.REAL,
        **gas_bodies.GROUP,
        **gas_bodies.MODEL,
        "fill_temp_c": 35,
        "turn_rule": "thirds",
        "find": "surface_interval",
        "what_if": True,
        "site_altitude_m": 270,
        "hours_at_altitude": 13,
        "max_ppo2_bar": 1.4,
        "least_surface_interval_min": 60,
    },
    task_unit_min=3,
    water_temp_c=8,
    current_kn=0.4,
    work="hard",
    along_current={"first": "with", "swim_kn": 0.8, "current_kn": 0.3},
    safety_stop={"depth": 5, "min": 3},
)
RECORD = [team_bodies.done(35, 1.2, 5, count=6, visibility_m=4, water_temp_c=8, night=True)]
TEAMS = team_bodies.question(
    [
        team_bodies.diver(
            "a",
            RECORD,
            role="leader",
            guardians=["b"],
            guardian_consent=True,
            own_task=True,
            supervised=False,
            caution=1,
        ),
        team_bodies.diver("b", RECORD, role="leader"),
        team_bodies.diver("c", RECORD),
        team_bodies.diver("d", RECORD),
    ],
    wishes=[{"kind": "together", "divers": ["a", "c"], "strength": "prefer"}],
    announced=[["a", "d"], ["b", "c"]],
    out_of_water=["z"],
    why_not=[["a", "b"]],
    locked=[["a", "c"]],
    forbidden=[["a", "b"]],
    overrides=[{"rule": "no_leader", "diver": "c", "by": "b", "reason": "we know each other"}],
    policy={
        "threes": "only_when_odd",
        "leader_needed": "when_stretched",
        "stretches_allowed": 1,
        "lay_off_days": 180,
        "visibility_class_edges_m": [3, 6, 10, 20],
        "visibility_tolerance_classes": 1,
        "current_tolerance_kn": 0.25,
        "water_temp_tolerance_c": 3,
        "freshness_months": [6, 12, 24],
        "covered_weight": 1,
        "lead_weight": 3,
        "wish_s": 100,
    },
    dive={
        "depth": 27,
        "bottom_time_min": 17,
        "water_temp_c": 9,
        "current_kn": 0.4,
        "demands": {"visibility_m": 5, "night": True, "task": {"kind": "survey", "level": 3}},
    },
)

SEVERAL = {name: TEAMS[name] for name in TEAMS if name not in team_bodies.OF_A_DIVE} | {
    "dives": [
        {
            "dive": TEAMS["dive"],
            "locked": [["a", "c"]],
            "surface_cover": [{"role": "lookout", "person": "z"}],
        },
        {
            "dive": {"depth": 12, "bottom_time_min": 20},
            "surface_interval_min": 90,
            "divers": [
                {"id": "a", "cylinders": TEAMS["divers"][0]["cylinders"], "gas": {"o2_fraction": 0.21}}
            ],
            "waves": [
                {"id": "1", "divers": 2, "boat": "rib", "leader_needed": True},
                {
                    "id": "2",
                    "divers": 4,
                    "boat": "rib",
                    "surface_cover": [{"role": "standby", "person": "b"}],
                },
            ],
        },
    ],
    "boats": [{"id": "rib", "persons": 6, "aboard": ["a", "skipper"]}, {"id": "barge", "divers": 3}],
    "between_dives": {"partners": "keep", "cost_s": 60, "teams_before": [["a", "b"], ["c", "d"]]},
    "least_change": True,
}


def paths(value, here=()):
    yield here
    if isinstance(value, dict):
        for name in value:
            yield from paths(value[name], (*here, name))
    elif isinstance(value, list):
        for i in range(min(len(value), 2)):
            yield from paths(value[i], (*here, i))


def put(body, path, value):
    body = copy.deepcopy(body)
    at = body
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    return body


@pytest.mark.parametrize(
    ("calculation", "body"),
    [(day, DAY), (plan, PLAN), (teams, TEAMS), (teams, SEVERAL)],
    ids=["day", "plan", "teams", "several"],
)
def test_no_body_crashes(calculation, body):
    calculation(copy.deepcopy(body))
    refused = 0
    for path in paths(body):
        if not path:
            continue
        for value in (*HOSTILE, None):
            try:
                answer = calculation(put(body, path, value))
                assert json.dumps(answer, allow_nan=False).encode()
            except Problem as problem:
                refused += 1
                assert problem.status == 400
                for error in problem.errors:
                    assert error.pointer == "" or error.pointer.startswith("/")
                    assert error.code and len(error.message) > 10
                    assert "nan" not in error.message and "inf " not in error.message
    assert refused > 100
