"""A server of the browser tests' own: SQLite in a fresh folder, the demo club, the built phone app, a free port."""

import json
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import pytest

from teamdive.config import supervisor

CHECKOUT = Path(__file__).resolve().parents[2]
PASSWORDS = {"organiser": "kelp-anchor-41", "leader": "kelp-ladder-42", "diver": "kelp-marker-43"}
LOAD = """
import json, sys, django
django.setup()
from django.core.management import call_command
from django.utils import timezone
from teamdive.trips.demo import load_demo
call_command("migrate", verbosity=0, interactive=False)
rows = load_demo(now=timezone.now(), passwords=json.loads(sys.argv[1]))
print(json.dumps({row.role: row.email for row in rows}))
"""

# CI has 20 minutes on two cores, on some machines half as fast: `check --long` drives every day, CI all but these.
ONLY_LONG = pytest.mark.skipif(
    not os.environ.get("TEAMDIVE_LONG"), reason="another day in the browser, with TEAMDIVE_LONG=1"
)

# What makes a database, as arguments of Python: the demo club, its trip on one boat or on two.
ONE_BOAT = ("-c", LOAD)
TWO_BOATS = ("-m", "tests.browser.two_boats_demo")


@dataclass
class Server:
    """The web process, as `teamdive start` runs it, which a test may stop and start again on the same port and data."""

    data: Path
    port: int
    emails: dict[str, str] = field(default_factory=dict)
    process: subprocess.Popen[bytes] | None = None
    dist: Path | None = None

    @property
    def url(self) -> str:
        return f"http://localhost:{self.port}/"

    def environment(self) -> dict[str, str]:
        named = {"TEAMDIVE_FRONTEND_DIST": str(self.dist)} if self.dist else {}
        return (
            os.environ
            | named
            | {
                "TEAMDIVE_DATA": str(self.data),
                "TEAMDIVE_DATABASE_URL": "",
                "TEAMDIVE_REDIS_URL": "",
                "TEAMDIVE_SECRET_KEY": "browser tests only",
                "TEAMDIVE_PORT": str(self.port),
                "DJANGO_SETTINGS_MODULE": "teamdive.config.settings",
            }
        )

    def load(self, made_by: tuple[str, ...] = ONE_BOAT) -> None:
        """A database with the demo club: made once a run, then copied."""
        self.emails = json.loads((_demo(made_by) / "emails.json").read_text())
        shutil.copytree(_demo(made_by), self.data)

    def start(self) -> None:
        """Start the web process and wait until it answers."""
        command = supervisor.commands(host="localhost", port=self.port, data=self.data, scale=False)[
            0
        ].command
        self.process = subprocess.Popen(command, cwd=CHECKOUT, env=self.environment())
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            try:
                with urllib.request.urlopen(f"{self.url}api/health", timeout=2) as answer:
                    if answer.status == 200:
                        return
            except OSError:
                assert self.process.poll() is None, "the web process ended"
                time.sleep(0.1)
        raise AssertionError("the web process does not answer")

    def stop(self) -> None:
        """Kill the web process: nothing answers on its port any more."""
        if self.process is None:
            return
        self.process.terminate()
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait(10)
        self.process = None


@cache
def _demo(made_by: tuple[str, ...]) -> Path:
    making = Server(data=Path(tempfile.mkdtemp(prefix="teamdive-demo-")), port=0)
    done = subprocess.run(
        [sys.executable, *made_by, json.dumps(PASSWORDS)],
        cwd=CHECKOUT,
        env=making.environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    (making.data / "emails.json").write_text(done.stdout.splitlines()[-1])
    return making.data


def free_port() -> int:
    """A port that was free a moment ago."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def run_script(server: Server, name: str, folder: Path, *, shots: Path | None = None) -> dict[str, object]:
    """Run a Node script that drives Chromium; it asks for the server to be stopped or started by lines on its output.

    Returns what it reports at its end. Fails with the script's own words.
    """
    from teamdive.config.frontend import node_folder

    settings = {
        "url": server.url,
        "emails": server.emails,
        "passwords": PASSWORDS,
        "profile": str(folder),
        "shots": str(shots) if shots else None,
        "dist": str(server.dist) if server.dist else None,
    }
    script = subprocess.Popen(
        [str(node_folder() / "bin" / "node"), str(Path(__file__).with_name(name)), json.dumps(settings)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert script.stdin and script.stdout
    report: dict[str, object] = {}
    try:
        for line in script.stdout:
            said = json.loads(line)
            if said.get("ask") == "stop":
                server.stop()
            elif said.get("ask") == "start":
                server.start()
            else:
                report |= said
                continue
            script.stdin.write("done\n")
            script.stdin.flush()
        script.wait(30)
    finally:
        if script.poll() is None:
            # Not SIGKILL: the script still has to end its browser.
            script.terminate()
            script.wait(20)
    assert script.returncode == 0, f"{name} failed: see its message above"
    return report
