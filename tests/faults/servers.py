"""Servers of a test's own, on free ports and in a temporary folder: never the shared ones."""

import os
import shutil
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


@contextmanager
def postgres() -> Iterator[str]:
    """A PostgreSQL of our own, as user postgres where we are root; gives its URL."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    initdb = str(found[-1]) if found else shutil.which("initdb")
    if initdb is None:
        raise NotInstalled("PostgreSQL's initdb is not installed")
    programs = Path(initdb).resolve().parent
    folder = Path(tempfile.mkdtemp(prefix="teamdive-pg-"))
    as_user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    if as_user:
        shutil.chown(folder, "postgres")
    port = free_port()
    try:
        subprocess.run(
            [*as_user, initdb, "-D", str(folder / "data"), "-U", "postgres", "-A", "trust", "--no-sync"],
            check=True,
            capture_output=True,
            cwd="/",
        )
        options = ["-p", str(port), "-k", str(folder), "-c", "listen_addresses=127.0.0.1", "-c", "fsync=off"]
        server = subprocess.Popen(
            [*as_user, str(programs / "postgres"), "-D", str(folder / "data"), *options],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            cwd="/",
        )
        try:
            _wait_until(
                lambda: (
                    subprocess.run(
                        [str(programs / "pg_isready"), "-q", "-h", "127.0.0.1", "-p", str(port)], check=False
                    ).returncode
                    == 0
                )
            )
            yield f"postgres://postgres@127.0.0.1:{port}/postgres"
        finally:
            _stop(server)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


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
