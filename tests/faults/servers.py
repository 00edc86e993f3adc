"""Servers of a test's own, on free ports and in a temporary folder: never the shared ones."""

import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class NotInstalled(Exception):
    """The server's program is not on this machine."""


def free_port() -> int:
    """A port that nobody listens on at this moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Postgres:
    """A PostgreSQL of our own in a temporary folder, as user postgres where we are root."""

    def __init__(self, folder: Path, *, durable: bool) -> None:
        found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
        initdb = str(found[-1]) if found else shutil.which("initdb")
        if initdb is None:
            raise NotInstalled("PostgreSQL's initdb is not installed")
        self.programs = Path(initdb).resolve().parent
        self.folder, self.durable, self.port = folder, durable, free_port()
        self.as_user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
        self.server: subprocess.Popen[bytes] | None = None
        if self.as_user:
            shutil.chown(folder, "postgres")
        make = [initdb, "-D", str(folder / "data"), "-U", "postgres", "-A", "trust", "--no-sync"]
        subprocess.run([*self.as_user, *make], check=True, capture_output=True, cwd="/")

    @property
    def url(self) -> str:
        return f"postgres://postgres@127.0.0.1:{self.port}/postgres"

    def start(self) -> None:
        """Start it and wait until it answers; after a kill it first recovers from its log."""
        options = ["-p", str(self.port), "-k", str(self.folder), "-c", "listen_addresses=127.0.0.1"]
        options += [] if self.durable else ["-c", "fsync=off"]
        command = [*self.as_user, str(self.programs / "postgres"), "-D", str(self.folder / "data"), *options]
        ask = [str(self.programs / "pg_isready"), "-q", "-h", "127.0.0.1", "-p", str(self.port)]

        def answers() -> bool:
            # Its children outlive a killed server for a moment, and while one does, the next refuses to start.
            if self.server is None or self.server.poll() is not None:
                self.server = subprocess.Popen(
                    command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd="/"
                )
            return subprocess.run(ask, check=False).returncode == 0

        _wait_until(answers)

    def kill(self) -> None:
        """SIGKILL to the server itself, by its own record of who it is."""
        pid = int((self.folder / "data" / "postmaster.pid").read_text().split()[0])
        os.kill(pid, signal.SIGKILL)
        if self.server is not None:
            self.server.wait(10)
            self.server = None

    def stop(self) -> None:
        if self.server is not None:
            _stop(self.server)


@contextmanager
def postgres_to_kill(*, durable: bool = True) -> Iterator[Postgres]:
    """A PostgreSQL that runs and may be killed and started again."""
    folder = Path(tempfile.mkdtemp(prefix="teamdive-pg-"))
    try:
        server = Postgres(folder, durable=durable)
        try:
            server.start()
            yield server
        finally:
            server.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def postgres() -> Iterator[str]:
    """A PostgreSQL of our own; gives its URL. Not durable: it is thrown away."""
    with postgres_to_kill(durable=False) as server:
        yield server.url


@contextmanager
def redis() -> Iterator[str]:
    """A Redis of our own that keeps nothing on disk; gives its URL."""
    program = shutil.which("redis-server")
    if program is None:
        raise NotInstalled("redis-server is not installed")
    port = free_port()
    with tempfile.TemporaryDirectory(prefix="teamdive-redis-") as folder:
        server = subprocess.Popen(
            [program, "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--dir", folder],
            stdout=subprocess.DEVNULL,
        )
        try:
            _wait_until(lambda: _listens(port))
            yield f"redis://127.0.0.1:{port}/0"
        finally:
            _stop(server)


def _listens(port: int) -> bool:
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=0.2):
            return True
    except OSError:
        return False


def _wait_until(ready: "object", seconds: float = 20) -> None:
    end = time.monotonic() + seconds
    while not ready():
        if time.monotonic() > end:
            raise TimeoutError("the server did not start")
        time.sleep(0.05)


def _stop(server: "subprocess.Popen[bytes]") -> None:
    server.terminate()
    try:
        server.wait(10)
    except subprocess.TimeoutExpired:
        server.kill()
        server.wait()
