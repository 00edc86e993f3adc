"""How fast reminders are claimed and delivered, against bare Django writes of the same rows in the same run.

Each database is one of this benchmark's own: SQLite in a temporary folder, and PostgreSQL where it is installed.
"""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.faults import servers

ROOT = Path(__file__).resolve().parents[2]


def run(quick: bool) -> Iterator[dict[str, object]]:
    """Rows of `teamdive bench reminders`; `quick`: 500 reminders, else 20,000."""
    number = 500 if quick else 20_000
    yield from _inside(number, "SQLite", "")
    try:
        with servers.postgres() as url:
            yield from _inside(number, "PostgreSQL", url)
    except servers.NotInstalled as missing:
        yield {"name": "reminders claimed", "n": number, "case": "PostgreSQL", "reason": str(missing)}


def _inside(number: int, case: str, url: str) -> Iterator[dict[str, object]]:
    with tempfile.TemporaryDirectory(prefix="teamdive-bench-") as folder:
        env = os.environ | {
            "TEAMDIVE_DATA": folder,
            "TEAMDIVE_DATABASE_URL": url,
            "DJANGO_SETTINGS_MODULE": "teamdive.config.settings",
        }
        done = subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.reminders_inside", str(number)],
            env=env,
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
            check=True,
        )
    for line in done.stdout.splitlines():
        yield json.loads(line) | {"case": case}
