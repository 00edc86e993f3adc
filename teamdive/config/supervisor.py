"""Keeps the three processes of an installation running: web, worker and beat, as children of one.

A child that dies is started again; SIGTERM or Ctrl-C ends all. On Linux a child also ends when this
process is killed outright, so that nothing keeps holding the port.
"""

import ctypes
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

RESTART_AFTER_S = (0.5, 1.0, 2.0, 5.0)
STEADY_AFTER_S = 30.0
PATIENCE_S = 8.0
PR_SET_PDEATHSIG = 1


@dataclass
class Child:
    """One process to keep running."""

    name: str
    command: Sequence[str]
    process: subprocess.Popen[bytes] | None = None
    started: float = 0.0
    failures: int = 0
    start_at: float = field(default=0.0)


def commands(*, host: str, port: int, data: Path, scale: bool) -> list[Child]:
    """The children of an installation; `scale` when a Redis broker is configured."""
    python = [sys.executable, "-m"]
    celery = [*python, "celery", "--quiet", "-A", "teamdive.config.celery"]
    # Embedded: one worker process without a pool, so that a killed one leaves no orphan behind.
    pool = ["--concurrency", str(os.cpu_count() or 2)] if scale else ["--pool", "solo"]
    quiet = ["--without-gossip", "--without-mingle", "--without-heartbeat", "-l", "WARNING"]
    web = ["-k", "gthread", "--workers", "2" if scale else "1", "--threads", "8", "--graceful-timeout", "3"]
    return [
        Child(
            "web",
            [
                *python,
                "gunicorn",
                "teamdive.config.wsgi",
                "-b",
                f"{host}:{port}",
                *web,
                "--log-level",
                "warning",
            ],
        ),
        Child("worker", [*celery, "worker", *pool, *quiet]),
        Child("beat", [*celery, "beat", "-s", str(data / "beat-schedule"), "--pidfile=", "-l", "WARNING"]),
    ]


def run(
    children: list[Child],
    *,
    environment: dict[str, str],
    address: tuple[str, int],
    answering: Callable[[], None] | None = None,
) -> int:
    """Start the children and keep them until a signal asks to stop. Returns the exit status.

    `answering` is called once: when something listens at `address`, which is the web process's.
    """
    stopping: list[int] = []
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda received, _frame: stopping.append(received))
    while not stopping:
        now = time.monotonic()
        for child in children:
            _tend(child, now, environment)
        if answering is not None and answers(address):
            answering()
            answering = None
        time.sleep(0.2)
    return _stop(children)


def answers(address: tuple[str, int]) -> bool:
    """Whether something listens at (host, port)."""
    try:
        with socket.create_connection(address, timeout=0.2):
            return True
    except OSError:
        return False


def _tend(child: Child, now: float, environment: dict[str, str]) -> None:
    if child.process is not None and child.process.poll() is not None:
        status = child.process.returncode
        child.process = None
        child.failures = 0 if now - child.started > STEADY_AFTER_S else child.failures + 1
        wait = RESTART_AFTER_S[min(child.failures, len(RESTART_AFTER_S) - 1)]
        child.start_at = now + wait
        print(f"{child.name} ended ({status}); starting it again in {wait:g} s", file=sys.stderr, flush=True)
    if child.process is None and now >= child.start_at:
        child.started = now
        child.process = subprocess.Popen(
            child.command, env=environment, start_new_session=True, preexec_fn=_end_with_parent
        )


def _end_with_parent() -> None:
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGTERM)


def _stop(children: list[Child]) -> int:
    running = [child.process for child in children if child.process is not None]
    for process in running:
        process.terminate()
    deadline = time.monotonic() + PATIENCE_S
    for process in running:
        try:
            process.wait(max(0.1, deadline - time.monotonic()))
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
    return 0
