"""Runs one room's benchmark: `tests/benchmarks/bench_<room>.py` yields rows, printed one JSON object a line."""

import importlib
import json
import sys

from teamdive.config.frontend import CHECKOUT

KEYS = ("name", "n", "case", "value", "unit", "peer", "peer_value", "ratio", "goal_ratio", "goal_value")


def run(room: str, *, quick: bool) -> int:
    """Print the rows as they come; 2 when the room has no benchmark yet."""
    sys.path.insert(0, str(CHECKOUT))
    name = f"tests.benchmarks.bench_{room}"
    try:
        module = importlib.import_module(name)
    except ModuleNotFoundError as error:
        if error.name != name:
            raise
        print(
            f"teamdive: there is no benchmark for {room} yet (tests/benchmarks/bench_{room}.py).",
            file=sys.stderr,
        )
        return 2
    for row in module.run(quick):
        print(json.dumps(dict.fromkeys(KEYS) | row), flush=True)
    return 0
