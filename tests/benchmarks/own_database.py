"""Runs one module of the benchmarks on databases of its own: SQLite in a temporary folder, PostgreSQL if there."""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.faults import servers

ROOT = Path(__file__).resolve().parents[2]


def on_both(module: str, number: int, name: str) -> Iterator[dict[str, object]]:
    """The rows that `tests.benchmarks.<module> number` prints, each with its database as `case`."""
    yield from _inside(module, number, "SQLite", "")
    try:
        with servers.postgres() as url:
            yield from _inside(module, number, "PostgreSQL", url)
    except servers.NotInstalled as missing:
        yield {"name": name, "n": number, "case": "PostgreSQL", "reason": str(missing)}


def _inside(module: str, number: int, case: str, url: str) -> Iterator[dict[str, object]]:
    with tempfile.TemporaryDirectory(prefix="teamdive-bench-") as folder:
        env = os.environ | {
            "TEAMDIVE_DATA": folder,
            "TEAMDIVE_DATABASE_URL": url,
            "DJANGO_SETTINGS_MODULE": "teamdive.config.settings",
        }
        done = subprocess.run(
            [sys.executable, "-m", f"tests.benchmarks.{module}", str(number)],
            env=env,
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
            check=True,
        )
    for line in done.stdout.splitlines():
        yield json.loads(line) | {"case": case}
