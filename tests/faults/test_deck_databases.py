"""The deck's writes on both databases it may run on: SQLite on disk, and a PostgreSQL of the test's own."""

import os
import subprocess
import sys
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.faults import servers

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.serial


@pytest.mark.parametrize("where", ["embedded", pytest.param("scale", marks=pytest.mark.postgres)])
def test_pushes_at_once_lose_and_double_nothing(where: str, tmp_path: Path) -> None:
    with ExitStack() as stack:
        env = {**os.environ, "TEAMDIVE_DATA": str(tmp_path), "TEAMDIVE_TEST_ON_DISK": "1"}
        if where == "scale":
            env["TEAMDIVE_DATABASE_URL"] = stack.enter_context(servers.postgres())
        ran = subprocess.run(
            [
                sys.executable,
                "-m",
                "pytest",
                "-q",
                "-p",
                "no:cacheprovider",
                "-p",
                "no:xdist",
                "tests/services/deck_in_threads.py",
            ],
            cwd=ROOT,
            env=env,
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )
    assert ran.returncode == 0, ran.stdout[-4000:] + ran.stderr[-2000:]
    assert " passed" in ran.stdout and "skipped" not in ran.stdout
