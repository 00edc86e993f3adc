"""Random histories folded by Python and by the TypeScript twin: the same view, limits and duties, to the bit.

500 histories with a fixed seed, a third of them of two boats; with TEAMDIVE_LONG 20,000 with a fresh one, printed. A
history that differs belongs into fixtures/vectors for ever.
"""

import json
from random import Random

from tests.parity import twins
from tests.parity.vectors_boatlog import dispute_day, random_day

STATES = {"unknown", "ashore", "aboard", "in_water", "down", "marker_seen", "up", "transferred"}


def test_random_histories_are_folded_alike(tmp_path):
    seed, long = twins.seeded(47)
    random = Random(seed)
    # In parts: what JavaScript reads as one text has its limit.
    parts, each = (20, 1000) if long else (1, 500)
    for part in range(parts):
        made = [random_day(f"{seed}-{part}-{n}", random, 30, several=n % 3 == 0) for n in range(each)]
        states = {person["state"] for case in made for person in case["out"]["view"]["people"].values()}
        assert states >= STATES
        file = tmp_path / "histories.json"
        file.write_text(json.dumps({"cases": made}), encoding="utf-8")
        run = twins.suites("boatlog", TEAMDIVE_BOATLOG_CASES=str(file))
        assert run.returncode == 0, run.stdout[-5000:] + run.stderr[-2000:]
        assert f"{each} random histories folded alike" in run.stdout


def test_random_disputes_are_read_alike(tmp_path):
    seed, long = twins.seeded(53)
    random, count = Random(seed), 5000 if long else 300
    made = [dispute_day(f"{seed}-{n}", random) for n in range(count)]
    file = tmp_path / "disputes.json"
    file.write_text(json.dumps({"cases": made}), encoding="utf-8")
    run = twins.suites("boatlog", TEAMDIVE_BOATLOG_CASES=str(file))
    assert run.returncode == 0, run.stdout[-5000:] + run.stderr[-2000:]
    assert f"{count} random histories folded alike" in run.stdout
