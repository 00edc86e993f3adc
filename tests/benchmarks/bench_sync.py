"""How fast the server takes in and gives out boat-log entries, against a bare Django insert of the same rows.

Each database is one of this benchmark's own: SQLite in a temporary folder, and PostgreSQL where it is installed.
One process and one connection, so a rate is that of one core (and of the database beside it).
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
    """Rows of `teamdive bench sync`; `quick`: 1,000 entries, else 20,000."""
    number = 1_000 if quick else 20_000
    yield from _inside(number, "SQLite", "")
    try:
        with servers.postgres() as url:
            yield from _inside(number, "PostgreSQL", url)
    except servers.NotInstalled as missing:
        yield {"name": "entries stored", "n": number, "case": "PostgreSQL", "reason": str(missing)}


def _inside(number: int, case: str, url: str) -> Iterator[dict[str, object]]:
    with tempfile.TemporaryDirectory(prefix="teamdive-bench-") as folder:
        env = os.environ | {
            "TEAMDIVE_DATA": folder,
            "TEAMDIVE_DATABASE_URL": url,
            "DJANGO_SETTINGS_MODULE": "teamdive.config.settings",
        }
        done = subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.sync_inside", str(number)],
            env=env,
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
            check=True,
        )
    for line in done.stdout.splitlines():
        yield json.loads(line) | {"case": case}
