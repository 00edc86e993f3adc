"""The phone in headless Chromium against the real server, with the network really off.

What is held against: the job itself (nobody lost, no entry lost or doubled), WCAG 2.2 A and AA as axe-core checks it.
"""

import os
import shutil
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from teamdive.config import frontend
from tests.browser.serving import ONLY_LONG, TWO_BOATS, Server, free_port, run_script

pytestmark = [pytest.mark.chromium, pytest.mark.serial]


@pytest.fixture(scope="module")
def app() -> None:
    """The phone's files as they are served; built here unless another folder is named."""
    if not os.environ.get("TEAMDIVE_FRONTEND_DIST"):
        frontend.build()
    frontend.install(frontend.CHECKS)


@pytest.fixture
def server(app: None, tmp_path: Path) -> Iterator[Server]:
    running = Server(data=tmp_path / "data", port=free_port())
    running.load()
    running.start()
    yield running
    running.stop()


@pytest.fixture
def shots() -> Path | None:
    """A folder for screenshots of every page, where one is asked for.

    The picture of the README is one of them: `TEAMDIVE_SHOTS=shots pytest tests/browser/test_phone.py -k ashore`
    writes shots/deck.png, which is kept as frontend/public/deck.png.
    """
    named = os.environ.get("TEAMDIVE_SHOTS")
    if not named:
        return None
    Path(named).mkdir(parents=True, exist_ok=True)
    return Path(named)


def test_a_whole_dive_at_sea_loses_nothing_and_arrives_once(
    server: Server, tmp_path: Path, shots: Path | None
) -> None:
    report = run_script(server, "day_at_sea.mjs", tmp_path / "profile", shots=shots)
    server.stop()
    with sqlite3.connect(server.data / "teamdive.sqlite3") as database:
        rows = database.execute(
            "SELECT entry_id, seq FROM deck_entry WHERE device_id = ? ORDER BY seq",
            [str(report["device"]).replace("-", "")],
        ).fetchall()
    assert len(rows) == report["entries"]
    assert [seq for _, seq in rows] == list(range(1, len(rows) + 1))
    assert "snapshot_taken" in report["at_the_dock"]  # type: ignore[operator]


def test_every_page_at_both_sizes_through_a_day(server: Server, tmp_path: Path, shots: Path | None) -> None:
    """No violation of WCAG 2.2 A and AA on any page; overdue is loud at its minute and not before; limits only grow."""
    run_script(server, "every_page.mjs", tmp_path / "profile", shots=shots)


@ONLY_LONG
def test_one_stays_ashore_and_a_three_comes_up_apart(
    server: Server, tmp_path: Path, shots: Path | None
) -> None:
    """A changed team, one up alone, a marker, an alarm answered by mistake, a swimmer: each as the job describes it."""
    run_script(server, "odd_number.mjs", tmp_path / "profile", shots=shots)


def test_two_boats_each_count_and_leave_by_themselves(app: None, tmp_path: Path, shots: Path | None) -> None:
    """No network between them: neither waits for the other, one diver changes boats, the logs join to the same."""
    running = Server(data=tmp_path / "data", port=free_port())
    running.load(TWO_BOATS)
    running.start()
    try:
        run_script(running, "two_boats.mjs", tmp_path / "profile", shots=shots)
    finally:
        running.stop()


def test_a_new_version_is_offered_and_never_forced(app: None, tmp_path: Path) -> None:
    dist = tmp_path / "dist"
    shutil.copytree(os.environ.get("TEAMDIVE_FRONTEND_DIST") or frontend.FRONTEND / "dist", dist)
    running = Server(data=tmp_path / "data", port=free_port(), dist=dist)
    running.load()
    running.start()
    try:
        run_script(running, "new_version.mjs", tmp_path / "profile")
    finally:
        running.stop()


@ONLY_LONG
def test_somebody_is_not_well_at_sea(server: Server, tmp_path: Path, shots: Path | None) -> None:
    """What a club wrote down reaches the phone, oxygen for one and two is reckoned, and another phone may take over."""
    run_script(server, "not_well.mjs", tmp_path / "profile", shots=shots)
