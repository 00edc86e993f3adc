"""One measurement as the row that `teamdive bench` prints."""

import time
from collections.abc import Callable
from typing import Any


def row(
    name: str,
    n: int,
    case: str,
    value: float,
    unit: str,
    peer: str | None = None,
    peer_value: float | None = None,
    ratio: float | None = None,
    goal_ratio: float | None = None,
    **more: Any,
) -> dict[str, Any]:
    """`ratio`: this project against the peer, above 1 where this project is better. `more`: goal_value, reason."""
    made = {"name": name, "n": n, "case": case, "value": figures(value), "unit": unit, "peer": peer}
    made |= {"peer_value": figures(peer_value), "ratio": figures(ratio), "goal_ratio": figures(goal_ratio)}
    return made | more


def figures(x: float | None) -> float | None:
    """Four significant figures."""
    return None if x is None else float(f"{x:.4g}")


def each(work: Callable[[], object], times: int, rounds: int = 3) -> float:
    """Seconds a call: the best of some rounds."""
    best = float("inf")
    for _ in range(rounds):
        started = time.perf_counter()
        for _ in range(times):
            work()
        best = min(best, (time.perf_counter() - started) / times)
    return best
