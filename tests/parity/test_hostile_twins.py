"""Bodies with one field spoilt, answered or refused alike by both languages: pointers, codes and words."""

import json

from tests.parity import team_bodies, twins, vectors_day, vectors_plan
from tests.property.test_hostile_bodies import DAY, PLAN, SEVERAL, TEAMS, paths, put

# What JSON can carry: no NaN, no infinity, no whole number past a double.
SPOILT = [
    None,
    True,
    -1,
    0,
    -0.0,
    1e-9,
    5e-324,
    1e308,
    "",
    "\u00e9\U0001f93f",
    [],
    [[]],
    {},
    {"zz": 1},
    2**53 + 2,
]
ANSWERS = {
    "day": (DAY, vectors_day.answer),
    "plan": (PLAN, vectors_plan.outcome),
    "teams": (TEAMS, team_bodies.answer),
    "teams, several dives": (SEVERAL, team_bodies.answer),
}


def test_spoilt_bodies_are_answered_alike(tmp_path):
    cases = {}
    for name, (body, answer) in ANSWERS.items():
        made = []
        for n, path in enumerate(paths(body)):
            # Three of the spoilt values for each field, others for the next: all meet every kind of field.
            for value in SPOILT[n % 5 :: 5] if path else ():
                spoilt = put(body, path, value)
                made.append({"id": f"{name}: {path} {value!r}", "in": spoilt, "out": answer(spoilt)})
        assert any("problem" in case["out"] for case in made)
        cases.setdefault(name.split(",")[0], []).extend(made)
    files = {}
    for kernel, made in cases.items():
        files[kernel] = tmp_path / f"{kernel}.json"
        files[kernel].write_text(json.dumps({"cases": made}), encoding="utf-8")
    run = twins.typescript(files)
    assert run.returncode == 0, run.stdout[-5000:] + run.stderr[-2000:]
    assert run.stdout.count("answered alike") >= len(files)
