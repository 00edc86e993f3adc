"""Servers killed in the middle of sync or set back to a backup, and phones that fail: nothing acknowledged is lost."""

import json
import os
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest

from teamdive.boatlog.entries import body
from tests.boat_scene import Phone, at, trip_body, uid
from tests.faults import servers
from tests.parity import twins

ROOT = Path(__file__).resolve().parents[2]
PHONES, EACH, BATCH = 3, 120, 6
pytestmark = pytest.mark.serial
# Each fault on the database where it is hardest to bear; on both with TEAMDIVE_LONG.
ONLY_LONG = pytest.mark.skipif(
    not os.environ.get("TEAMDIVE_LONG"), reason="the other database, with TEAMDIVE_LONG=1"
)


class Installation:
    """A server of its own on a free port, with the trip of the scene and its phones enrolled."""

    def __init__(self, data: Path, url: str = "") -> None:
        self.port = servers.free_port()
        kept = {name: value for name, value in os.environ.items() if not name.startswith("TEAMDIVE_")}
        self.env = kept | {"TEAMDIVE_DATA": str(data), "TEAMDIVE_HOST": "127.0.0.1"}
        self.env |= {"TEAMDIVE_DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "teamdive.config.settings"}
        self.server: subprocess.Popen[bytes] | None = None

    def enrol(self, phones: int) -> list[str]:
        """The tokens of as many phones; the first time, the trip as well."""
        return [token for _, token in self.devices(phones)]

    def devices(self, phones: int) -> list[tuple[str, str]]:
        """The id and the token of as many phones."""
        return [
            (device, token)
            for device, token in json.loads(self.run("tests.faults.deck_process", str(phones)))
        ]

    def run(self, module: str, *arguments: str) -> str:
        done = subprocess.run(
            [sys.executable, "-m", module, *arguments],
            env=self.env, cwd=ROOT, capture_output=True, text=True, timeout=120, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr[-3000:]
        return done.stdout

    def start(self) -> None:
        command = [sys.executable, "-m", "gunicorn", "teamdive.config.wsgi", "-b", f"127.0.0.1:{self.port}"]
        self.server = subprocess.Popen(
            [*command, "-k", "gthread", "--threads", "8", "--log-level", "critical"],
            env=self.env, cwd=ROOT, start_new_session=True,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def kill(self) -> None:
        """SIGKILL to the server and its workers: the group that was started here."""
        if self.server is not None:
            os.killpg(self.server.pid, 9)
            self.server.wait()
            self.server = None

    def ask(self, token: str, batch: list[dict[str, Any]] | None = None, after: int = 0) -> dict[str, Any]:
        """One exchange; OSError when no whole answer came."""
        address = f"http://127.0.0.1:{self.port}/api/trips/{uid('trip')}/entries"
        request = urllib.request.Request(f"{address}?after={after}&limit=1000")
        if batch is not None:
            request = urllib.request.Request(address, json.dumps({"entries": batch}).encode())
            request.add_header("Content-Type", "application/json")
        request.add_header("Authorization", f"Device {token}")
        try:
            with urllib.request.urlopen(request, timeout=10) as answer:
                return dict(json.loads(answer.read()))
        except urllib.error.HTTPError as error:
            if error.code >= 500:
                raise OSError(f"the server answered {error.code}") from error
            raise AssertionError(error.read()) from error
        except (ValueError, urllib.error.URLError) as error:
            raise OSError(str(error)) from error

    def whole(self, token: str) -> list[dict[str, Any]]:
        """All pages of the log."""
        found: list[dict[str, Any]] = []
        while page := self.patiently(token, after=found[-1]["position"] if found else 0)["entries"]:
            found.extend(page)
        return found

    def patiently(
        self, token: str, batch: list[dict[str, Any]] | None = None, after: int = 0
    ) -> dict[str, Any]:
        """As a phone does it: again until there is an answer."""
        end = time.monotonic() + 90
        while True:
            try:
                return self.ask(token, batch, after)
            except OSError:
                assert time.monotonic() < end, "the server never came back"
                time.sleep(0.1)


@contextmanager
def installed(data: Path, url: str = "") -> Iterator[Installation]:
    made = Installation(data, url)
    try:
        yield made
    finally:
        made.kill()


def written(name: str, most: int, since: str = "08:00") -> list[dict[str, Any]]:
    phone = Phone(name)
    for step in range(most):
        phone.write("note", "trip", at(since) + step * 1000)
    return [body(entry) for entry in phone.entries]


@pytest.mark.parametrize(
    "where", [pytest.param("embedded", marks=ONLY_LONG), pytest.param("scale", marks=pytest.mark.postgres)]
)
def test_kill_9_in_the_middle_of_batches_loses_nothing_acknowledged(where: str, tmp_path: Path) -> None:
    with ExitStack() as stack:
        database = stack.enter_context(servers.postgres_to_kill()) if where == "scale" else None
        server = stack.enter_context(installed(tmp_path, database.url if database else ""))
        tokens = server.enrol(PHONES)
        server.start()
        chains = [written(f"p{number}", EACH) for number in range(PHONES)]
        acknowledged: list[str] = []

        # No phone begins its second half before the first kill was looked at: a fast machine would be done by then.
        looked_at = threading.Event()

        def push(chain: list[dict[str, Any]], token: str) -> None:
            for start in range(0, EACH, BATCH):
                if start >= EACH // 2:
                    assert looked_at.wait(120)
                acknowledged.extend(server.patiently(token, chain[start : start + BATCH])["accepted"])

        with ThreadPoolExecutor(PHONES) as pool:
            pushing = [pool.submit(push, *pair) for pair in zip(chains, tokens, strict=True)]
            for part, share in ((1, 0.25), (2, 0.625)):
                while len(acknowledged) < share * PHONES * EACH and not any(p.done() for p in pushing):
                    time.sleep(0.005)
                before = list(acknowledged)
                assert len(before) < part * PHONES * EACH / 2, "the kill came too late to prove anything"
                if database is not None and part == 2:
                    database.kill()
                    database.start()
                else:
                    server.kill()
                    server.start()
                held = {item["entry"]["id"] for item in server.whole(tokens[0])}
                assert set(before) <= held
                looked_at.set()
            for pushed in pushing:
                pushed.result(timeout=120)
        log = server.whole(tokens[0])
        assert [item["position"] for item in log] == list(range(1, PHONES * EACH + 1))
        sent = {entry["id"]: entry for chain in chains for entry in chain}
        assert {item["entry"]["id"]: item["entry"] for item in log} == sent
        assert not any(item["trouble"] for item in log if "device_unknown" not in item["trouble"])


@pytest.mark.parametrize(
    "where", ["embedded", pytest.param("scale", marks=[pytest.mark.postgres, ONLY_LONG])]
)
def test_last_nights_backup_gets_every_later_entry_again_from_the_phones(where: str, tmp_path: Path) -> None:
    with ExitStack() as stack:
        url = stack.enter_context(servers.postgres()) if where == "scale" else ""
        server = stack.enter_context(installed(tmp_path / "data", url))
        tokens = server.enrol(2)
        server.start()
        chains = [written("p0", 60), written("p1", 60)]
        for chain, token in zip(chains, tokens, strict=True):
            epoch = server.patiently(token, chain[:20])["epoch"]
        backup = tmp_path / "last-night"
        server.run("teamdive.cli", "backup", str(backup))
        assert backup.stat().st_mode & 0o777 == 0o600
        for chain, token in zip(chains, tokens, strict=True):
            server.patiently(token, chain[20:])
        server.kill()
        server.run("teamdive.cli", "restore", str(backup))
        server.start()
        back = server.patiently(tokens[0])
        assert (len(back["entries"]), back["position"]) == (40, 40)
        # What a phone does on meeting an epoch that it does not know (frontend/tests/sync/exchange.test.ts).
        assert back["epoch"] != epoch
        for chain, token in zip(chains, tokens, strict=True):
            assert server.patiently(token, chain)["accepted"] == [entry["id"] for entry in chain]
        log = server.whole(tokens[1])
        assert [item["position"] for item in log] == list(range(1, 121))
        assert {item["entry"]["id"] for item in log} == {entry["id"] for chain in chains for entry in chain}


def test_ten_phones_of_bad_luck_against_the_server_itself(tmp_path: Path) -> None:
    """The schedules of frontend/tests/sync/phones.ts, with the phone's own store and sync and this server over HTTP."""
    with installed(tmp_path) as server:
        devices = server.devices(10)
        server.start()
        server.patiently(devices[0][1])
        told = {
            "url": f"http://127.0.0.1:{server.port}",
            "snapshot": trip_body(),
            "phones": [{"device": device, "token": token} for device, token in devices],
            "seed": 7,
            "steps": 2000 if os.environ.get("TEAMDIVE_LONG") else 150,
            "found": str(tmp_path / "found.json"),
        }
        run = twins.sync_suite("phones", TEAMDIVE_PHONES=json.dumps(told), TEAMDIVE_SCHEDULES="0")
        assert run.returncode == 0, run.stdout[-5000:] + run.stderr[-2000:]
        found = json.loads((tmp_path / "found.json").read_text())
        log = server.whole(devices[0][1])
    assert [item["entry"]["id"] for item in log] == found["ids"]
    # A disk that refuses leaves an entry in memory alone: what is written in its place after a crash, or by another
    # window, is a fork. It is marked on whatever comes second; nothing is wrong with any entry away from one.
    places: dict[tuple[str, int], list[str]] = {}
    for item in log:
        places.setdefault((item["entry"]["device"], item["entry"]["seq"]), []).append(item["entry"]["id"])
    forks = {place: ids for place, ids in places.items() if len(ids) > 1}
    trouble = {item["entry"]["id"]: item["trouble"] for item in log if item["trouble"]}
    assert all(set(found["forgotten"]) & set(ids) for ids in forks.values())
    assert all("forked" in trouble.get(later, ()) for ids in forks.values() for later in ids[1:])
    near = {
        each for device, seq in forks for place in (seq, seq + 1) for each in places.get((device, place), ())
    }
    assert set(trouble) <= near
    assert {code for codes in trouble.values() for code in codes} <= {"forked", "not_linked"}
    assert found["counts"]["acknowledged"] > 30 and found["counts"]["crash"] > 0
