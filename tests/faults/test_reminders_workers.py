"""Real workers on both stacks: each reminder is told once, also when a worker is killed in the middle of sending.

Embedded: SQLite and the queue in files. Scale: PostgreSQL and Redis, started for this test alone.
"""

import json
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import REQUIRED
from tests.faults import servers

ROOT = Path(__file__).resolve().parents[2]
LEASE_S = 2
pytestmark = pytest.mark.serial


@dataclass(frozen=True)
class Installation:
    """An installation of a test's own: its folder, and the environment that its processes get."""

    folder: Path
    env: dict[str, str]
    inside: "subprocess.Popen[str]"

    def ask(self, command: str) -> Any:
        """One line to the process inside the installation, and its answer."""
        self.inside.stdin.write(command + "\n")
        self.inside.stdin.flush()
        answer = self.inside.stdout.readline()
        assert answer, "the process inside the installation ended"
        return json.loads(answer)

    @contextmanager
    def celery(self, *command: str) -> Iterator["subprocess.Popen[bytes]"]:
        process = subprocess.Popen(
            [sys.executable, "-m", "celery", "-A", "teamdive.config.celery", *command],
            env=self.env,
            cwd=ROOT,
            stdout=subprocess.DEVNULL,
        )
        try:
            yield process
        finally:
            process.kill()
            process.wait()

    def worker(self, name: str):
        return self.celery("worker", "--pool=solo", "-l", "WARNING", "-n", f"{name}@%h")

    def beat(self):
        return self.celery("beat", "-s", str(self.folder / "beat"), "--pidfile=", "-l", "WARNING")

    def start(self, number: int, *, sweeps: int) -> None:
        """So many reminders due, so many sweeps in the queue, and no call made yet."""
        (self.folder / "calls").unlink(missing_ok=True)
        self.ask(f"make {number} {sweeps}")

    def calls(self) -> list[tuple[str, int]]:
        file = self.folder / "calls"
        lines = file.read_text().split("\n") if file.exists() else []
        return [(line.split()[0], int(line.split()[1])) for line in lines if line]


@pytest.fixture(
    params=[
        "embedded",
        pytest.param("scale", marks=[pytest.mark.postgres, pytest.mark.redis]),
    ],
    scope="module",
)
def installation(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Installation]:
    folder = tmp_path_factory.mktemp(request.param)
    env = {name: value for name, value in os.environ.items() if not name.startswith("TEAMDIVE_")}
    env |= {
        "TEAMDIVE_DATA": str(folder),
        "DJANGO_SETTINGS_MODULE": "tests.faults.reminders_settings",
        "PYTHONUNBUFFERED": "1",
    }
    with ExitStack() as stack:
        if request.param == "scale":
            try:
                env["TEAMDIVE_DATABASE_URL"] = stack.enter_context(servers.postgres())
                env["TEAMDIVE_REDIS_URL"] = stack.enter_context(servers.redis())
            except servers.NotInstalled as missing:
                if {"postgres", "redis"} & REQUIRED:
                    raise
                pytest.skip(str(missing))
        inside = stack.enter_context(
            subprocess.Popen(
                [sys.executable, "-m", "tests.faults.reminders_process"],
                env=env,
                cwd=ROOT,
                text=True,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
            )
        )
        yield Installation(folder, env, inside)


def until(ready, seconds: float) -> None:
    end = time.monotonic() + seconds
    while not ready():
        assert time.monotonic() < end, "waited too long"
        time.sleep(0.02)


def test_two_workers_tell_each_reminder_once(installation: Installation) -> None:
    number = 160
    installation.start(number, sweeps=12)
    (installation.folder / "hold").touch()
    with installation.worker("one"), installation.worker("two"):
        # Both hold a claim before either goes on: they do work at the same time.
        until(lambda: len({pid for _, pid in installation.calls()}) == 2, 30)
        (installation.folder / "hold").unlink()
        found = installation.ask("await 40")
    assert found == {
        "states": {"sent": number},
        "messages": number,
        "most_messages_of_one": 1,
        "right_person": True,
    }
    # Outside, only the two calls that were held past their lease may have been repeated.
    asked = Counter(key for key, _ in installation.calls())
    assert len(asked) == number
    assert sum(asked.values()) <= number + 2


def test_a_worker_killed_while_sending_is_made_good_by_another(installation: Installation) -> None:
    number = 8
    installation.start(number, sweeps=1)
    hold = installation.folder / "hold"
    hold.touch()
    with installation.worker("first") as first, installation.beat():
        until(installation.calls, 30)
        first.send_signal(signal.SIGKILL)
        first.wait()
        hold.unlink()
        killed_at = time.monotonic()
        with installation.worker("second"):
            until(lambda: len({key for key, _ in installation.calls()}) == number, LEASE_S + 20)
            found = installation.ask("await 10")
            took = time.monotonic() - killed_at
    assert found["states"] == {"sent": number}
    assert (found["messages"], found["most_messages_of_one"]) == (number, 1)
    # Outside, only the call that was under way may be repeated, and under the same key.
    asked = Counter(key for key, _ in installation.calls())
    assert sorted(asked.values()) == [1] * (number - 1) + [2]
    print(f"told by the second worker {took:.1f} s after the kill (lease {LEASE_S} s)")


def test_a_queue_that_loses_every_message_loses_no_reminder(installation: Installation) -> None:
    number = 5
    installation.start(number, sweeps=3)
    if url := installation.env.get("TEAMDIVE_REDIS_URL"):
        import redis

        redis.Redis.from_url(url).flushall()
    else:
        for message in (installation.folder / "queue").glob("*.msg"):
            message.unlink()
    with installation.worker("late"), installation.beat():
        found = installation.ask("await 30")
    assert found["states"] == {"sent": number}
    assert found["messages"] == number
