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
    def celery(self, *command: str, lease_s: int = LEASE_S) -> Iterator["subprocess.Popen[bytes]"]:
        process = subprocess.Popen(
            [sys.executable, "-m", "celery", "-A", "teamdive.config.celery", *command],
            env=self.env | {"TEST_LEASE_S": str(lease_s)},
            cwd=ROOT,
            stdout=subprocess.DEVNULL,
        )
        try:
            yield process
        finally:
            process.kill()
            process.wait()

    def worker(self, name: str, lease_s: int = LEASE_S) -> Any:
        """A worker as an installation starts it."""
        named = ("-n", f"{name}@%h", "-l", "WARNING")
        return self.celery("worker", "--pool=solo", *named, lease_s=lease_s)

    def beat(self) -> Any:
        """The scheduler."""
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
        "TEAMDIVE_ALLOWED_HOSTS": "testserver",
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
    # A lease that outlasts the test: nothing but a double claim could make a second call.
    with installation.worker("one", lease_s=600), installation.worker("two", lease_s=600):
        # Both hold a claim before either goes on: they do work at the same time.
        until(lambda: len({pid for _, pid in installation.calls()}) == 2, 90)
        (installation.folder / "hold").unlink()
        found = installation.ask("await 90")
    assert (found["states"], found["messages"]) == ({"sent": number}, number)
    assert (found["most_messages_of_one"], found["right_person"]) == (1, True)
    assert sorted(Counter(key for key, _ in installation.calls()).values()) == [1] * number


def test_a_worker_killed_while_sending_is_made_good_by_another(installation: Installation) -> None:
    number = 8 + 2  # somebody ashore is told the float plan, and that the boat is not back
    installation.start(8, sweeps=1)
    installation.ask("ashore")
    hold = installation.folder / "hold"
    hold.touch()
    with installation.worker("first") as first, installation.beat():
        until(installation.calls, 90)
        first.send_signal(signal.SIGKILL)
        first.wait()
        hold.unlink()
        killed_at = time.monotonic()
        with installation.worker("second"):
            until(lambda: len({key for key, _ in installation.calls()}) == number, LEASE_S + 90)
            found = installation.ask("await 60")
            took = time.monotonic() - killed_at
    assert found["states"] == {"sent": number}
    assert (found["messages"], found["most_messages_of_one"]) == (number, 1)
    assert (found["kinds"]["back_by_passed"], found["right_person"]) == (1, True)
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
        found = installation.ask("await 90")
    assert found["states"] == {"sent": number}
    assert found["messages"] == number


def test_entries_posted_by_a_phone_reach_the_inbox_by_the_nudge_alone(installation: Installation) -> None:
    """No scheduler runs here. Group E after 27 m for 17 min: US Navy air table 9-7, Diving Manual revision 7."""
    installation.start(1, sweeps=1)
    with installation.worker("only"):
        assert installation.ask("await 90")["states"] == {"sent": 1}  # the worker is up
        installation.ask("post")
        found = installation.ask("await 90")
    assert found["groups"] == ["E", "E"]
    assert found["kinds"] == {"surface_interval_reached": 2}
    assert found["states"] == {"sent": 2, "waiting": 2}
    assert (found["most_messages_of_one"], found["right_person"]) == (1, True)
